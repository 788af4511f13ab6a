//! A deviation's page.

use super::desk::{Desk, Done, Trouble};
use super::sign::Purpose;
use super::wired::Wired;
use super::{App, DeviationPage, gauge};
use crate::page;
use crate::page::deviation::DeviationPage as Page;
use crate::player::fact::Verdict;
use crate::say;
use crate::words::Words;
use slint::ComponentHandle;

/// Shows a deviation.
pub(super) fn show(app: &App, page: &Page, words: &Words) {
    let view = app.global::<DeviationPage>();
    let judged = verdict(page);
    let picture = gauge::picture(page.gauge.as_ref(), judged, words);
    view.set_title(super::said(&page.what));
    view.set_step_text(super::said(&page.command));
    view.set_value(picture.value_text.clone());
    view.set_verdict(gauge::verdict(judged));
    view.set_verdict_text(words.say(gauge::verdict_text(judged, true)).into());
    view.set_gauge(picture);
    view.set_band(super::said(&page.band));
    view.set_origin(super::said(&origin(page)));
    let because = match page.undecided.as_str() {
        "" => page.because.as_str(),
        undecided => undecided,
    };
    view.set_because(super::said(because));
    let first = say!(
        words,
        "Entry {n} of the record; what was read first stays there.",
        n = page.number
    );
    view.set_first(first.into());
    view.set_photos_text(page::photos::called(page.photos, words).into());
    view.set_can_measure(page.can_measure_again);
    view.set_rework_note(super::said(&rework(page, words)));
    view.set_can_concede(page.no_concession.is_none());
    let note = page
        .no_concession
        .as_deref()
        .unwrap_or(words.say("A concession: a supervisor gives a reason and signs."));
    view.set_concede_note(super::said(note));
}

fn verdict(page: &Page) -> Option<Verdict> {
    if !page.undecided.is_empty() {
        return Some(Verdict::Undecided);
    }
    let gauge = page.gauge.as_ref()?;
    let value = gauge.value?;
    match (gauge.low, gauge.high) {
        (Some(low), _) if value < low => Some(Verdict::Below),
        (_, Some(high)) if value > high => Some(Verdict::Above),
        _ => None,
    }
}

fn origin(page: &Page) -> String {
    match (page.band.as_str(), page.origin.as_str()) {
        (band, "") => band.to_owned(),
        (band, origin) => format!("{band}: {origin}"),
    }
}

fn rework(page: &Page, words: &Words) -> String {
    match page.rework_reopens.as_slice() {
        [] => say!(words, "The step is open again."),
        [one] => say!(words, "Opens again: {command}", command = one),
        many => say!(
            words,
            "Opens {n} steps again, the first: {command}",
            n = many.len(),
            command = many[0]
        ),
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<DeviationPage>();
    view.on_measure_again(desk.on(Desk::measure_again));
    view.on_rework(desk.on(Desk::rework));
    view.on_concede(desk.on(Desk::concede));
    view.on_photos(desk.on(Desk::photos_of_deviation));
}

impl Desk {
    /// The same thing is measured again.
    pub(super) fn measure_again(&mut self) -> Done {
        let deviation = self.deviation()?;
        self.ask_words(Purpose::MeasureAgain(deviation))
    }

    /// The work is done again.
    pub(super) fn rework(&mut self) -> Done {
        let deviation = self.deviation()?;
        self.ask_words(Purpose::Rework(deviation))
    }

    /// A supervisor is asked to accept it.
    pub(super) fn concede(&mut self) -> Done {
        let deviation = self.deviation()?;
        self.ask_signature(Purpose::Concede(deviation))
    }

    /// The photographs of its step; one that is added belongs to the deviation.
    pub(super) fn photos_of_deviation(&mut self) -> Done {
        match self.page()? {
            page::Page::Deviation(page) => {
                let step = page.step.ok_or_else(Trouble::moved_on)?;
                self.show_photos(step, Some(page.number))
            }
            _ => Err(Trouble::moved_on()),
        }
    }

    fn deviation(&self) -> Result<u64, Trouble> {
        match self.page()? {
            page::Page::Deviation(page) => Ok(page.number),
            _ => Err(Trouble::moved_on()),
        }
    }
}
