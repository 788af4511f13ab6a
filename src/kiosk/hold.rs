//! Hold and witness points.

use super::desk::{Desk, Wired};
use super::{App, CoveredStep, HoldPage, ReadingRow, gauge};
use crate::page::sign::{CoveredLine, CoveredValue, PointPage};
use slint::ComponentHandle;

/// Shows a point; `again` says which covered steps are chosen to be done again.
pub(super) fn show(app: &App, page: &PointPage, witness: bool, again: &[bool], names: &dyn Fn(&str) -> String) {
    let view = app.global::<HoldPage>();
    view.set_witness(witness);
    let kind = if witness { "Witness point" } else { "Hold point" };
    view.set_title(format!("{kind}: {}", page.procedure_title).into());
    view.set_says(page.says.as_str().into());
    view.set_done_by(done_by(page, witness, names).into());
    view.set_covered(super::list(
        page.covered.iter().enumerate().map(|(place, line)| covered(place, line, names)),
    ));
    let again: Vec<bool> = (0..page.covered.len()).map(|place| again.get(place) == Some(&true)).collect();
    view.set_can_send(again.contains(&true));
    view.set_again(super::list(again));
}

fn done_by(page: &PointPage, witness: bool, names: &dyn Fn(&str) -> String) -> String {
    let workers: Vec<String> = page.workers.iter().map(|id| names(id)).collect();
    let who = format!("Work done by {}.", workers.join(" and "));
    if witness { who } else { format!("{who} Somebody else must release it.") }
}

fn covered(place: usize, line: &CoveredLine, names: &dyn Fn(&str) -> String) -> CoveredStep {
    CoveredStep {
        title: (place + 1).to_string().into(),
        command: line.command.as_str().into(),
        by: names(&line.by).into(),
        readings: super::list(line.values.iter().map(value)),
        deviation: line.deviations.join("; ").into(),
    }
}

fn value(value: &CoveredValue) -> ReadingRow {
    ReadingRow {
        label: value.label.as_str().into(),
        value: value.shown.as_str().into(),
        band: value.band.as_str().into(),
        verdict: gauge::verdict(value.verdict),
        verdict_text: gauge::verdict_text(value.verdict).into(),
        ..ReadingRow::default()
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<HoldPage>();
    view.on_release(desk.on(Desk::release));
    view.on_send_back(desk.on(Desk::send_back));
    view.on_toggle(desk.on_with(|desk, place: i32| desk.toggle_again(place)));
    view.on_attended(desk.on(Desk::attended));
    view.on_not_attended(desk.on(Desk::not_attended));
}
