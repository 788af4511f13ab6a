//! What an interruption left out: facts that follow from the last one and did not come to stand.

use super::decide;
use super::deviation::{Concern, Course, Deviation};
use super::fact::Body;
use super::reading;
use super::state::State;
use crate::procedure::StepRef;

/// The facts that should stand already. None, unless the power was cut within one event.
///
/// A card without its plan; a failing value without its deviation; a deviation that has ended and is not
/// marked as ended. The tablet makes up for them when it resumes.
#[must_use]
pub fn owed(state: &State) -> Vec<Body> {
    let mut bodies: Vec<Body> = plan(state).into_iter().collect();
    bodies.extend(
        state
            .unsettled_deviations()
            .filter_map(|deviation| ended(state, deviation)),
    );
    let failing = state.readings().filter(|(_, one)| one.verdict.fails());
    for (n, reading) in failing {
        let concern = Concern::Reading(reading.name.clone());
        let what = || reading::said_of(reading, state.words());
        bodies.extend(undeviated(state, n, &reading.step, &concern, what));
    }
    let failing = state.works().filter(|(_, one)| one.fails());
    for (n, worked) in failing {
        let Some(step) = &worked.step else { continue };
        let concern = Concern::WorkOut(worked.name.clone());
        let what = || reading::said(worked, state.words());
        bodies.extend(undeviated(state, n, step, &concern, what));
    }
    bodies
}

fn plan(state: &State) -> Option<Body> {
    (!state.planned).then(|| Body::Plan(decide::plan(state)))
}

/// The end of a deviation whose step no longer applies, whose value lies in its band, or whose step is done.
fn ended(state: &State, deviation: &Deviation) -> Option<Body> {
    let procedure = &deviation.step.procedure;
    let by_entry = if state.applies(&deviation.step) {
        match &deviation.concern {
            Concern::Reading(name) => {
                let (n, reading) = state.reading(procedure, name)?;
                (!reading.verdict.fails()).then_some(n)
            }
            Concern::WorkOut(name) => {
                let (n, worked) = state.worked(procedure, name)?;
                (!worked.fails()).then_some(n)
            }
            Concern::NotAsWritten => state.mark(&deviation.step).done,
        }
    } else {
        state.card
    };
    let by_entry = by_entry.filter(|n| *n > deviation.n)?;
    Some(Body::Resolved {
        deviation: deviation.n,
        by_entry,
    })
}

/// The deviation of a failing value, unless it has one.
fn undeviated(
    state: &State,
    n: u64,
    step: &StepRef,
    concern: &Concern,
    what: impl Fn() -> String,
) -> Option<Body> {
    let judged = |deviation: &Deviation| {
        deviation.step == *step
            && deviation.concern == *concern
            && match deviation.course {
                Course::Conceded(by_entry) => by_entry > n,
                Course::Resolved(_) => false,
                Course::Open | Course::Measuring | Course::Reworking => true,
            }
    };
    let deviated = state.deviations.unresolved().any(judged);
    (!deviated).then(|| Body::Deviation {
        step: step.clone(),
        concerns: Some(n),
        what: what(),
    })
}
