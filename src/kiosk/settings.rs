//! How the tablet looks and speaks: chosen by a touch, live, and remembered.

use super::desk::{Desk, Done};
use super::wired::Wired;
use super::{App, SettingsPage, Tokens};
use crate::session::{Session, Settings, TextSize};
use crate::words::{self, Words};
use slint::ComponentHandle;

/// Brings the settings of the tablet to a screen that was just made.
pub(super) fn show(app: &App, session: &Session) {
    look(app, &session.settings());
    speak(&session.words());
    super::keys::show(app, session);
}

/// All but the language, which the head of each page shows.
fn look(app: &App, settings: &Settings) {
    let tokens = app.global::<Tokens>();
    tokens.set_night(settings.night);
    tokens.set_text_scale(f32::from(settings.text.percent()) / 100.0);
    tokens.set_still(settings.still);
    let view = app.global::<SettingsPage>();
    view.set_text_percent(settings.text.percent().into());
    let sizes = super::list(TextSize::ALL.map(|size| i32::from(size.percent())));
    super::fill(view.get_text_percents(), sizes, |rows| {
        view.set_text_percents(rows)
    });
}

/// The texts of the screen itself in this language. Slint begins with the language of the system otherwise.
pub(super) fn speak(words: &Words) {
    // English is always there, and a test selects every other language of the program.
    if slint::select_bundled_translation(words.language().tag()).is_err() {
        let _ = slint::select_bundled_translation("");
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<SettingsPage>();
    view.on_choose_night(desk.on_with(Desk::choose_night));
    view.on_choose_text(desk.on_with(Desk::choose_text));
    view.on_choose_still(desk.on_with(Desk::choose_still));
}

impl Desk {
    fn choose_night(&mut self, night: bool) -> Done {
        self.keep_settings(move |settings| settings.night = night)
    }

    fn choose_text(&mut self, percent: i32) -> Done {
        let size = u16::try_from(percent).ok().and_then(TextSize::of_percent);
        let Some(size) = size else {
            return Ok(());
        };
        self.keep_settings(move |settings| settings.text = size)
    }

    fn choose_still(&mut self, still: bool) -> Done {
        self.keep_settings(move |settings| settings.still = still)
    }

    /// Another language: all that is on the screen is said anew, and an open job goes on in it.
    pub(super) fn choose_language(&mut self, tag: &str) -> Done {
        let known = words::languages();
        let Some((language, _)) = known.into_iter().find(|(language, _)| language.tag() == tag) else {
            return Ok(());
        };
        self.keep_settings(move |settings| settings.language = language)
    }

    /// Shows everything as the changed settings say, and keeps them beside the screen.
    fn keep_settings(&mut self, change: impl FnOnce(&mut Settings)) -> Done {
        let Some(mut settings) = self.shop.session().map(Session::settings) else {
            return Ok(());
        };
        change(&mut settings);
        look(&self.app()?, &settings);
        let work = move |session: &mut Session| session.keep_settings(&settings);
        self.beside(work, |desk, result| {
            desk.speak_anew();
            // Drawings are made in the colours of the theme.
            desk.refresh()?;
            result
        })
    }

    fn speak_anew(&mut self) {
        self.words = self.shop.session().map(Session::words).unwrap_or_default();
        speak(&self.words);
        if let (Ok(app), Some(session)) = (self.app(), self.shop.session()) {
            super::keys::show(&app, session);
        }
    }
}
