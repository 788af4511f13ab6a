//! The head of every page, and the banner of what was refused.

use super::desk::{Desk, Done, Overlay};
use super::wired::Wired;
use super::{App, Choice, Frame, Place};
use crate::player::State;
use crate::say;
use crate::session::Session;
use crate::words::{self, Words};
use slint::{ComponentHandle, SharedString};

/// Shows who works, on which job, at what time.
pub(super) fn show(app: &App, desk: &Desk) {
    let frame = app.global::<Frame>();
    let session = desk.shop.session();
    frame.set_shop(session.map_or("", Session::shop_name).into());
    frame.set_job(job_title(desk).into());
    frame.set_practice(desk.shop.state().is_some_and(State::practice));
    let person = desk.shop.person();
    frame.set_signed_on(person.is_some());
    let (name, roles) = person.map_or_else(Default::default, |person| {
        (person.name.clone(), person.roles_said(&desk.words))
    });
    frame.set_person(name.into());
    frame.set_role(roles.into());
    show_time(app, desk);
    show_warning(app, desk);
    frame.set_can_go_back(can_go_back(desk));
    show_languages(&frame, &desk.words);
}

/// What the clock says.
fn show_time(app: &App, desk: &Desk) {
    let now = desk.shop.now();
    let time = now.map_or_else(String::new, |now| now.format("%H:%M").to_string());
    app.global::<Frame>().set_clock(time.into());
}

/// What is wrong with the clock, or else with the battery.
fn show_warning(app: &App, desk: &Desk) {
    let clock = desk
        .clock_warning()
        .map(|long| (long, say!(desk.words, "Clock behind")));
    let battery = || desk.battery?.says(&desk.words);
    let (long, short) = clock.or_else(battery).unwrap_or_default();
    let frame = app.global::<Frame>();
    frame.set_warning(long.into());
    frame.set_warning_short(short.into());
}

/// The languages of the program, each by its own name, and the one that is spoken.
fn show_languages(frame: &Frame<'_>, words: &Words) {
    let languages = words::languages();
    let choices = languages.iter().map(|(language, name)| Choice {
        key: language.tag().into(),
        text: (*name).into(),
        note: "".into(),
        enabled: true,
    });
    super::fill(frame.get_languages(), super::list(choices), |rows| {
        frame.set_languages(rows)
    });
    frame.set_language(words.language().tag().into());
}

/// The words with a capital letter in front.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The job's number with the car, as the first answer of its card says, or the job's title before that.
fn job_title(desk: &Desk) -> String {
    let Some(state) = desk.shop.state() else {
        return String::new();
    };
    let opening = state.opening();
    let number = opening.map_or("", |opening| opening.number.as_str());
    let car = desk
        .shop
        .typed()
        .get(&("car".to_owned(), "name".to_owned()))
        .cloned();
    let title = car
        .or_else(|| opening.map(|opening| opening.title.clone()))
        .unwrap_or_default();
    format!("{number} · {title}")
}

fn can_go_back(desk: &Desk) -> bool {
    let somewhere = desk.overlay.is_some() || desk.sheet.is_some() || desk.list.starting;
    somewhere
        || desk.shop.state().is_some()
        || (desk.shop.person().is_none() && desk.welcome.picked.is_some())
}

/// Joins the head's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let frame = app.global::<Frame>();
    frame.on_back(desk.on(Desk::back));
    frame.on_sign_off(desk.on(Desk::sign_off));
    frame.on_choose_language(desk.on_with(|desk, tag: SharedString| desk.choose_language(&tag)));
    frame.on_stirred(desk.on(|_| Ok(())));
    frame.on_quit(|| {
        // Outside an event loop there is nothing to leave.
        let _ = slint::quit_event_loop();
    });
    frame.on_go(desk.on_with(Desk::go));
    let weak = app.as_weak();
    frame.on_dismiss(move || {
        if let Some(app) = weak.upgrade() {
            app.global::<Frame>().set_refused(false);
        }
    });
}

impl Desk {
    /// Every second: the clock, and who still has to wait.
    pub(super) fn tick(&mut self) {
        if let (Ok(app), Some(_)) = (self.app(), self.shop.session()) {
            show_time(&app, self);
            super::sign_on::show_wait(&app, self);
            self.hear_of_clock();
        }
    }

    /// Now and then: the battery, and whether the clock was set back.
    pub(super) fn look_around(&mut self) {
        self.battery = super::power::draining();
        if let (Ok(app), Some(_)) = (self.app(), self.shop.session()) {
            show_warning(&app, self);
        }
    }

    /// That the clock lies behind what was written already.
    pub(super) fn clock_warning(&self) -> Option<String> {
        let last = self.shop.session()?.clock_behind()?;
        Some(say!(
            self.words,
            "The tablet's clock is behind: the last entry is of {at}. Set it right.",
            at = last
        ))
    }

    /// To a place that is reached by choice.
    pub(super) fn go(&mut self, place: Place) -> Done {
        match place {
            Place::Calculators => self.over(Overlay::Calculators),
            Place::About => self.over(Overlay::About),
            Place::Settings => self.over_all(),
            _ => self.refresh(),
        }
    }

    /// The person leaves the tablet.
    pub(super) fn sign_off(&mut self) -> Done {
        self.leave_behind()?;
        self.close_sheet()?;
        self.shop.sign_off();
        self.overlay = None;
        self.welcome = super::sign_on::Welcome::default();
        self.finger = super::finger::Finger::default();
        self.list = super::jobs::List::default();
        self.refresh()
    }
}
