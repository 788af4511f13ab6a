//! What an interruption left out: facts that follow from the last one and did not come to stand.

use super::decide;
use super::fact::{Body, Verdict};
use super::reading;
use super::state::{Concern, Course, Deviation, State};
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
    for (n, reading) in state.readings.values() {
        let concern = Concern::Reading(reading.name.clone());
        let what = || reading::said_of(reading, state.words());
        bodies.extend(failed(state, *n, &reading.step, &concern, reading.verdict, what));
    }
    for (n, worked) in state.worked.values() {
        let (Some(step), Some((_, _, verdict))) = (&worked.step, &worked.judged) else {
            continue;
        };
        let concern = Concern::WorkOut(worked.name.clone());
        bodies.extend(failed(state, *n, step, &concern, *verdict, || {
            reading::said(worked, state.words())
        }));
    }
    bodies
}

fn plan(state: &State) -> Option<Body> {
    let mut facts = state.facts.iter().rev();
    let last = facts.find(|fact| matches!(fact.body, Body::Card(_) | Body::Plan(_)))?;
    matches!(last.body, Body::Card(_)).then(|| Body::Plan(decide::plan(state)))
}

/// The end of a deviation whose step no longer applies, whose value lies in its band, or whose step is done.
fn ended(state: &State, deviation: &Deviation) -> Option<Body> {
    let procedure = &deviation.step.procedure;
    let by_entry = if state.applies(&deviation.step) {
        match &deviation.concern {
            Concern::Reading(name) => {
                let (n, reading) = state.reading(procedure, name)?;
                (!reading.verdict.fails()).then_some(*n)
            }
            Concern::WorkOut(name) => {
                let (n, worked) = state.worked(procedure, name)?;
                worked
                    .judged
                    .as_ref()
                    .is_none_or(|(_, _, verdict)| !verdict.fails())
                    .then_some(*n)
            }
            Concern::NotAsWritten => state.mark(&deviation.step).done,
        }
    } else {
        last_card(state)
    };
    let by_entry = by_entry.filter(|n| *n > deviation.n)?;
    Some(Body::Resolved {
        deviation: deviation.n,
        by_entry,
    })
}

fn last_card(state: &State) -> Option<u64> {
    let card = state
        .facts
        .iter()
        .rev()
        .find(|fact| matches!(fact.body, Body::Card(_)));
    card.map(|fact| fact.n)
}

fn failed(
    state: &State,
    n: u64,
    step: &StepRef,
    concern: &Concern,
    verdict: Verdict,
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
    let owed = verdict.fails() && !state.deviations.values().any(judged);
    owed.then(|| Body::Deviation {
        step: step.clone(),
        concerns: Some(n),
        what: what(),
    })
}
