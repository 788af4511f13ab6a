//! The record as it can be read: one line an entry.

use crate::player::fact::{Body, Fact, Verdict};
use crate::player::{State, fact};

/// One entry in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordLine {
    pub number: u64,
    /// `2026-03-02 09:14`, in the offset that the entry carries.
    pub at: String,
    pub by: String,
    /// The kind in the words of the trade.
    pub kind: &'static str,
    pub text: String,
    /// Opened, conceded or sent back: worth a second look.
    pub notable: bool,
}

/// The whole record with its state in words.
#[derive(Clone, Debug)]
pub struct RecordPage {
    pub number: String,
    pub title: String,
    /// `open`, `closed` or `practice`.
    pub state: &'static str,
    pub lines: Vec<RecordLine>,
}

/// The record of a job.
#[must_use]
pub fn page(state: &State) -> RecordPage {
    let opening = state.opening();
    RecordPage {
        number: opening.map_or_else(String::new, |opening| opening.number.clone()),
        title: opening.map_or_else(String::new, |opening| opening.title.clone()),
        state: state_word(state),
        lines: state.facts().iter().map(|fact| line(fact)).collect(),
    }
}

/// Whether the job is open, closed, or never counts as proof.
#[must_use]
pub fn state_word(state: &State) -> &'static str {
    match (state.practice(), state.closed()) {
        (true, _) => "practice",
        (false, true) => "closed",
        (false, false) => "open",
    }
}

/// One fact in words.
#[must_use]
pub fn line(fact: &Fact) -> RecordLine {
    let (kind, text) = words(&fact.body);
    RecordLine {
        number: fact.n,
        at: fact.at.format("%Y-%m-%d %H:%M").to_string(),
        by: fact.by.clone(),
        kind,
        text,
        notable: matches!(
            fact.body,
            Body::Deviation { .. } | Body::Concession { .. } | Body::SendBack { .. } | Body::Rework { .. }
        ),
    }
}

fn words(body: &Body) -> (&'static str, String) {
    match body {
        Body::Opening(opening) => ("opening", format!("{} {}", opening.number, opening.title)),
        Body::Card(card) => (
            "card",
            format!("{} answers, {} figures", card.answers.len(), card.figures.len()),
        ),
        Body::Plan(plan) => ("plan", plan_words(plan)),
        Body::Begin { title, .. } => ("begin", title.clone()),
        Body::Acknowledged { step, hazards } => (
            "hazards acknowledged",
            format!("{step}: {} hazards", hazards.len()),
        ),
        Body::Read(reading) => (
            "reading",
            format!(
                "{}: {} ({})",
                reading.label,
                reading.shown,
                verdict_word(reading.verdict)
            ),
        ),
        Body::WorkedOut(worked) => ("figure", figure_words(worked)),
        Body::Done { wording, .. } => ("done", wording.command.clone()),
        Body::Deviation { what, .. } => ("deviation", what.clone()),
        Body::MeasureAgain { deviation, reason } => {
            ("measure again", format!("deviation {deviation}: {reason}"))
        }
        Body::Rework {
            deviation,
            what,
            reopens,
        } => (
            "rework",
            format!(
                "deviation {deviation}: {what} ({} steps open again)",
                reopens.len()
            ),
        ),
        Body::Concession { deviation, reason } => ("concession", format!("deviation {deviation}: {reason}")),
        Body::Resolved { deviation, by_entry } => {
            ("resolved", format!("deviation {deviation}, by entry {by_entry}"))
        }
        Body::Witness { step, attended, .. } => (
            "witness point",
            format!(
                "{step}: {}",
                if *attended {
                    "attended"
                } else {
                    "called, not attended"
                }
            ),
        ),
        Body::Release { step, covers, .. } => (
            "release",
            format!("{step}, which stands on {}", entries(covers.len())),
        ),
        Body::SendBack { step, reason, .. } => ("sent back", format!("{step}: {reason}")),
        Body::CloseOut { procedure, .. } => ("close-out", procedure.to_string()),
        Body::Answered {
            step, chosen, right, ..
        } => (
            "answer",
            format!(
                "{step}: {chosen} ({})",
                if *right { "right" } else { "not right" }
            ),
        ),
        Body::Note { text, .. } => ("note", text.clone()),
        Body::Language { language } => ("language", language.to_string()),
        Body::Resume { torn } => (
            "resume",
            torn.as_ref()
                .map_or_else(String::new, |t| format!("torn bytes {t}")),
        ),
        Body::SignOff { covers, .. } => ("sign-off", format!("Signed for {}", entries(covers.len()))),
        Body::JobRelease { covers, .. } => ("job release", format!("Released on {}", entries(covers.len()))),
        Body::Closing { entries } => (
            "closing",
            format!("Closed with {entries} entries, this one counted"),
        ),
    }
}

fn entries(count: usize) -> String {
    if count == 1 {
        "1 entry of the work".to_owned()
    } else {
        format!("{count} entries of the work")
    }
}

fn plan_words(plan: &[fact::PlannedProcedure]) -> String {
    let steps: usize = plan.iter().map(|procedure| procedure.steps.len()).sum();
    let holds = plan
        .iter()
        .flat_map(|procedure| &procedure.steps)
        .filter(|step| step.hold)
        .count();
    format!("{} procedures, {steps} steps, {holds} hold points", plan.len())
}

fn figure_words(worked: &fact::WorkedOut) -> String {
    // A line shows no label of an input, so no circuit is needed.
    let view = super::step::figure_view(worked, &super::circuit::Circuits::new());
    match view.verdict {
        Some(verdict) => format!("{}: {} ({})", view.label, view.result, verdict_word(verdict)),
        None => format!("{}: {}", view.label, view.result),
    }
}

/// The verdict in words.
#[must_use]
pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::In => "in band",
        Verdict::Undecided => "too near a limit to tell",
        Verdict::Below => "below the band",
        Verdict::Above => "above the band",
        Verdict::NotAmong => "not as wanted",
        Verdict::Unjudged => "kept, not judged",
    }
}
