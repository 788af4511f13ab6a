//! Where a job stands. A state is never changed: `advance` makes the next one.

use super::deviation::Deviations;
use super::fact::{
    Answer, CardAnswer, DecisionRule, Fact, LimitsShown, Opening, ReadingTaken, Verdict, WorkedOut,
};
use super::grown::Grown;
use super::judge::{self, Sight};
pub use super::language::show_in;
use super::latest::{Latest, reading_of, work_of};
use super::play::Play;
use crate::calc::Value;
use crate::procedure::{
    Band, Condition, GuardBand, HazardId, Point, Procedure, ProcedureId, Reference, Step, StepId, StepRef,
    Text,
};
use crate::quantity::Quantity;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// How far a step has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Mark {
    /// The entries that say so.
    pub done: Option<u64>,
    pub witnessed: Option<u64>,
    pub released: Option<u64>,
    pub answered: Option<u64>,
}

/// A job at one instant. A copy shares with it whatever does not change.
#[derive(Clone, Debug)]
pub struct State {
    /// What is played, in the language that is spoken now.
    pub(super) play: Arc<Play>,
    /// The same as it is written.
    pub(super) authored: Arc<Play>,
    pub(super) facts: Grown<Arc<Fact>>,
    pub(super) opening: Option<Arc<Opening>>,
    pub(super) answers: Arc<BTreeMap<(String, String), CardAnswer>>,
    pub(super) figures: Arc<BTreeMap<String, WorkedOut>>,
    /// The entry of the card that was accepted last, and whether its plan stands.
    pub(super) card: Option<u64>,
    pub(super) planned: bool,
    pub(super) begun: Arc<BTreeSet<ProcedureId>>,
    pub(super) closed_out: Arc<BTreeSet<ProcedureId>>,
    pub(super) acknowledged: Arc<BTreeMap<ProcedureId, BTreeSet<HazardId>>>,
    pub(super) readings: Latest,
    pub(super) worked: Latest,
    pub(super) marks: Arc<BTreeMap<ProcedureId, BTreeMap<StepId, Mark>>>,
    pub(super) deviations: Deviations,
    /// The entries of the work on a step, corrected and reworked ones included.
    pub(super) work: Arc<BTreeMap<StepRef, Grown<u64>>>,
    /// When a temporary state was last made and last restored.
    pub(super) temporaries: Arc<BTreeMap<String, (u64, Option<u64>)>>,
    pub(super) signed_off: Option<u64>,
    pub(super) job_released: Option<u64>,
    pub(super) closed: bool,
}

impl State {
    /// A job before its first entry.
    #[must_use]
    pub fn new(play: Arc<Play>) -> Self {
        Self {
            authored: Arc::clone(&play),
            play,
            facts: Grown::default(),
            opening: None,
            answers: Arc::default(),
            figures: Arc::default(),
            card: None,
            planned: true,
            begun: Arc::default(),
            closed_out: Arc::default(),
            acknowledged: Arc::default(),
            readings: Latest::default(),
            worked: Latest::default(),
            marks: Arc::default(),
            deviations: Deviations::default(),
            work: Arc::default(),
            temporaries: Arc::default(),
            signed_off: None,
            job_released: None,
            closed: false,
        }
    }

    /// What is played, in the language that is spoken now: the one place where content is translated.
    #[must_use]
    pub fn play(&self) -> &Arc<Play> {
        &self.play
    }

    /// Every fact so far, in order.
    #[must_use]
    pub fn facts(&self) -> &Grown<Arc<Fact>> {
        &self.facts
    }

    /// The number of the next fact.
    #[must_use]
    pub fn next_number(&self) -> u64 {
        self.facts.len() as u64
    }

    /// What entry 0 pinned; nothing before the job is open.
    #[must_use]
    pub fn opening(&self) -> Option<&Opening> {
        self.opening.as_deref()
    }

    /// Whether this is a practice run, which never counts as proof.
    #[must_use]
    pub fn practice(&self) -> bool {
        self.opening.as_ref().is_some_and(|opening| opening.practice)
    }

    /// Whether the record is closed.
    #[must_use]
    pub fn closed(&self) -> bool {
        self.closed
    }

    /// Whether the person has signed the job off, and in which entry.
    #[must_use]
    pub fn signed_off(&self) -> Option<u64> {
        self.signed_off
    }

    /// Whether the supervisor has released the job, and in which entry.
    #[must_use]
    pub fn job_released(&self) -> Option<u64> {
        self.job_released
    }

    /// The accepted answers of the job card.
    #[must_use]
    pub fn answers(&self) -> &BTreeMap<(String, String), CardAnswer> {
        &self.answers
    }

    /// The figures of the job card.
    #[must_use]
    pub fn figures(&self) -> &BTreeMap<String, WorkedOut> {
        &self.figures
    }

    /// Every deviation.
    #[must_use]
    pub fn deviations(&self) -> &Deviations {
        &self.deviations
    }

    /// How far the step has come.
    #[must_use]
    pub fn mark(&self, step: &StepRef) -> Mark {
        self.mark_of(&step.procedure, &step.step)
    }

    fn mark_of(&self, procedure: &ProcedureId, step: &StepId) -> Mark {
        let marks = self.marks.get(procedure).and_then(|marks| marks.get(step));
        marks.copied().unwrap_or_default()
    }

    /// The reading that stands, with its entry.
    #[must_use]
    pub fn reading(&self, procedure: &ProcedureId, name: &str) -> Option<(u64, &ReadingTaken)> {
        let n = self.readings.get(procedure, name)?;
        Some((n, reading_of(&self.facts, n)?))
    }

    /// The work-out that stands, with its entry.
    #[must_use]
    pub fn worked(&self, procedure: &ProcedureId, name: &str) -> Option<(u64, &WorkedOut)> {
        let n = self.worked.get(procedure, name)?;
        Some((n, work_of(&self.facts, n)?))
    }

    /// All readings that stand, with their entries.
    pub(super) fn readings(&self) -> impl Iterator<Item = (u64, &ReadingTaken)> {
        let entries = self.readings.entries();
        entries.filter_map(|n| Some((n, reading_of(&self.facts, n)?)))
    }

    /// All figures of steps that stand, with their entries.
    pub(super) fn works(&self) -> impl Iterator<Item = (u64, &WorkedOut)> {
        let entries = self.worked.entries();
        entries.filter_map(|n| Some((n, work_of(&self.facts, n)?)))
    }

    /// Whether what stands before the procedure was affirmed.
    #[must_use]
    pub fn begun(&self, procedure: &ProcedureId) -> bool {
        self.begun.contains(procedure)
    }

    /// Whether what closes the procedure was affirmed.
    #[must_use]
    pub fn closed_out(&self, procedure: &ProcedureId) -> bool {
        self.closed_out.contains(procedure)
    }

    /// The entries of the work on a step and who wrote them.
    pub fn work_on(&self, step: &StepRef) -> impl Iterator<Item = (u64, &str)> {
        let entries = self.work.get(step).into_iter().flat_map(Grown::iter);
        entries.filter_map(|n| self.signed(*n))
    }

    /// The entries of the work on all steps and who wrote them.
    pub(super) fn all_work(&self) -> impl Iterator<Item = (u64, &str)> {
        let entries = self.work.values().flat_map(Grown::iter);
        entries.filter_map(|n| self.signed(*n))
    }

    /// An entry with who wrote it.
    fn signed(&self, n: u64) -> Option<(u64, &str)> {
        let fact = self.facts.get(usize::try_from(n).ok()?)?;
        Some((n, &fact.by))
    }

    /// The steps that a point at `at` answers for: those it names that apply to this car, and always its own.
    #[must_use]
    pub fn covered(&self, at: &StepRef, point: &Point) -> Vec<StepRef> {
        let named = point
            .covers
            .iter()
            .filter(|step| *step != at && self.applies(step));
        named.chain([at]).cloned().collect()
    }

    /// Whether a condition holds on the accepted card.
    #[must_use]
    pub fn holds(&self, condition: &Condition) -> bool {
        condition.holds(&|group, field| self.answer_key(group, field))
    }

    /// Whether the step applies to this car.
    #[must_use]
    pub fn applies(&self, step: &StepRef) -> bool {
        let Some((procedure, condition)) = self.play.procedure(&step.procedure) else {
            return false;
        };
        let found = procedure.steps.iter().find(|candidate| candidate.id == step.step);
        self.holds(condition) && found.is_some_and(|found| self.holds(&found.when))
    }

    /// The procedures and steps that apply to this car, in the order of work.
    pub fn plan(&self) -> impl Iterator<Item = (&Procedure, Vec<&Step>)> {
        self.play
            .job
            .procedures
            .iter()
            .filter(|(_, condition)| self.holds(condition))
            .map(|(procedure, _)| {
                let steps = procedure
                    .steps
                    .iter()
                    .filter(|step| self.holds(&step.when))
                    .collect();
                (procedure, steps)
            })
    }

    /// Whether nothing is left to do on the step.
    #[must_use]
    pub fn complete(&self, procedure: &Procedure, step: &Step) -> bool {
        let mark = self.mark_of(&procedure.id, &step.id);
        mark.done.is_some()
            && (step.hold.is_none() || mark.released.is_some())
            && (step.witness.is_none() || mark.witnessed.is_some())
    }

    /// The answer as conditions see it: the choice, `yes` or `no`, or the text.
    pub(super) fn answer_key(&self, group: &str, field: &str) -> Option<String> {
        match &self.answers.get(&(group.to_owned(), field.to_owned()))?.answer {
            Answer::Open { value, .. } => Some(answer_key(value)),
            Answer::Committed { .. } => None,
        }
    }

    /// The value that a reference stands for now.
    #[must_use]
    pub fn value(&self, reference: &Reference) -> Option<Value> {
        match reference {
            Reference::Card { group, field } => {
                match &self.answers.get(&(group.clone(), field.clone()))?.answer {
                    Answer::Open { value, .. } => Some(value.clone()),
                    Answer::Committed { .. } => None,
                }
            }
            Reference::Read { procedure, name } => Some(self.reading(procedure, name)?.1.value.clone()),
            Reference::Work {
                procedure,
                name,
                output,
            } => output_of(self.worked(procedure, name)?.1, output),
            Reference::Figure { name, output } => output_of(self.figures.get(name)?, output),
        }
    }

    /// The text with its values, rounded for a person.
    #[must_use]
    pub fn render(&self, text: &Text) -> String {
        text.render(&|reference| {
            let value = self.value(reference)?;
            Some(Value::Text(self.shown(reference, &value)))
        })
    }

    /// Judges a value against a band as it stands now.
    ///
    /// # Errors
    /// Why the band cannot be known yet.
    pub(super) fn judge(&self, band: &Band, value: &Value) -> Result<(LimitsShown, Verdict), String> {
        self.with_sight(|sight| judge::judge(band, value, sight))
    }

    /// Judges a measured value by guarded acceptance.
    ///
    /// # Errors
    /// Why the band cannot be known yet.
    pub(super) fn judge_guarded(
        &self,
        band: &Band,
        value: &Value,
        uncertainty: Quantity,
    ) -> Result<(LimitsShown, Option<GuardBand>, Verdict), String> {
        self.with_sight(|sight| judge::judge_guarded(band, value, uncertainty, sight))
    }

    /// Whether readings are judged by guarded acceptance; in jobs opened before there was a rule they are not.
    #[must_use]
    pub fn guarded(&self) -> bool {
        let rule = self.opening.as_ref().and_then(|opening| opening.decision);
        rule == Some(DecisionRule::GuardedAcceptance)
    }

    /// A band as it stands now.
    ///
    /// # Errors
    /// Why the band cannot be known yet.
    pub fn limits(&self, band: &Band) -> Result<LimitsShown, String> {
        self.with_sight(|sight| judge::limits(band, sight))
    }

    fn with_sight<T>(&self, look: impl FnOnce(&Sight) -> T) -> T {
        let text = |text: &Text| self.render(text);
        look(&Sight {
            value: &|reference| self.value(reference),
            text: &text,
            name: &|reference| self.play.name_of(reference, &text),
            words: self.words(),
        })
    }

    fn shown(&self, reference: &Reference, value: &Value) -> String {
        match (reference, value) {
            (Reference::Card { group, field }, Value::Text(key)) => self.play.choice_label(group, field, key),
            _ => show_in(value, self.words()),
        }
    }
}

/// A value as a person reads it.
#[must_use]
pub fn show(value: &Value) -> String {
    match value {
        Value::Quantity(quantity) => quantity.shown(4),
        Value::Text(text) => text.clone(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
    }
}

/// A value as conditions compare it.
pub(super) fn answer_key(value: &Value) -> String {
    match value {
        Value::Quantity(quantity) => quantity.to_string(),
        other => show(other),
    }
}

fn output_of(worked: &WorkedOut, output: &str) -> Option<Value> {
    worked
        .outputs
        .iter()
        .find(|(name, _)| name == output)
        .map(|(_, value)| value.clone())
}
