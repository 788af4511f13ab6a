//! What somebody answers for with their name: concessions, witness and hold points, the end of the job.

use super::{Decision, open_deviation, out_of_order};
use crate::player::event::Actor;
use crate::player::fact::Body;
use crate::player::prompt::Prompt;
use crate::player::refusal::Refusal;
use crate::player::state::State;
use crate::player::{depend, rights, wording};
use crate::procedure::StepRef;
use std::collections::BTreeSet;

pub(super) fn concede(state: &State, actor: &Actor, n: u64, reason: &str) -> Decision {
    rights::supervisor(state, actor)?;
    let deviation = open_deviation(state, n)?;
    if let Some(why) = &deviation.no_concession {
        return Err(Refusal::NoConcession(why.clone()));
    }
    rights::other_person(state, actor, "accept", state.work_on(&deviation.step))?;
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
    if attended {
        rights::other_person(state, actor, "witness", state.work_on(&at))?;
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
    let applying = point.covers.iter().filter(|step| state.applies(step));
    let mut work: Vec<(u64, String)> = applying.flat_map(|step| state.work_on(step).to_vec()).collect();
    work.sort();
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

fn all_work(state: &State) -> Vec<(u64, String)> {
    let mut work: Vec<(u64, String)> = state.work.values().flatten().cloned().collect();
    work.sort();
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
    let covers = all_work(state).into_iter().map(|(n, _)| n).collect();
    Ok(vec![Body::SignOff {
        statement: wording::SIGN_OFF.to_owned(),
        covers,
    }])
}

pub(super) fn release_job(state: &State, actor: &Actor) -> Decision {
    if state.prompt() != Prompt::JobRelease {
        return Err(out_of_order(state));
    }
    rights::supervisor(state, actor)?;
    let work = all_work(state);
    rights::other_person(state, actor, "release", &work)?;
    let covers = work.into_iter().map(|(n, _)| n).collect();
    Ok(vec![Body::JobRelease {
        statement: wording::JOB_RELEASE.to_owned(),
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
