//! The strip of all steps, and the list of them.

use super::{App, PlanPage, PlanRow, StepCell, StepState};
use crate::page::Strip;
use crate::page::strip::StripMark;
use slint::{ComponentHandle, ModelRc};

/// The cells of the strip.
pub(super) fn cells(strip: &Strip) -> ModelRc<StepCell> {
    super::list(strip.marks.iter().map(|mark| StepCell {
        title: mark.command.as_str().into(),
        state: state(mark),
        hold: mark.hold,
        released: mark.released,
        witness: mark.witness,
        deviation: mark.deviation,
        starts: mark.starts,
    }))
}

/// What is done and what comes, in one line.
pub(super) fn summary(strip: &Strip) -> String {
    let mut parts = vec![format!("{} of {} done", strip.done, strip.total)];
    let deviations = strip.marks.iter().filter(|mark| mark.deviation).count();
    if deviations > 0 {
        let open = strip.marks.iter().filter(|mark| !mark.settled).count();
        parts.push(match (deviations, open) {
            (1, 0) => "1 deviation, settled".to_owned(),
            (many, 0) => format!("{many} deviations, settled"),
            (_, open) => format!("{open} deviation{} open", if open == 1 { "" } else { "s" }),
        });
    }
    if let Some(ahead) = next_hold(strip) {
        parts.push(match ahead {
            0 => "ends in a hold point".to_owned(),
            1 => "hold point in 1 step".to_owned(),
            many => format!("hold point in {many} steps"),
        });
    }
    parts.join(", ")
}

fn next_hold(strip: &Strip) -> Option<usize> {
    let now = strip.now?;
    strip.marks[now..]
        .iter()
        .position(|mark| mark.hold && !mark.released)
}

/// Where the step stands in the whole job.
pub(super) fn place(strip: &Strip) -> String {
    strip.now.map_or_else(
        || format!("{} steps", strip.total),
        |now| format!("Step {} of {}", now + 1, strip.total),
    )
}

fn state(mark: &StripMark) -> StepState {
    match (mark.done, mark.now) {
        (true, _) => StepState::Done,
        (false, true) => StepState::Now,
        (false, false) if mark.deviation && !mark.settled => StepState::Reopened,
        (false, false) => StepState::Ahead,
    }
}

/// Shows the list of all steps.
pub(super) fn show(app: &App, strip: &Strip) {
    let page = app.global::<PlanPage>();
    page.set_summary(format!("{}.", summary(strip)).into());
    page.set_rows(super::list(strip.marks.iter().flat_map(rows)));
}

fn rows(mark: &StripMark) -> Vec<PlanRow> {
    let mut rows = Vec::new();
    if mark.starts {
        rows.push(PlanRow {
            heading: true,
            title: mark.procedure_title.as_str().into(),
            ..PlanRow::default()
        });
    }
    rows.push(PlanRow {
        heading: false,
        title: format!("{}. {}", mark.number, mark.command).into(),
        state: state(mark),
        state_text: match state(mark) {
            StepState::Done => "Done",
            StepState::Now => "Now",
            StepState::Reopened => "Open again",
            StepState::Ahead => "",
        }
        .into(),
        gate: gate(mark).into(),
        deviation: mark.deviation,
    });
    rows
}

fn gate(mark: &StripMark) -> &'static str {
    match (mark.hold, mark.released, mark.witness) {
        (true, true, _) => "Hold point, released",
        (true, false, _) => "Hold point",
        (false, _, true) => "Witness point",
        (false, _, false) => "",
    }
}
