//! The record as it can be read: one line an entry.

use super::together::named;
use crate::player::fact::{Body, Fact, Verdict};
use crate::player::{State, fact, photo};
use crate::procedure::{ProcedureId, StepRef};
use crate::say;
use crate::to_say;
use crate::words::Words;
use std::collections::BTreeMap;

/// What the ids of a record are called in it.
#[derive(Clone, Debug, Default)]
pub struct Called {
    steps: BTreeMap<StepRef, String>,
    procedures: BTreeMap<ProcedureId, String>,
}

impl Called {
    /// The commands and the titles that the record's plans name; the last one counts.
    #[must_use]
    pub fn of<'a>(facts: impl IntoIterator<Item = &'a Fact>) -> Called {
        let mut called = Called::default();
        for fact in facts {
            let Body::Plan(plan) = &fact.body else { continue };
            for procedure in plan {
                let title = procedure.title.clone();
                called.procedures.insert(procedure.procedure.clone(), title);
                let steps = procedure.steps.iter();
                called
                    .steps
                    .extend(steps.map(|step| (step.step.clone(), step.command.clone())));
            }
        }
        called
    }

    /// The step's command, or its id where no plan names it.
    fn step(&self, step: &StepRef) -> String {
        let command = self.steps.get(step).map(|command| command.trim_end_matches('.'));
        command.map_or_else(|| step.to_string(), str::to_owned)
    }

    fn procedure(&self, procedure: &ProcedureId) -> String {
        let title = self.procedures.get(procedure);
        title.map_or_else(|| procedure.to_string(), Clone::clone)
    }
}

/// One entry in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordLine {
    pub number: u64,
    /// `2026-03-02 09:14`, in the offset that the entry carries.
    pub at: String,
    pub by: String,
    /// The kind in the words of the trade.
    pub kind: String,
    pub text: String,
    /// The id of the step or the procedure that the text names; empty where it names none.
    pub id: String,
    /// Opened, conceded or sent back: worth a second look.
    pub notable: bool,
}

/// The whole record with its state in words.
#[derive(Clone, Debug)]
pub struct RecordPage {
    pub number: String,
    pub title: String,
    /// `open`, `closed` or `practice`.
    pub state: String,
    pub lines: Vec<RecordLine>,
}

/// The record of a job.
#[must_use]
pub fn page(state: &State) -> RecordPage {
    let opening = state.opening();
    let called = Called::of(state.facts().iter().map(AsRef::as_ref));
    RecordPage {
        number: opening.map_or_else(String::new, |opening| opening.number.clone()),
        title: opening.map_or_else(String::new, |opening| opening.title.clone()),
        state: state.words().say(state_word(state)).to_owned(),
        lines: state
            .facts()
            .iter()
            .map(|fact| line(fact, &called, state.words()))
            .collect(),
    }
}

/// Whether the job is open, closed, or never counts as proof.
#[must_use]
pub fn state_word(state: &State) -> &'static str {
    match (state.practice(), state.closed()) {
        (true, _) => to_say!("practice"),
        (false, true) => to_say!("closed"),
        (false, false) => to_say!("open"),
    }
}

/// One fact in words.
#[must_use]
pub fn line(fact: &Fact, called: &Called, words: &Words) -> RecordLine {
    RecordLine {
        number: fact.n,
        at: fact.at.format("%Y-%m-%d %H:%M").to_string(),
        by: fact.by.clone(),
        kind: words.say(kind(&fact.body)).to_owned(),
        text: text(&fact.body, called, words),
        id: id(&fact.body),
        notable: matches!(
            fact.body,
            Body::Deviation { .. } | Body::Concession { .. } | Body::SendBack { .. } | Body::Rework { .. }
        ),
    }
}

/// The kind in the words of the trade.
fn kind(body: &Body) -> &'static str {
    match body {
        Body::Opening(_) => to_say!("opening"),
        Body::Card(_) => to_say!("card"),
        Body::Plan(_) => to_say!("plan"),
        Body::Begin { .. } => to_say!("begin"),
        Body::Acknowledged { .. } => to_say!("hazards acknowledged"),
        Body::Read(_) => to_say!("reading"),
        Body::WorkedOut(_) => to_say!("figure"),
        Body::Done { .. } => to_say!("done"),
        Body::Deviation { .. } => to_say!("deviation"),
        Body::MeasureAgain { .. } => to_say!("measure again"),
        Body::Rework { .. } => to_say!("rework"),
        Body::Concession { .. } => to_say!("concession"),
        Body::Resolved { .. } => to_say!("resolved"),
        Body::Witness { .. } => to_say!("witness point"),
        Body::Release { .. } => to_say!("release"),
        Body::SendBack { .. } => to_say!("sent back"),
        Body::CloseOut { .. } => to_say!("close-out"),
        Body::Answered { .. } => to_say!("answer"),
        Body::Note { .. } => to_say!("note"),
        Body::Photograph { .. } => to_say!("photograph"),
        Body::Language { .. } => to_say!("language"),
        Body::Resume { .. } => to_say!("resume"),
        Body::SignOff { .. } => to_say!("sign-off"),
        Body::JobRelease { .. } => to_say!("job release"),
        Body::Closing { .. } => to_say!("closing"),
    }
}

/// Of which step or procedure an entry is that names it by what it is called.
fn id(body: &Body) -> String {
    match body {
        Body::Acknowledged { step, .. }
        | Body::Witness { step, .. }
        | Body::Release { step, .. }
        | Body::SendBack { step, .. }
        | Body::Answered { step, .. }
        | Body::Photograph { step: Some(step), .. } => step.to_string(),
        Body::CloseOut { procedure, .. } => procedure.to_string(),
        _ => String::new(),
    }
}

fn text(body: &Body, called: &Called, words: &Words) -> String {
    match body {
        Body::Opening(opening) => format!("{} {}", opening.number, opening.title),
        Body::Card(card) => card_words(card, words),
        Body::Plan(plan) => plan_words(plan, words),
        Body::Begin { title, .. } => title.clone(),
        Body::Acknowledged { step, hazards } => {
            let many = hazards.len() as u64;
            let many = say!(words, "{n} hazard" | "{n} hazards", n = many);
            format!("{}: {many}", called.step(step))
        }
        Body::Read(reading) => {
            let verdict = words.say(verdict_word(reading.verdict));
            let said = format!("{} ({verdict})", named(&reading.label, &reading.shown));
            match super::instrument::read_itself(reading, words) {
                Some(live) => format!("{said}, {live}"),
                None => said,
            }
        }
        Body::WorkedOut(worked) => figure_words(worked, words),
        Body::Done { wording, .. } => wording.command.clone(),
        Body::Deviation { what, .. } => what.clone(),
        Body::Witness { step, attended, .. } => {
            let said = if *attended {
                to_say!("attended")
            } else {
                to_say!("called, not attended")
            };
            format!("{}: {}", called.step(step), words.say(said))
        }
        Body::SendBack { step, reason, .. } => format!("{}: {reason}", called.step(step)),
        Body::CloseOut { procedure, .. } => called.procedure(procedure),
        Body::Answered {
            step, chosen, right, ..
        } => {
            let said = if *right {
                to_say!("right")
            } else {
                to_say!("not right")
            };
            format!("{}: {chosen} ({})", called.step(step), words.say(said))
        }
        Body::Note { text, .. } => text.clone(),
        Body::Photograph { .. } => photographed(body, called, words),
        Body::Language { language } => language.to_string(),
        Body::Resume { torn } => torn
            .as_ref()
            .map_or_else(String::new, |torn| say!(words, "torn bytes {hash}", hash = torn)),
        Body::MeasureAgain { .. } | Body::Rework { .. } | Body::Concession { .. } | Body::Resolved { .. } => {
            decided(body, words)
        }
        Body::Release { .. } | Body::SignOff { .. } | Body::JobRelease { .. } | Body::Closing { .. } => {
            signed(body, called, words)
        }
    }
}

/// Which photograph, and what it shows.
fn photographed(body: &Body, called: &Called, words: &Words) -> String {
    let Body::Photograph {
        step,
        deviation,
        photo,
    } = body
    else {
        return String::new();
    };
    let shown = photo::shown(photo, words);
    match (step, deviation) {
        (_, Some(n)) => say!(words, "{photo}, of deviation {n}", photo = shown, n = n),
        (Some(step), None) => format!("{}: {shown}", called.step(step)),
        (None, None) => shown,
    }
}

/// What became of a deviation.
fn decided(body: &Body, words: &Words) -> String {
    match body {
        Body::MeasureAgain { deviation, reason } | Body::Concession { deviation, reason } => {
            say!(words, "deviation {n}: {reason}", n = deviation, reason = reason)
        }
        Body::Rework {
            deviation,
            what,
            reopens,
        } => {
            let open = reopens.len() as u64;
            let open = say!(words, "{n} step open again" | "{n} steps open again", n = open);
            let said = say!(words, "deviation {n}: {reason}", n = deviation, reason = what);
            format!("{said} ({open})")
        }
        Body::Resolved { deviation, by_entry } => say!(
            words,
            "deviation {n}, by entry {entry}",
            n = deviation,
            entry = by_entry
        ),
        _ => String::new(),
    }
}

/// What was signed for, by so many entries.
fn signed(body: &Body, called: &Called, words: &Words) -> String {
    match body {
        Body::Release { step, covers, .. } => {
            let entries = entries(covers.len(), words);
            say!(
                words,
                "{step}: it stands on {entries}",
                step = called.step(step),
                entries = entries
            )
        }
        Body::SignOff { covers, .. } => {
            say!(
                words,
                "Signed for {entries}",
                entries = entries(covers.len(), words)
            )
        }
        Body::JobRelease { covers, .. } => {
            say!(
                words,
                "Released on {entries}",
                entries = entries(covers.len(), words)
            )
        }
        Body::Closing { entries } => say!(
            words,
            "Closed with {n} entry, this one counted" | "Closed with {n} entries, this one counted",
            n = *entries
        ),
        _ => String::new(),
    }
}

fn entries(count: usize, words: &Words) -> String {
    say!(
        words,
        "{n} entry of the work" | "{n} entries of the work",
        n = count as u64
    )
}

fn card_words(card: &fact::Card, words: &Words) -> String {
    let (answers, figures) = (card.answers.len() as u64, card.figures.len() as u64);
    let answers = say!(words, "{n} answer" | "{n} answers", n = answers);
    let figures = say!(words, "{n} figure" | "{n} figures", n = figures);
    format!("{answers}, {figures}")
}

fn plan_words(plan: &[fact::PlannedProcedure], words: &Words) -> String {
    let steps: usize = plan.iter().map(|procedure| procedure.steps.len()).sum();
    let holds = plan
        .iter()
        .flat_map(|procedure| &procedure.steps)
        .filter(|step| step.hold)
        .count();
    let procedures = say!(words, "{n} procedure" | "{n} procedures", n = plan.len() as u64);
    let steps = say!(words, "{n} step" | "{n} steps", n = steps as u64);
    let holds = say!(words, "{n} hold point" | "{n} hold points", n = holds as u64);
    format!("{procedures}, {steps}, {holds}")
}

fn figure_words(worked: &fact::WorkedOut, words: &Words) -> String {
    let view = super::step::figure_view(worked, None, words);
    match view.verdict {
        Some(verdict) => format!(
            "{}: {} ({})",
            view.label,
            view.result,
            words.say(verdict_word(verdict))
        ),
        None => format!("{}: {}", view.label, view.result),
    }
}

/// The verdict in words.
#[must_use]
pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::In => to_say!("in band"),
        Verdict::Undecided => to_say!("too near a limit to tell"),
        Verdict::Below => to_say!("below the band"),
        Verdict::Above => to_say!("above the band"),
        Verdict::NotAmong => to_say!("not as wanted"),
        Verdict::Unjudged => to_say!("kept, not judged"),
    }
}
