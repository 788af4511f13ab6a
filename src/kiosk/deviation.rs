//! A deviation's page.

use super::desk::{Desk, Done, Trouble};
use super::sign::Purpose;
use super::wired::Wired;
use super::{App, DeviationPage, gauge};
use crate::page;
use crate::page::deviation::DeviationPage as Page;
use crate::player::fact::Verdict;
use slint::ComponentHandle;

/// Shows a deviation.
pub(super) fn show(app: &App, page: &Page) {
    let view = app.global::<DeviationPage>();
    let judged = verdict(page);
    let picture = gauge::picture(page.gauge.as_ref(), judged);
    view.set_title(page.what.as_str().into());
    view.set_step_text(page.command.as_str().into());
    view.set_value(picture.value_text.clone());
    view.set_verdict(gauge::verdict(judged));
    view.set_verdict_text(gauge::verdict_text(judged, true).into());
    view.set_gauge(picture);
    view.set_band(page.band.as_str().into());
    view.set_origin(origin(page).into());
    let because = match page.undecided.as_str() {
        "" => page.because.as_str(),
        undecided => undecided,
    };
    view.set_because(because.into());
    view.set_first(
        format!(
            "Entry {} of the record; what was read first stays there.",
            page.number
        )
        .into(),
    );
    view.set_can_measure(page.can_measure_again);
    view.set_rework_note(rework(page).into());
    view.set_can_concede(page.no_concession.is_none());
    let note = page
        .no_concession
        .as_deref()
        .unwrap_or("A concession: a supervisor gives a reason and signs.");
    view.set_concede_note(note.into());
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

fn rework(page: &Page) -> String {
    match page.rework_reopens.as_slice() {
        [] => "The step is open again.".to_owned(),
        [one] => format!("Opens again: {one}"),
        many => format!("Opens {} steps again, the first: {}", many.len(), many[0]),
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<DeviationPage>();
    view.on_measure_again(desk.on(Desk::measure_again));
    view.on_rework(desk.on(Desk::rework));
    view.on_concede(desk.on(Desk::concede));
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

    fn deviation(&self) -> Result<u64, Trouble> {
        match self.page()? {
            page::Page::Deviation(page) => Ok(page.number),
            _ => Err(Trouble::moved_on()),
        }
    }
}
