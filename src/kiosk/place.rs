//! The page of what comes now, brought to the screen.

use super::{App, Frame, Place, before, card, closing, deviation, hold, question, step};
use crate::page::Page;
use slint::{ComponentHandle, Image};

/// What pages need beside themselves.
pub struct Around<'a> {
    /// The bytes of a drawing under `media/`.
    pub media: &'a dyn Fn(&str) -> Option<Vec<u8>>,
    /// The name of a person by their id.
    pub name: &'a dyn Fn(&str) -> String,
}

impl Around<'_> {
    /// The drawing, if it is there and can be drawn.
    pub(super) fn picture(&self, path: &str) -> Option<Image> {
        Image::load_from_svg_data(&(self.media)(path)?).ok()
    }
}

/// Shows the page and goes to its place.
pub(super) fn show(app: &App, page: &Page, around: &Around<'_>) {
    let place = match page {
        Page::Card(page) => {
            card::show_findings(app, page);
            Place::Card
        }
        Page::Before(page) => {
            before::show(app, page);
            Place::Before
        }
        Page::Step(page) if !page.to_acknowledge.is_empty() => {
            let title = format!("Before the next step of: {}", page.procedure_title);
            before::show_hazards(app, &title, &page.to_acknowledge, 0, false);
            Place::Hazards
        }
        Page::Step(page) => {
            step::show(app, page, around);
            Place::Step
        }
        Page::Deviation(page) => {
            deviation::show(app, page);
            Place::Deviation
        }
        Page::Question(page) => {
            question::show(app, page, None);
            Place::Question
        }
        Page::Witness(page) => {
            hold::show(app, page, true, None, around.name);
            Place::Witness
        }
        Page::Hold(page) => {
            hold::show(app, page, false, None, around.name);
            Place::Hold
        }
        Page::CloseOut(page) => {
            closing::show_lines(app, page);
            Place::CloseOut
        }
        Page::End(page) | Page::Closed(page) => {
            closing::show(app, page);
            Place::Closing
        }
    };
    app.global::<Frame>().set_place(place);
}
