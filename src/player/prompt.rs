//! What may be done now: the one thing that the screen shows.

use super::deviation::{Concern, Course, Deviation};
use super::play::step_ref;
use super::state::State;
use crate::procedure::{HazardId, Procedure, ProcedureId, Step, StepRef};
use crate::say;
use crate::words::Words;
use std::fmt;

/// The one thing that comes next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Prompt {
    /// The job is not open yet.
    Open,
    /// The job card is to be filled and accepted.
    Card,
    /// What stands before a procedure is to be affirmed.
    Before(ProcedureId),
    /// These hazards come before the step's command.
    Hazards { step: StepRef, hazards: Vec<HazardId> },
    /// The step is to be done; these readings are still wanted.
    Step { step: StepRef, wants: Vec<String> },
    /// A deviation needs a decision.
    Deviation(u64),
    /// Practice: the question of the step.
    Question(StepRef),
    /// The supervisor is called.
    Witness(StepRef),
    /// Work stops until a supervisor releases it.
    Hold(StepRef),
    /// What closes a procedure is to be affirmed.
    CloseOut(ProcedureId),
    /// All steps are accounted for: the person signs.
    SignOff,
    /// The supervisor signs.
    JobRelease,
    /// The tablet closes the record.
    Close,
    /// Nothing is left to do.
    Closed,
}

impl Prompt {
    /// What is to be done, in a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::Open => words.say("the job is to be opened").to_owned(),
            Self::Card => words.say("the job card is to be accepted").to_owned(),
            Self::Before(procedure) => say!(
                words,
                "what stands before {procedure} is to be affirmed",
                procedure = procedure
            ),
            Self::Hazards { step, .. } => say!(
                words,
                "the hazards of step {step} are to be acknowledged",
                step = step
            ),
            Self::Step { step, wants } if wants.is_empty() => {
                say!(words, "step {step} is to be marked as done", step = step)
            }
            Self::Step { step, wants } => say!(
                words,
                "step {step} wants {readings}",
                step = step,
                readings = wants.join(", ")
            ),
            Self::Deviation(n) => say!(words, "deviation {n} needs a decision", n = n),
            Self::Question(step) => say!(
                words,
                "the question of step {step} is to be answered",
                step = step
            ),
            Self::Witness(step) => say!(
                words,
                "the supervisor is to be called to step {step}",
                step = step
            ),
            Self::Hold(step) => say!(
                words,
                "a supervisor is to release the hold point at step {step}",
                step = step
            ),
            Self::CloseOut(procedure) => say!(
                words,
                "the end of {procedure} is to be affirmed",
                procedure = procedure
            ),
            Self::SignOff => words.say("the work is to be signed off").to_owned(),
            Self::JobRelease => words.say("a supervisor is to release the job").to_owned(),
            Self::Close => words.say("the record is to be closed").to_owned(),
            Self::Closed => words.say("the record is closed").to_owned(),
        }
    }
}

impl fmt::Display for Prompt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl State {
    /// What comes now.
    #[must_use]
    pub fn prompt(&self) -> Prompt {
        if self.closed {
            return Prompt::Closed;
        }
        if self.opening.is_none() {
            return Prompt::Open;
        }
        if self.answers.is_empty() && self.play.fields().next().is_some() {
            return Prompt::Card;
        }
        self.work_prompt().unwrap_or_else(|| self.end_prompt())
    }

    fn work_prompt(&self) -> Option<Prompt> {
        self.plan().find_map(|(procedure, steps)| {
            if !self.begun(&procedure.id) {
                return Some(Prompt::Before(procedure.id.clone()));
            }
            let open = steps.into_iter().find(|step| !self.complete(procedure, step));
            open.map(|step| self.step_prompt(procedure, step)).or_else(|| {
                let left = !procedure.close_out.is_empty() && !self.closed_out(&procedure.id);
                left.then(|| Prompt::CloseOut(procedure.id.clone()))
            })
        })
    }

    fn step_prompt(&self, procedure: &Procedure, step: &Step) -> Prompt {
        let at = step_ref(procedure, step);
        if let Some(deviation) = self.open_deviation(&at) {
            return Prompt::Deviation(deviation.n);
        }
        let mark = self.mark(&at);
        if mark.done.is_none() {
            return self.undone_prompt(at, step);
        }
        if step.witness.is_some() && mark.witnessed.is_none() {
            Prompt::Witness(at)
        } else {
            Prompt::Hold(at)
        }
    }

    fn undone_prompt(&self, at: StepRef, step: &Step) -> Prompt {
        let hazards = self.new_hazards(&at, step);
        if !hazards.is_empty() {
            return Prompt::Hazards { step: at, hazards };
        }
        if self.practice() && step.question.is_some() && self.mark(&at).answered.is_none() {
            return Prompt::Question(at);
        }
        let wants = self.wanted(&at, step);
        Prompt::Step { step: at, wants }
    }

    /// The hazards of the step that were not acknowledged in this procedure yet.
    #[must_use]
    pub fn new_hazards(&self, at: &StepRef, step: &Step) -> Vec<HazardId> {
        let known = self.acknowledged.get(&at.procedure);
        let new = |hazard: &&HazardId| known.is_none_or(|known| !known.contains(*hazard));
        step.hazards.iter().filter(new).cloned().collect()
    }

    /// The readings that the step still wants, in order.
    #[must_use]
    pub fn wanted(&self, at: &StepRef, step: &Step) -> Vec<String> {
        let missing = |name: &String| self.reading(&at.procedure, name).is_none();
        step.read
            .iter()
            .map(|reading| reading.name.clone())
            .filter(missing)
            .collect()
    }

    /// The deviation of the step that somebody must decide on.
    #[must_use]
    pub fn open_deviation(&self, step: &StepRef) -> Option<&Deviation> {
        self.deviations
            .unresolved()
            .find(|deviation| deviation.course == Course::Open && deviation.step == *step)
    }

    /// The unsettled deviations about this concern of the step. One that was accepted and whose value then failed
    /// anew, or whose rework was not done as written either, has another beside it once both are reworked.
    pub(super) fn unsettled(&self, step: &StepRef, concern: &Concern) -> impl Iterator<Item = &Deviation> {
        self.unsettled_deviations()
            .filter(move |deviation| deviation.step == *step && deviation.concern == *concern)
    }

    /// The deviations that still keep the job from ending.
    pub fn unsettled_deviations(&self) -> impl Iterator<Item = &Deviation> {
        self.deviations
            .unresolved()
            .filter(|deviation| !deviation.settled())
    }

    /// The temporary states that no later step has restored.
    pub fn unrestored(&self) -> impl Iterator<Item = &str> {
        self.temporaries
            .iter()
            .filter(|(_, (_, restored))| restored.is_none())
            .map(|(name, _)| name.as_str())
    }

    fn end_prompt(&self) -> Prompt {
        if let Some(deviation) = self.unsettled_deviations().next() {
            return Prompt::Deviation(deviation.n);
        }
        match (self.signed_off, self.job_released) {
            (None, _) => Prompt::SignOff,
            (Some(_), None) => Prompt::JobRelease,
            (Some(_), Some(_)) => Prompt::Close,
        }
    }
}
