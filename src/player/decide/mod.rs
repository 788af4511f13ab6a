//! What an event leads to: facts, or a refusal and nothing else.

mod card;
mod sign;

pub(super) use card::plan;

use super::depend;
use super::deviation::{Concern, Course, Deviation};
use super::event::{Actor, Event};
use super::fact::{Body, Opening};
use super::owed::owed;
use super::prompt::Prompt;
use super::refusal::Refusal;
use super::state::State;
use super::{language, photo, reading, rights, wording};
use crate::procedure::{ProcedureId, Step, StepRef};
use std::collections::BTreeSet;

pub(super) type Decision = Result<Vec<Body>, Refusal>;

/// The bodies of the facts that the event leads to.
pub(super) fn decide(state: &State, actor: &Actor, event: Event) -> Decision {
    if let Event::Open(opening) = event {
        return open(state, actor, opening);
    }
    if state.opening().is_none() {
        return Err(Refusal::NotOpen);
    }
    if state.closed() {
        return Err(Refusal::Closed);
    }
    match event {
        Event::Note { .. } | Event::Photograph { .. } | Event::Resume { .. } | Event::Language(_) => {
            aside(state, actor, event)
        }
        Event::SignOff => sign::sign_off(state, actor),
        Event::ReleaseJob => sign::release_job(state, actor),
        Event::Close => sign::close(state, actor),
        Event::SendBack { step, reason, reopen } => sign::send_back(state, actor, step, &reason, &reopen),
        work if state.signed_off().is_none() => on_work(state, actor, work),
        _ => Err(Refusal::OutOfOrder {
            now: state.prompt().say(state.words()),
        }),
    }
}

fn open(state: &State, actor: &Actor, opening: Opening) -> Decision {
    if state.opening().is_some() {
        return Err(Refusal::AlreadyOpen);
    }
    rights::tablet(actor)?;
    Ok(vec![Body::Opening(opening)])
}

fn aside(state: &State, actor: &Actor, event: Event) -> Decision {
    match event {
        Event::Note { step, text } => {
            rights::anyone(actor)?;
            Ok(vec![Body::Note {
                step,
                text: rights::reason(&text)?,
            }])
        }
        Event::Photograph {
            step,
            deviation,
            photo,
        } => {
            rights::anyone(actor)?;
            Ok(vec![photo::added(state, step, deviation, &photo)?])
        }
        Event::Language(wanted) => language::speak(state, actor, wanted),
        Event::Resume { torn } => {
            rights::tablet(actor)?;
            let mut bodies = vec![Body::Resume { torn }];
            bodies.extend(owed(state));
            Ok(bodies)
        }
        _ => Ok(Vec::new()),
    }
}

fn on_work(state: &State, actor: &Actor, event: Event) -> Decision {
    match event {
        Event::Concede { deviation, reason } => sign::concede(state, actor, deviation, &reason),
        Event::Release { step } => sign::release(state, actor, step),
        Event::Witness { step, attended } => sign::witness(state, actor, step, attended),
        other => {
            rights::worker(actor)?;
            by_worker(state, other)
        }
    }
}

fn by_worker(state: &State, event: Event) -> Decision {
    match event {
        Event::Card(answers) => card::accept(state, answers),
        Event::Begin { procedure } => begin(state, &procedure),
        Event::Acknowledge { step } => acknowledge(state, step),
        Event::Sure(event) if matches!(*event, Event::Read { .. }) => read(state, *event, true),
        event @ Event::Read { .. } => read(state, event, false),
        Event::Done { step } => done(state, step),
        Event::NotAsWritten { step, what } => not_as_written(state, step, &what),
        Event::MeasureAgain { deviation, reason } => measure_again(state, deviation, &reason),
        Event::Rework { deviation, what } => rework(state, deviation, &what),
        Event::CloseOut { procedure } => close_out(state, &procedure),
        Event::Answer { step, choice } => answer(state, step, choice),
        _ => Err(out_of_order(state)),
    }
}

/// A reading; of one that was confirmed it was asked whether it can be.
fn read(state: &State, event: Event, confirmed: bool) -> Decision {
    let Event::Read {
        step,
        name,
        typed,
        instrument,
        live,
    } = event
    else {
        return Err(out_of_order(state));
    };
    let typed = reading::Typed {
        name,
        typed,
        instrument,
        live,
        confirmed,
    };
    reading::read(state, expect_step(state, &step)?, &step, &typed)
}

pub(super) fn out_of_order(state: &State) -> Refusal {
    Refusal::OutOfOrder {
        now: state.prompt().say(state.words()),
    }
}
fn begin(state: &State, id: &ProcedureId) -> Decision {
    if state.prompt() != Prompt::Before(id.clone()) {
        return Err(out_of_order(state));
    }
    let (procedure, _) = state.play().procedure(id).ok_or_else(|| out_of_order(state))?;
    Ok(vec![wording::begin(state, procedure)])
}

fn acknowledge(state: &State, at: StepRef) -> Decision {
    match state.prompt() {
        Prompt::Hazards { step, hazards } if step == at => Ok(vec![Body::Acknowledged {
            step,
            hazards: wording::hazards(state, &hazards),
        }]),
        _ => Err(out_of_order(state)),
    }
}

/// The step, when it is the one on the screen and its guards allow it.
fn expect_step<'s>(state: &'s State, at: &StepRef) -> Result<&'s Step, Refusal> {
    let step = state.play().step(at).ok_or_else(|| Refusal::NoStep(at.clone()))?;
    match state.prompt() {
        Prompt::Step { step: now, .. } if now == *at => {}
        Prompt::Hazards { step: now, .. } if now == *at => return Err(Refusal::Hazards(now)),
        Prompt::Deviation(n) => return Err(Refusal::DeviationOpen(n)),
        Prompt::Before(procedure) if procedure == at.procedure => return Err(Refusal::NotBegun(procedure)),
        _ => return Err(out_of_order(state)),
    }
    for guard in state.play().guards(step) {
        if state.mark(&guard.after).released.is_none() {
            return Err(Refusal::Guarded {
                step: guard.after.clone(),
                act: guard.act.clone(),
            });
        }
    }
    Ok(step)
}

fn done(state: &State, at: StepRef) -> Decision {
    let step = expect_step(state, &at)?;
    if let Some(name) = state.wanted(&at, step).first() {
        let found = step.read.iter().find(|reading| reading.name == *name);
        let reading = found.map_or_else(|| name.clone(), |reading| state.render(&reading.label));
        return Err(Refusal::ReadingMissing { step: at, reading });
    }
    let mut bodies = reading::work_outs(state, step, &at, true)?;
    if bodies.iter().any(|body| matches!(body, Body::Deviation { .. })) || reading::any_fails(&bodies) {
        return Ok(bodies);
    }
    let n = state.next_number() + bodies.len() as u64;
    bodies.push(Body::Done {
        step: at.clone(),
        wording: wording::of(&reading::ahead(state, &bodies), step),
    });
    let ended = state.unsettled(&at, &Concern::NotAsWritten);
    bodies.extend(ended.map(|deviation| Body::Resolved {
        deviation: deviation.n,
        by_entry: n,
    }));
    Ok(bodies)
}

fn not_as_written(state: &State, at: StepRef, what: &str) -> Decision {
    expect_step(state, &at)?;
    let what = rights::reason(what)?;
    Ok(vec![Body::Deviation {
        step: at,
        concerns: None,
        what,
    }])
}

/// The deviation, when it is open.
pub(super) fn open_deviation(state: &State, n: u64) -> Result<&Deviation, Refusal> {
    let deviation = state.deviations().get(n).ok_or(Refusal::NoDeviation(n))?;
    if deviation.course == Course::Open {
        Ok(deviation)
    } else {
        Err(Refusal::NoDeviation(n))
    }
}

fn measure_again(state: &State, n: u64, reason: &str) -> Decision {
    let deviation = open_deviation(state, n)?;
    if state.readings_behind(deviation).is_empty() {
        let words = state.words();
        let why = words
            .say("nothing was measured at this step itself; rework what it rests on")
            .to_owned();
        return Err(Refusal::Reading {
            label: deviation.what.clone(),
            why,
        });
    }
    Ok(vec![Body::MeasureAgain {
        deviation: n,
        reason: rights::reason(reason)?,
    }])
}

fn rework(state: &State, n: u64, what: &str) -> Decision {
    let deviation = open_deviation(state, n)?;
    let what = rights::reason(what)?;
    let mut first = vec![deviation.step.clone()];
    if let Some(step) = state.play().step(&deviation.step) {
        first.extend(step.reopens.iter().cloned());
    }
    let mut reopens = depend::reopened(state, &first, &BTreeSet::new());
    if !reopens.contains(&deviation.step) {
        reopens.push(deviation.step.clone());
    }
    Ok(vec![Body::Rework {
        deviation: n,
        what,
        reopens,
    }])
}

fn close_out(state: &State, id: &ProcedureId) -> Decision {
    if state.prompt() != Prompt::CloseOut(id.clone()) {
        return Err(out_of_order(state));
    }
    let procedure = state.play().procedure(id);
    let lines = procedure.map_or_else(Vec::new, |(procedure, _)| {
        procedure
            .close_out
            .iter()
            .map(|line| state.render(line))
            .collect()
    });
    Ok(vec![Body::CloseOut {
        procedure: id.clone(),
        lines,
    }])
}

fn answer(state: &State, at: StepRef, choice: usize) -> Decision {
    if !state.practice() {
        return Err(Refusal::NotPractice);
    }
    if state.prompt() != Prompt::Question(at.clone()) {
        return Err(out_of_order(state));
    }
    let question = state.play().step(&at).and_then(|step| step.question.as_ref());
    let chosen = question.and_then(|question| Some((question, question.answers.get(choice)?)));
    let (question, chosen) = chosen.ok_or_else(|| out_of_order(state))?;
    let (ask, says) = (question.ask.clone(), chosen.says.clone());
    Ok(vec![Body::Answered {
        step: at,
        ask,
        chosen: says,
        right: chosen.right,
    }])
}
