//! How the tablet looks and speaks: chosen by a touch, live, and remembered.

use super::desk::{Desk, Done};
use super::{App, Tokens};
use crate::session::{Session, Settings};
use crate::words::{self, Words};
use slint::ComponentHandle;

/// Brings the settings of the tablet to a screen that was just made.
pub(super) fn show(app: &App, session: &Session) {
    let settings = session.settings();
    app.global::<Tokens>().set_night(settings.night);
    speak(&session.words());
}

/// The texts of the screen itself in this language. Slint begins with the language of the system otherwise.
pub(super) fn speak(words: &Words) {
    // English is always there, and a test selects every other language of the program.
    if slint::select_bundled_translation(words.language().tag()).is_err() {
        let _ = slint::select_bundled_translation("");
    }
}

impl Desk {
    /// Day to night, or back.
    pub(super) fn toggle_theme(&mut self) -> Done {
        let app = self.app()?;
        let tokens = app.global::<Tokens>();
        let night = !tokens.get_night();
        tokens.set_night(night);
        // Drawings are made in the colours of the theme.
        self.refresh()?;
        self.keep_settings(move |settings| settings.night = night)
    }

    /// Another language: all that is on the screen is said anew, and an open job goes on in it.
    pub(super) fn choose_language(&mut self, tag: &str) -> Done {
        let known = words::languages();
        let Some((language, _)) = known.into_iter().find(|(language, _)| language.tag() == tag) else {
            return Ok(());
        };
        self.keep_settings(move |settings| settings.language = language)
    }

    /// Keeps changed settings beside the screen, and shows everything as they say.
    fn keep_settings(&mut self, change: impl FnOnce(&mut Settings) + Send + 'static) -> Done {
        let work = move |session: &mut Session| {
            let mut settings = session.settings();
            change(&mut settings);
            session.keep_settings(&settings)
        };
        self.beside(work, |desk, result| {
            desk.speak_anew();
            desk.refresh()?;
            result
        })
    }

    fn speak_anew(&mut self) {
        self.words = self.shop.session().map(Session::words).unwrap_or_default();
        speak(&self.words);
    }
}
