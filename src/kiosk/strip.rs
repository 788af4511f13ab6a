//! The strip of all steps, and the list of them.

use super::desk::{Desk, Done, Overlay};
use super::finger::Finger;
use super::sign::Purpose;
use super::wired::Wired;
use super::{App, JobPart, PlanPage, PlanRow, StepCell, StepState};
use crate::page::Strip;
use crate::page::strip::StripMark;
use crate::say;
use crate::session::Session;
use crate::to_say;
use crate::words::Words;
use slint::{ComponentHandle, ModelRc};

/// The steps of the procedure that is worked on, or of the last one when all are done.
fn current(strip: &Strip) -> &[StripMark] {
    let now = strip.now.unwrap_or(strip.marks.len().saturating_sub(1));
    let starts = |mark: &&StripMark| mark.starts;
    let first = strip.marks[..strip.marks.len().min(now + 1)]
        .iter()
        .rposition(|mark| starts(&mark))
        .unwrap_or(0);
    let rest = &strip.marks[first..];
    let length = rest
        .iter()
        .skip(1)
        .position(|mark| starts(&mark))
        .map_or(rest.len(), |next| next + 1);
    &rest[..length]
}

/// The whole job, one part a procedure.
pub(super) fn parts(strip: &Strip) -> ModelRc<JobPart> {
    let mut parts: Vec<JobPart> = Vec::new();
    for (place, mark) in strip.marks.iter().enumerate() {
        if mark.starts {
            let total = strip.total as i32;
            parts.push(JobPart {
                before: place as i32,
                total,
                ..JobPart::default()
            });
        }
        if let Some(part) = parts.last_mut() {
            part.steps += 1;
            part.done += if mark.done { 1.0 } else { 0.0 };
            part.now |= mark.now;
        }
    }
    for part in &mut parts {
        part.done /= part.steps.max(1) as f32;
    }
    super::list(parts)
}

/// The cells of the strip: the procedure that is worked on.
pub(super) fn cells(strip: &Strip) -> ModelRc<StepCell> {
    super::list(current(strip).iter().map(|mark| StepCell {
        // What is told behind it begins with a full stop of its own.
        title: super::said(mark.command.trim_end_matches('.')),
        state: state(mark),
        hold: mark.hold,
        released: mark.released,
        witness: mark.witness,
        deviation: mark.deviation,
        starts: mark.starts,
    }))
}

/// What is done and what comes, in one line.
pub(super) fn summary(strip: &Strip, words: &Words) -> String {
    let done = say!(words, "{n} of {all} done", n = strip.done, all = strip.total);
    let parts = [Some(done), deviations(strip, words), hold_ahead(strip, words)];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The same for the head of a step's page, which has one line: what is settled its strip shows by itself.
pub(super) fn in_short(strip: &Strip, words: &Words) -> String {
    let done = say!(words, "{n} of {all} done", n = strip.done, all = strip.total);
    let open = strip.marks.iter().any(|mark| !mark.settled);
    let open = open.then(|| deviations(strip, words)).flatten();
    let parts = [Some(done), open, hold_ahead(strip, words)];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn deviations(strip: &Strip, words: &Words) -> Option<String> {
    let count = |of: fn(&&StripMark) -> bool| strip.marks.iter().filter(of).count() as u64;
    let (all, open) = (count(|mark| mark.deviation), count(|mark| !mark.settled));
    match (all, open) {
        (0, _) => None,
        (all, 0) => Some(say!(
            words,
            "{n} deviation, settled" | "{n} deviations, settled",
            n = all
        )),
        (_, open) => Some(say!(
            words,
            "{n} deviation open" | "{n} deviations open",
            n = open
        )),
    }
}

fn hold_ahead(strip: &Strip, words: &Words) -> Option<String> {
    Some(match next_hold(strip)? as u64 {
        0 => say!(words, "ends in a hold point"),
        ahead => say!(
            words,
            "hold point in {n} step" | "hold point in {n} steps",
            n = ahead
        ),
    })
}

fn next_hold(strip: &Strip) -> Option<usize> {
    let now = strip.now?;
    strip.marks[now..]
        .iter()
        .position(|mark| mark.hold && !mark.released)
}

/// Where the step stands in its procedure.
pub(super) fn place(strip: &Strip, words: &Words) -> String {
    let marks = current(strip);
    let now = marks.iter().position(|mark| mark.now);
    now.map_or_else(
        || say!(words, "{n} step" | "{n} steps", n = marks.len() as u64),
        |now| say!(words, "Step {n} of {all}", n = now + 1, all = marks.len()),
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

/// The places in the strip where procedures begin.
fn starts(strip: &Strip) -> Vec<usize> {
    let marks = strip.marks.iter().enumerate();
    marks
        .filter(|(_, mark)| mark.starts)
        .map(|(place, _)| place)
        .collect()
}

/// The procedure that is worked on, counted from 0.
fn worked_on(strip: &Strip) -> usize {
    let now = strip.now.unwrap_or(strip.marks.len());
    starts(strip)
        .iter()
        .filter(|start| **start <= now)
        .count()
        .saturating_sub(1)
}

/// Shows the steps of a procedure; of the one that is worked on where none is chosen.
pub(super) fn show(app: &App, strip: &Strip, chosen: Option<usize>, words: &Words) {
    let page = app.global::<PlanPage>();
    let starts = starts(strip);
    let chosen = chosen
        .unwrap_or_else(|| worked_on(strip))
        .min(starts.len().saturating_sub(1));
    let first = starts.get(chosen).copied().unwrap_or_default();
    let last = starts.get(chosen + 1).copied().unwrap_or(strip.marks.len());
    let marks = &strip.marks[first..last];
    page.set_title(
        marks
            .first()
            .map_or("", |mark| mark.procedure_title.as_str())
            .into(),
    );
    let procedure = say!(
        words,
        "Procedure {n} of {all}",
        n = chosen + 1,
        all = starts.len()
    );
    page.set_summary(format!("{procedure}. {}.", summary(strip, words)).into());
    page.set_has_before(chosen > 0);
    page.set_has_after(chosen + 1 < starts.len());
    super::fill(
        page.get_rows(),
        super::list(marks.iter().enumerate().map(|mark| row(mark, words))),
        |rows| page.set_rows(rows),
    );
}

fn row((place, mark): (usize, &StripMark), words: &Words) -> PlanRow {
    let state_text = match state(mark) {
        StepState::Done => to_say!("Done"),
        StepState::Now => to_say!("Now"),
        StepState::Reopened => to_say!("Open again"),
        StepState::Ahead => "",
    };
    PlanRow {
        title: format!("{}. {}", place + 1, mark.command).into(),
        state: state(mark),
        state_text: words.say(state_text).into(),
        gate: words.say(gate(mark)).into(),
        deviation: mark.deviation,
    }
}

fn gate(mark: &StripMark) -> &'static str {
    match (mark.hold, mark.released, mark.witness) {
        (true, true, _) => to_say!("Hold point, released"),
        (true, false, _) => to_say!("Hold point"),
        (false, _, true) => to_say!("Witness point"),
        (false, _, false) => "",
    }
}

impl Desk {
    /// All steps are shown, those of the procedure that is worked on first.
    pub(super) fn show_plan(&mut self) -> Done {
        self.over(Overlay::Plan(None))
    }

    fn turn_plan(&mut self, by: isize) -> Done {
        let strip = self.strip()?;
        if let Some(Overlay::Plan(chosen)) = &mut self.overlay {
            let now = chosen.unwrap_or_else(|| worked_on(&strip));
            let most = starts(&strip).len().saturating_sub(1);
            *chosen = Some(now.saturating_add_signed(by).min(most));
        }
        self.refresh()
    }

    /// The steps of the procedure before.
    pub(super) fn plan_before(&mut self) -> Done {
        self.turn_plan(-1)
    }

    /// The steps of the procedure after.
    pub(super) fn plan_after(&mut self) -> Done {
        self.turn_plan(1)
    }

    /// A remark on the step that comes now.
    pub(super) fn note(&mut self) -> Done {
        let step = self.shop.session().and_then(Session::current_step);
        self.ask_words(Purpose::Note(step))
    }

    /// The accepted card, to be looked at or changed.
    pub(super) fn show_card(&mut self) -> Done {
        self.finger = Finger::default();
        self.over(Overlay::Card)
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<PlanPage>();
    view.on_before(desk.on(Desk::plan_before));
    view.on_after(desk.on(Desk::plan_after));
    view.on_note(desk.on(Desk::note));
    view.on_card(desk.on(Desk::show_card));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip(marks: &[(bool, bool)], now: Option<usize>) -> Strip {
        let mark = |(place, (starts, done)): (usize, &(bool, bool))| StripMark {
            step: crate::procedure::StepRef {
                procedure: "p".into(),
                step: "s".into(),
            },
            number: place + 1,
            command: format!("Do {place}."),
            done: *done,
            now: now == Some(place),
            hold: place == 3,
            released: false,
            witness: false,
            deviation: false,
            settled: true,
            starts: *starts,
            procedure_title: String::new(),
        };
        let marks: Vec<StripMark> = marks.iter().enumerate().map(mark).collect();
        Strip {
            done: marks.iter().filter(|mark| mark.done).count(),
            total: marks.len(),
            now,
            marks,
        }
    }

    #[test]
    fn the_strip_shows_the_procedure_and_the_bar_the_job() {
        let strip = strip(
            &[
                (true, true),
                (false, true),
                (true, true),
                (false, false),
                (true, false),
            ],
            Some(3),
        );
        assert_eq!(place(&strip, &Words::english()), "Step 2 of 2");
        let bar: Vec<JobPart> = slint::Model::iter(&parts(&strip)).collect();
        assert_eq!(
            bar.iter()
                .map(|part| (part.before, part.steps))
                .collect::<Vec<_>>(),
            [(0, 2), (2, 2), (4, 1)]
        );
        assert!((bar[0].done - 1.0).abs() < 1e-6 && (bar[1].done - 0.5).abs() < 1e-6 && bar[1].now);
        assert_eq!(
            summary(&strip, &Words::english()),
            "3 of 5 done, ends in a hold point"
        );
    }

    #[test]
    fn an_empty_and_a_done_job_have_a_place_too() {
        let words = Words::english();
        assert_eq!(place(&strip(&[], None), &words), "0 steps");
        assert_eq!(
            place(&strip(&[(true, true), (true, true)], None), &words),
            "1 step"
        );
    }
}
