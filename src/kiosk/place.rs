//! The page of what comes now, brought to the screen.

use super::{App, Frame, Place, before, card, closing, deviation, hold, question, step};
use crate::page::Page;
use crate::page::step::Shows;
use crate::procedure::picture;
use crate::say;
use crate::words::Words;
use slint::{ComponentHandle, Image};

/// What pages need beside themselves.
pub struct Around<'a> {
    /// The bytes of a drawing under `media/`.
    pub media: &'a dyn Fn(&str) -> Option<Vec<u8>>,
    /// The name of a person by their id.
    pub name: &'a dyn Fn(&str) -> String,
    /// The language in which the page is said.
    pub words: &'a Words,
}

impl Around<'_> {
    /// The drawing in the colours of day or night, if it is there and can be drawn.
    pub(super) fn picture(&self, shows: &Shows, night: bool) -> Option<Image> {
        let day = match shows {
            Shows::File(path) => (self.media)(path)?,
            Shows::Drawn(svg) => svg.clone().into_bytes(),
        };
        if !night {
            return Image::load_from_svg_data(&day).ok();
        }
        let svg = picture::by_night(&String::from_utf8_lossy(&day));
        Image::load_from_svg_data(svg.as_bytes()).ok()
    }
}

/// Shows the page and goes to its place.
pub(super) fn show(app: &App, page: &Page, around: &Around<'_>) {
    draw(app, page, around);
    go(app, place(page));
}

/// Goes to a place. What has the focus goes with the page that is left, so the window takes it before.
pub(super) fn go(app: &App, place: Place) {
    let frame = app.global::<Frame>();
    if frame.get_place() != place {
        app.invoke_take_keys();
        frame.set_place(place);
    }
}

fn draw(app: &App, page: &Page, around: &Around<'_>) {
    let words = around.words;
    match page {
        Page::Card(page) => card::show_findings(app, page, words),
        Page::Before(page) => before::show(app, page, words),
        Page::Step(page) if !page.to_acknowledge.is_empty() => {
            let title = say!(
                words,
                "Before the next step of: {procedure}",
                procedure = page.procedure_title
            );
            before::show_hazards(app, &title, &page.to_acknowledge, 0, false);
        }
        Page::Step(page) => step::show(app, page, around),
        Page::Deviation(page) => deviation::show(app, page, words),
        Page::Question(page) => question::show(app, page, None),
        Page::Witness(page) => hold::show(app, page, true, None, around.name, words),
        Page::Hold(page) => hold::show(app, page, false, None, around.name, words),
        Page::CloseOut(page) => closing::show_lines(app, page),
        Page::End(page) | Page::Closed(page) => closing::show(app, page, words),
    }
}

/// Where on the screen the page is.
pub(super) fn place(page: &Page) -> Place {
    match page {
        Page::Card(_) => Place::Card,
        Page::Before(_) => Place::Before,
        Page::Step(page) if !page.to_acknowledge.is_empty() => Place::Hazards,
        Page::Step(_) => Place::Step,
        Page::Deviation(_) => Place::Deviation,
        Page::Question(_) => Place::Question,
        Page::Witness(_) => Place::Witness,
        Page::Hold(_) => Place::Hold,
        Page::CloseOut(_) => Place::CloseOut,
        Page::End(_) | Page::Closed(_) => Place::Closing,
    }
}
