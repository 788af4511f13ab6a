//! The strip of all steps of the job: where am I, what is left, where are holds and deviations.

use crate::player::play::step_ref;
use crate::player::{Prompt, State};
use crate::procedure::StepRef;

/// One step of the strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StripMark {
    pub step: StepRef,
    /// Counted from 1 over the whole job.
    pub number: usize,
    pub command: String,
    pub done: bool,
    pub now: bool,
    /// A hold point, released or not.
    pub hold: bool,
    pub released: bool,
    pub witness: bool,
    /// A deviation was opened here; `settled` says whether it ended.
    pub deviation: bool,
    pub settled: bool,
    /// The first step of its procedure.
    pub starts: bool,
    pub procedure_title: String,
}

/// The steps that apply to this car.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Strip {
    pub marks: Vec<StripMark>,
    pub done: usize,
    pub total: usize,
    /// The place in `marks` of the step that comes now.
    pub now: Option<usize>,
}

/// The strip as it stands.
#[must_use]
pub fn strip(state: &State) -> Strip {
    let now = current(state);
    let mut strip = Strip::default();
    for (procedure, steps) in state.plan() {
        for (place, step) in steps.into_iter().enumerate() {
            let at = step_ref(procedure, step);
            let mark = state.mark(&at);
            let mut deviations = state
                .deviations()
                .iter()
                .filter(|deviation| deviation.step == at)
                .peekable();
            let deviation = deviations.peek().is_some();
            let complete = state.complete(procedure, step);
            strip.done += usize::from(complete);
            strip.marks.push(StripMark {
                number: strip.marks.len() + 1,
                command: state.render(&step.command),
                done: complete,
                now: now.as_ref() == Some(&at),
                hold: step.hold.is_some(),
                released: mark.released.is_some(),
                witness: step.witness.is_some(),
                deviation,
                settled: deviations.all(|deviation| deviation.settled()),
                starts: place == 0,
                procedure_title: procedure.title.clone(),
                step: at,
            });
        }
    }
    strip.total = strip.marks.len();
    strip.now = strip.marks.iter().position(|mark| mark.now);
    strip
}

/// The step that comes now, whichever page it is on.
#[must_use]
pub fn current(state: &State) -> Option<StepRef> {
    match state.prompt() {
        Prompt::Hazards { step, .. } | Prompt::Step { step, .. } => Some(step),
        Prompt::Question(step) | Prompt::Witness(step) | Prompt::Hold(step) => Some(step),
        Prompt::Deviation(n) => state.deviations().get(n).map(|deviation| deviation.step.clone()),
        Prompt::Before(procedure) => {
            let found = state.plan().find(|(candidate, _)| candidate.id == procedure);
            found.and_then(|(procedure, steps)| steps.first().map(|step| step_ref(procedure, step)))
        }
        _ => None,
    }
}
