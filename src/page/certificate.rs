//! The certificate: everything that a customer, an insurer or a scrutineer wants to see on paper.

use super::instrument::{self, InstrumentLine};
use super::sign::{self, CoveredLine};
use super::step::{FigureView, figure_drawn};
use crate::player::deviation::{Course, Deviation};
use crate::player::fact::{Answer, Body, Fact, Verdict};
use crate::player::{State, play::step_ref};
use crate::say;
use crate::to_say;
use crate::words::Words;
use chrono::{DateTime, FixedOffset};
use std::collections::BTreeMap;

/// What the certificate says beside the job itself.
#[derive(Clone, Debug, Default)]
pub struct Seals {
    /// SHA-256 of the record's last line, hex.
    pub final_hash: String,
    /// SHA-256 of the ledger's closing line of this job, hex.
    pub ledger_head: String,
    /// `SHA256:…` of the root supervisor's key.
    pub root_fingerprint: String,
    /// Names by signer id.
    pub names: BTreeMap<String, String>,
}

/// The certificate's content.
#[derive(Clone, Debug)]
pub struct Certificate {
    pub shop: String,
    pub number: String,
    pub title: String,
    pub practice: bool,
    pub closed: bool,
    pub program: String,
    pub content_revision: u32,
    pub caution: String,
    pub opened: Option<DateTime<FixedOffset>>,
    /// The time of the closing entry; every time here comes from an entry.
    pub closed_at: Option<DateTime<FixedOffset>>,
    pub card: Vec<CardSection>,
    pub figures: Vec<FigureView>,
    pub procedures: Vec<CertificateProcedure>,
    /// The instruments with what they can be trusted with, and the rule that used it.
    pub instruments: Vec<InstrumentLine>,
    pub decision: String,
    pub deviations: Vec<CertificateDeviation>,
    pub signatures: Vec<Signature>,
    pub entries: u64,
    pub seals: Seals,
    /// The language of the whole sheet: that of the job.
    pub words: Words,
    pub proves: [&'static str; 3],
    pub proves_not: [&'static str; 4],
}

/// A group of the job card: label and answer.
#[derive(Clone, Debug)]
pub struct CardSection {
    pub title: String,
    pub answers: Vec<(String, String)>,
}

/// One procedure with its steps.
#[derive(Clone, Debug)]
pub struct CertificateProcedure {
    pub title: String,
    pub revision: u32,
    pub steps: Vec<CertificateStep>,
}

/// One step with what was read and who did it.
#[derive(Clone, Debug)]
pub struct CertificateStep {
    pub number: usize,
    pub line: CoveredLine,
    /// What deviated at it, in sentences.
    pub deviations: Vec<String>,
    /// When it was marked as done, and by whom.
    pub done: Option<(DateTime<FixedOffset>, String)>,
    /// A hold point: when it was released, and by whom.
    pub released: Option<(DateTime<FixedOffset>, String)>,
    /// A witness point: when, by whom, and whether it was attended.
    pub witnessed: Option<(DateTime<FixedOffset>, String, bool)>,
}

/// A deviation from its opening to its end.
#[derive(Clone, Debug)]
pub struct CertificateDeviation {
    pub number: u64,
    pub step: String,
    pub what: String,
    /// Each later entry about it, in words.
    pub course: Vec<String>,
    pub outcome: String,
    /// Whether it was accepted or resolved.
    pub settled: bool,
}

/// One signature with its meaning.
#[derive(Clone, Debug)]
pub struct Signature {
    pub entry: u64,
    pub at: DateTime<FixedOffset>,
    pub by: String,
    pub name: String,
    pub meaning: String,
}

/// What a record proves; the same words stand in the README and in the record's specification.
pub const PROVES: [&str; 3] = [
    to_say!("Who held which key when each entry was signed."),
    to_say!("In which order the entries were written."),
    to_say!("That no entry was changed, added or taken away since."),
];

/// What a record cannot prove.
pub const PROVES_NOT: [&str; 4] = [
    to_say!("That the tablet's clock was right."),
    to_say!("That hands did what an entry says."),
    to_say!("That no old, stolen key was used to write earlier dates."),
    to_say!("Whose shop this is: compare the root fingerprint with one that reached you by another way."),
];

/// The certificate of a job as it stands.
#[must_use]
pub fn page(state: &State, seals: Seals) -> Certificate {
    let opening = state.opening();
    let facts = state.facts();
    let closing = facts
        .iter()
        .find(|fact| matches!(fact.body, Body::Closing { .. }));
    Certificate {
        shop: opening.map_or_else(String::new, |opening| opening.shop.clone()),
        number: opening.map_or_else(String::new, |opening| opening.number.clone()),
        title: opening.map_or_else(String::new, |opening| opening.title.clone()),
        practice: state.practice(),
        closed: state.closed(),
        program: opening.map_or_else(String::new, |opening| opening.program.clone()),
        content_revision: opening.map_or(0, |opening| opening.revision),
        caution: opening.map_or_else(String::new, |opening| opening.caution.clone()),
        opened: facts.get(0).map(|fact| fact.at),
        closed_at: closing.map(|fact| fact.at),
        card: card(state),
        figures: state
            .figures()
            .values()
            .map(|worked| figure_drawn(state, worked))
            .collect(),
        procedures: procedures(state, &seals),
        instruments: instrument::used(state),
        decision: instrument::decision(state),
        deviations: deviations(state, &seals),
        signatures: signatures(state, &seals),
        entries: state.next_number(),
        seals,
        words: state.words().clone(),
        proves: PROVES,
        proves_not: PROVES_NOT,
    }
}

fn card(state: &State) -> Vec<CardSection> {
    let sections = state.play().job.card.iter().map(|group| {
        let answers = group.ask.iter().filter_map(|field| {
            let answer = state.answers().get(&(field.group.clone(), field.id.clone()))?;
            let shown = match &answer.answer {
                Answer::Open { shown, .. } => shown.clone(),
                Answer::Committed { .. } => {
                    say!(state.words(), "kept beside the record, committed to by its hash")
                }
            };
            Some((answer.label.clone(), shown))
        });
        CardSection {
            title: group.title.clone(),
            answers: answers.collect(),
        }
    });
    sections.filter(|section| !section.answers.is_empty()).collect()
}

fn procedures(state: &State, seals: &Seals) -> Vec<CertificateProcedure> {
    let mut number = 0;
    let mut list = Vec::new();
    for (procedure, steps) in state.plan() {
        let steps = steps.into_iter().map(|step| {
            number += 1;
            step_line(state, seals, number, &step_ref(procedure, step))
        });
        let steps = steps.collect();
        list.push(CertificateProcedure {
            title: procedure.title.clone(),
            revision: procedure.revision,
            steps,
        });
    }
    list
}

fn step_line(state: &State, seals: &Seals, number: usize, at: &crate::procedure::StepRef) -> CertificateStep {
    let mark = state.mark(at);
    let signed = |entry: Option<u64>| entry.and_then(|n| fact_at(state, n));
    let by = |fact: &Fact| (fact.at, name(seals, &fact.by));
    let mut line = sign::covered_at(state, at);
    let deviations = line.deviations.iter();
    let deviations = deviations.map(|deviation| deviation.say(&|id| name(seals, id), state.words()));
    let deviations = deviations.collect();
    line.by = line.by.iter().map(|id| name(seals, id)).collect();
    CertificateStep {
        number,
        line,
        deviations,
        done: signed(mark.done).map(by),
        released: signed(mark.released).map(by),
        witnessed: signed(mark.witnessed).map(|fact| {
            let attended = matches!(fact.body, Body::Witness { attended: true, .. });
            (fact.at, name(seals, &fact.by), attended)
        }),
    }
}

fn fact_at(state: &State, n: u64) -> Option<&Fact> {
    state.facts().get(usize::try_from(n).ok()?).map(AsRef::as_ref)
}

fn name(seals: &Seals, id: &str) -> String {
    seals.names.get(id).cloned().unwrap_or_else(|| id.to_owned())
}

fn deviations(state: &State, seals: &Seals) -> Vec<CertificateDeviation> {
    let about = |fact: &Fact| match &fact.body {
        Body::MeasureAgain { deviation, .. }
        | Body::Rework { deviation, .. }
        | Body::Concession { deviation, .. }
        | Body::Resolved { deviation, .. } => Some(*deviation),
        _ => None,
    };
    let called = super::record::Called::of(state.facts().iter().map(AsRef::as_ref));
    let one = |deviation: &Deviation| {
        let later = state
            .facts()
            .iter()
            .filter(|fact| about(fact) == Some(deviation.n));
        let course = later.map(|fact| {
            let line = super::record::line(fact, &called, state.words());
            let entry = say!(state.words(), "Entry {n}", n = line.number);
            let by = name(seals, &fact.by);
            format!("{entry}, {}, {by}: {}, {}", line.at, line.kind, line.text)
        });
        CertificateDeviation {
            number: deviation.n,
            step: deviation.step.to_string(),
            what: deviation.what.clone(),
            course: course.collect(),
            outcome: outcome(deviation.course, state.words()),
            settled: deviation.settled(),
        }
    };
    state.deviations().iter().map(one).collect()
}

fn outcome(course: Course, words: &Words) -> String {
    let said = match course {
        Course::Conceded(_) => to_say!("accepted by concession"),
        Course::Resolved(_) => to_say!("resolved"),
        _ => to_say!("not settled"),
    };
    words.say(said).to_owned()
}

fn signatures(state: &State, seals: &Seals) -> Vec<Signature> {
    let words = state.words();
    let meaning = |body: &Body| match body {
        Body::Release { step, .. } => Some(say!(words, "Released the hold point at {step}.", step = step)),
        Body::Concession { deviation, .. } => Some(say!(words, "Accepted deviation {n}.", n = deviation)),
        Body::SignOff { statement, .. } | Body::JobRelease { statement, .. } => Some(statement.clone()),
        Body::Closing { .. } => Some(say!(words, "Closed the record.")),
        _ => None,
    };
    let signed = state.facts().iter().filter_map(|fact| {
        let meaning = meaning(&fact.body)?;
        Some(Signature {
            entry: fact.n,
            at: fact.at,
            by: fact.by.clone(),
            name: name(seals, &fact.by),
            meaning,
        })
    });
    signed.collect()
}

/// How a verdict is told on paper; nothing for a value that no band judges.
#[must_use]
pub fn verdict_text(verdict: Option<Verdict>) -> &'static str {
    verdict.map_or("", super::record::verdict_word)
}
