//! What stands before a procedure, and hazards on a page of their own.

use super::desk::{Desk, Done, Overlay, Trouble};
use super::wired::Wired;
use super::{App, BeforePage, HazardPage, hazard};
use crate::page;
use crate::page::hazard::HazardPanel;
use crate::page::sign::BeforePage as Page;
use crate::player::Event;
use crate::say;
use crate::words::Words;
use slint::ComponentHandle;

/// Shows what stands before a procedure.
pub(super) fn show(app: &App, page: &Page, words: &Words) {
    let view = app.global::<BeforePage>();
    view.set_procedure(page.title.as_str().into());
    let place = say!(words, "Procedure {n} of {all}", n = page.number, all = page.of);
    view.set_place_text(place.into());
    super::fill(view.get_conditions(), super::lines(&page.conditions), |rows| {
        view.set_conditions(rows)
    });
    super::fill(view.get_people(), super::lines(&page.people), |rows| {
        view.set_people(rows)
    });
    super::fill(view.get_tools(), super::lines(&page.tools), |rows| {
        view.set_tools(rows)
    });
    super::fill(view.get_hazards(), hazard::panels(&page.hazards), |rows| {
        view.set_hazards(rows)
    });
}

/// Shows hazards one after the other; `again` when they were acknowledged before.
pub(super) fn show_hazards(app: &App, title: &str, hazards: &[HazardPanel], first: i32, again: bool) {
    let view = app.global::<HazardPage>();
    view.set_place_text(title.into());
    view.set_hazards(hazard::panels(hazards));
    view.set_index(first);
    view.set_again(again);
}

/// Joins the pages' controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    app.global::<BeforePage>().on_begin(desk.on(Desk::begin));
    let hazards = app.global::<HazardPage>();
    hazards.on_acknowledged(desk.on(Desk::acknowledge));
    hazards.on_closed(desk.on(Desk::back));
}

impl Desk {
    /// What stands before the procedure is affirmed: now its hazards, or straight on.
    pub(super) fn begin(&mut self) -> Done {
        match self.page()? {
            page::Page::Before(page) if !page.hazards.is_empty() => self.over(Overlay::BeforeHazards),
            page::Page::Before(page) => self.act(Event::Begin {
                procedure: page.procedure,
            }),
            _ => Err(Trouble::moved_on()),
        }
    }

    /// All hazards shown were read.
    pub(super) fn acknowledge(&mut self) -> Done {
        match self.page()? {
            page::Page::Before(page) => self.act(Event::Begin {
                procedure: page.procedure,
            }),
            page::Page::Step(page) => self.act(Event::Acknowledge { step: page.step }),
            _ => Err(Trouble::moved_on()),
        }
    }
}
