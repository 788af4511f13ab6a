//! The head of every page, and the banner of what was refused.

use super::desk::{Desk, Done, Overlay, Wired};
use super::{App, Frame, Place};
use slint::ComponentHandle;

/// Shows who works, on which job, at what time.
pub(super) fn show(app: &App, desk: &Desk) {
    let frame = app.global::<Frame>();
    frame.set_shop(desk.shop.title().into());
    frame.set_job(desk.shop.job_title().into());
    frame.set_practice(desk.shop.state().is_some_and(crate::player::State::practice));
    let person = desk.shop.person();
    frame.set_signed_on(person.is_some());
    frame.set_person(person.map_or("", |person| person.name.as_str()).into());
    frame.set_role(person.map_or("", |person| person.roles.as_str()).into());
    frame.set_clock(desk.shop.clock().into());
    frame.set_can_go_back(can_go_back(desk));
}

fn can_go_back(desk: &Desk) -> bool {
    let somewhere = desk.overlay.is_some() || desk.sheet.is_some() || desk.list.starting;
    somewhere || desk.shop.state().is_some() || (desk.shop.person().is_none() && desk.welcome.picked.is_some())
}

/// Joins the head's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let frame = app.global::<Frame>();
    frame.on_back(desk.on(Desk::back));
    frame.on_sign_off(desk.on(Desk::sign_off));
    frame.on_toggle_theme(desk.on(Desk::toggle_theme));
    frame.on_stirred(desk.on(|_| Ok(())));
    frame.on_go(desk.on_with(Desk::go));
    let weak = app.as_weak();
    frame.on_dismiss(move || {
        if let Some(app) = weak.upgrade() {
            app.global::<Frame>().set_refused(false);
        }
    });
}

impl Desk {
    /// To a place that is reached by choice.
    pub(super) fn go(&mut self, place: Place) -> Done {
        match place {
            Place::Calculators => self.over(Overlay::Calculators),
            Place::About => self.over(Overlay::About),
            Place::Plan => self.over(Overlay::Plan),
            Place::Record => self.over(Overlay::Record),
            _ => self.refresh(),
        }
    }

    /// The person leaves the tablet.
    pub(super) fn sign_off(&mut self) -> Done {
        self.close_sheet()?;
        self.shop.sign_off();
        self.overlay = None;
        self.welcome = super::sign_on::Welcome::default();
        self.refresh()
    }
}
