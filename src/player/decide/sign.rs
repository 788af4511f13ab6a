//! What somebody answers for with their name: concessions, witness and hold points, the end of the job.

use super::{Decision, open_deviation, out_of_order};
use crate::player::event::Actor;
use crate::player::fact::Body;
use crate::player::prompt::Prompt;
use crate::player::refusal::Refusal;
use crate::player::state::State;
use crate::player::{depend, rights, wording};
use crate::procedure::StepRef;
use crate::to_say;
use std::collections::BTreeSet;

pub(super) fn concede(state: &State, actor: &Actor, n: u64, reason: &str) -> Decision {
    rights::supervisor(state, actor)?;
    let deviation = open_deviation(state, n)?;
    if let Some(why) = &deviation.no_concession {
        return Err(Refusal::NoConcession(why.clone()));
    }
    // A figure fails at its own step, and was measured at others.
    let work = work_on(state, depend::foundations(state, &deviation.step).iter());
    rights::other_person(state, actor, "accept", &work)?;
    Ok(vec![Body::Concession {
        deviation: n,
        reason: rights::reason(reason)?,
    }])
}

pub(super) fn witness(state: &State, actor: &Actor, at: StepRef, attended: bool) -> Decision {
    if state.prompt() != Prompt::Witness(at.clone()) {
        return Err(out_of_order(state));
    }
    if attended {
        rights::supervisor(state, actor)?
    } else {
        rights::worker(actor)?
    }
    let point = state.play().step(&at).and_then(|step| step.witness.as_ref());
    let says = point.map_or_else(String::new, |point| state.render(&point.says));
    if let Some(point) = point.filter(|_| attended) {
        let work = work_on(state, state.covered(&at, point).iter());
        rights::other_person(state, actor, "witness", &work)?;
    }
    Ok(vec![Body::Witness {
        step: at,
        says,
        attended,
    }])
}

pub(super) fn release(state: &State, actor: &Actor, at: StepRef) -> Decision {
    if state.prompt() != Prompt::Hold(at.clone()) {
        return Err(out_of_order(state));
    }
    rights::supervisor(state, actor)?;
    let Some(point) = state.play().step(&at).and_then(|step| step.hold.as_ref()) else {
        return Err(out_of_order(state));
    };
    let work = work_on(state, state.covered(&at, point).iter());
    rights::other_person(state, actor, "release", &work)?;
    let covers = work.into_iter().map(|(n, _)| n).collect();
    Ok(vec![Body::Release {
        step: at,
        says: state.render(&point.says),
        covers,
    }])
}

pub(super) fn send_back(
    state: &State,
    actor: &Actor,
    at: StepRef,
    reason: &str,
    reopen: &[StepRef],
) -> Decision {
    let prompt = state.prompt();
    if prompt != Prompt::Hold(at.clone()) && prompt != Prompt::JobRelease {
        return Err(out_of_order(state));
    }
    rights::supervisor(state, actor)?;
    let reason = rights::reason(reason)?;
    let mut first = reopen.to_vec();
    first.push(at.clone());
    if let Some(unknown) = first.iter().find(|step| !state.applies(step)) {
        return Err(Refusal::NoStep(unknown.clone()));
    }
    let reopens = depend::reopened(state, &first, &BTreeSet::new());
    Ok(vec![Body::SendBack {
        step: at,
        reason,
        reopens,
    }])
}

/// The entries of the work on these steps and who wrote them, those that were reworked since included.
fn work_on<'s, 'a>(state: &'s State, steps: impl Iterator<Item = &'a StepRef>) -> Vec<(u64, &'s str)> {
    let mut work: Vec<(u64, &str)> = steps.flat_map(|step| state.work_on(step)).collect();
    work.sort_unstable();
    work.dedup();
    work
}

/// What a person affirmed for the work as a whole: before and after a procedure, and at the end.
fn affirmed(state: &State) -> Vec<(u64, &str)> {
    let affirmed = state.facts().iter().filter(|fact| {
        matches!(
            fact.body,
            Body::Begin { .. } | Body::CloseOut { .. } | Body::SignOff { .. }
        )
    });
    affirmed.map(|fact| (fact.n, fact.by.as_str())).collect()
}

fn all_work(state: &State) -> Vec<(u64, &str)> {
    let mut work: Vec<(u64, &str)> = state.all_work().collect();
    work.sort_unstable();
    work
}

pub(super) fn sign_off(state: &State, actor: &Actor) -> Decision {
    rights::worker(actor)?;
    if state.prompt() != Prompt::SignOff {
        return Err(out_of_order(state));
    }
    if let Some(name) = state.unrestored().next() {
        return Err(Refusal::NotRestored(name.to_owned()));
    }
    let work = all_work(state);
    // The words are "I did this": whoever did nothing of it cannot say them.
    if !work.is_empty() && !work.iter().any(|(_, by)| *by == actor.id) {
        return Err(Refusal::NotYours {
            who: actor.id.clone(),
            needs: to_say!("it takes someone who did some of the work"),
        });
    }
    Ok(vec![Body::SignOff {
        statement: state.words().say(wording::SIGN_OFF).to_owned(),
        covers: work.into_iter().map(|(n, _)| n).collect(),
    }])
}

pub(super) fn release_job(state: &State, actor: &Actor) -> Decision {
    if state.prompt() != Prompt::JobRelease {
        return Err(out_of_order(state));
    }
    rights::supervisor(state, actor)?;
    let work = all_work(state);
    rights::other_person(state, actor, "release", &work)?;
    // Whoever signed the work off, or affirmed what frames a procedure, would release their own word.
    rights::other_person(state, actor, "release", &affirmed(state))?;
    let covers = work.into_iter().map(|(n, _)| n).collect();
    Ok(vec![Body::JobRelease {
        statement: state.words().say(wording::JOB_RELEASE).to_owned(),
        covers,
    }])
}

pub(super) fn close(state: &State, actor: &Actor) -> Decision {
    rights::tablet(actor)?;
    if state.prompt() != Prompt::Close {
        return Err(out_of_order(state));
    }
    Ok(vec![Body::Closing {
        entries: state.next_number() + 1,
    }])
}
