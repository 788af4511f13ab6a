//! What an event leads to: facts, or a refusal and nothing else.

use super::card::{self, Sheet};
use super::depend;
use super::event::{Actor, Event, Typed};
use super::fact::{Body, Opening, PlannedProcedure, PlannedStep};
use super::owed::owed;
use super::play::step_ref;
use super::prompt::Prompt;
use super::refusal::Refusal;
use super::state::{Concern, Course, Deviation, State};
use super::{reading, rights, wording};
use crate::procedure::{ProcedureId, Step, StepRef};
use std::collections::BTreeSet;

type Decision = Result<Vec<Body>, Refusal>;

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
        Event::Note { .. } | Event::Resume { .. } => aside(state, actor, event),
        Event::SignOff => sign_off(state, actor),
        Event::ReleaseJob => release_job(state, actor),
        Event::Close => close(state, actor),
        Event::SendBack { step, reason, reopen } => send_back(state, actor, step, &reason, &reopen),
        work if state.signed_off().is_none() => on_work(state, actor, work),
        _ => Err(Refusal::OutOfOrder {
            now: state.prompt().to_string(),
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
        Event::Concede { deviation, reason } => concede(state, actor, deviation, &reason),
        Event::Release { step } => release(state, actor, step),
        Event::Witness { step, attended } => witness(state, actor, step, attended),
        other => {
            rights::worker(actor)?;
            by_worker(state, other)
        }
    }
}

fn by_worker(state: &State, event: Event) -> Decision {
    match event {
        Event::Card(answers) => accept_card(state, answers),
        Event::Begin { procedure } => begin(state, &procedure),
        Event::Acknowledge { step } => acknowledge(state, step),
        Event::Read {
            step,
            name,
            typed,
            instrument,
        } => reading::read(
            state,
            &expect_step(state, &step)?,
            &step,
            &reading::Typed {
                name,
                typed,
                instrument,
            },
        ),
        Event::Done { step } => done(state, step),
        Event::NotAsWritten { step, what } => not_as_written(state, step, &what),
        Event::MeasureAgain { deviation, reason } => measure_again(state, deviation, &reason),
        Event::Rework { deviation, what } => rework(state, deviation, &what),
        Event::CloseOut { procedure } => close_out(state, &procedure),
        Event::Answer { step, choice } => answer(state, step, choice),
        _ => Err(out_of_order(state)),
    }
}

fn out_of_order(state: &State) -> Refusal {
    Refusal::OutOfOrder {
        now: state.prompt().to_string(),
    }
}

fn accept_card(state: &State, answers: Vec<(String, String, Typed)>) -> Decision {
    let play = state.play();
    let mut sheet = Sheet::new();
    for (group, field, typed) in answers {
        if play.field(&group, &field).is_none() {
            let label = format!("card.{group}.{field}");
            return Err(Refusal::CardAnswer {
                label,
                why: "there is no such question on this card".into(),
            });
        }
        sheet.insert((group, field), typed);
    }
    let evaluation = card::evaluate(play, &sheet);
    refuse_card(play, &sheet, &evaluation)?;
    let mut card = evaluation.to_card();
    let mut with_card = state.clone();
    with_card.answers = evaluation.answers.clone();
    with_card.figures = card
        .figures
        .iter()
        .map(|figure| (figure.name.clone(), figure.clone()))
        .collect();
    card.reopens = depend::reopened(
        &with_card,
        &newly_wanted(state, &with_card),
        &changed_fields(state, &with_card),
    );
    let mut bodies = vec![Body::Card(card), Body::Plan(plan(&with_card))];
    let n = state.next_number();
    let gone = state
        .unsettled_deviations()
        .filter(|deviation| !with_card.applies(&deviation.step));
    bodies.extend(gone.map(|deviation| Body::Resolved {
        deviation: deviation.n,
        by_entry: n,
    }));
    Ok(bodies)
}

fn refuse_card(play: &super::Play, sheet: &Sheet, evaluation: &card::Evaluation) -> Result<(), Refusal> {
    if let Some(fault) = evaluation.faults.first() {
        return Err(Refusal::CardAnswer {
            label: fault.label.clone(),
            why: fault.why.clone(),
        });
    }
    let label = |(group, id): &(String, String)| {
        play.field(group, id)
            .map_or_else(String::new, |field| evaluation.render(play, &field.label))
    };
    if !evaluation.missing.is_empty() {
        let missing: Vec<String> = evaluation.missing.iter().map(label).collect();
        return Err(Refusal::CardIncomplete(missing.join(", ")));
    }
    if let Some((label, why)) = evaluation.unworkable.first() {
        return Err(Refusal::Figure {
            label: label.clone(),
            why: why.clone(),
        });
    }
    let failing: Vec<&str> = evaluation.failing().map(|check| check.says.as_str()).collect();
    if !failing.is_empty() {
        return Err(Refusal::CardFails(failing.join(" ")));
    }
    let stray = sheet.keys().find(|key| !evaluation.answers.contains_key(*key));
    match stray {
        Some(key) => Err(Refusal::CardAnswer {
            label: label(key),
            why: "this question does not apply to this car".into(),
        }),
        None => Ok(()),
    }
}

fn changed_fields(before: &State, after: &State) -> BTreeSet<(String, String)> {
    let keys = before.answers.keys().chain(after.answers.keys());
    keys.filter(|key| before.answers.get(*key) != after.answers.get(*key))
        .cloned()
        .collect()
}

/// Steps that were done, fell away under the last card, and apply again now.
fn newly_wanted(before: &State, after: &State) -> Vec<StepRef> {
    let steps = before.marks.keys();
    steps
        .filter(|step| !before.applies(step) && after.applies(step))
        .cloned()
        .collect()
}

pub(super) fn plan(state: &State) -> Vec<PlannedProcedure> {
    let procedures = state.plan().map(|(procedure, steps)| PlannedProcedure {
        procedure: procedure.id.clone(),
        title: procedure.title.clone(),
        revision: procedure.revision,
        steps: steps
            .into_iter()
            .map(|step| planned(state, step_ref(procedure, step), step))
            .collect(),
    });
    procedures.collect()
}

fn planned(state: &State, at: StepRef, step: &Step) -> PlannedStep {
    let readings = step
        .read
        .iter()
        .map(|reading| (reading.name.clone(), state.render(&reading.label)));
    let worked = step
        .work_out
        .iter()
        .map(|work| (work.name.clone(), state.render(&work.label)));
    PlannedStep {
        step: at,
        command: state.render(&step.command),
        readings: readings.chain(worked).collect(),
        hold: step.hold.is_some(),
        witness: step.witness.is_some(),
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
fn expect_step(state: &State, at: &StepRef) -> Result<Step, Refusal> {
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
    Ok(step.clone())
}

fn done(state: &State, at: StepRef) -> Decision {
    let step = expect_step(state, &at)?;
    if let Some(name) = state.wanted(&at, &step).first() {
        let found = step.read.iter().find(|reading| reading.name == *name);
        let reading = found.map_or_else(|| name.clone(), |reading| state.render(&reading.label));
        return Err(Refusal::ReadingMissing { step: at, reading });
    }
    let mut bodies = reading::work_outs(state, &step, &at, true)?;
    if bodies.iter().any(|body| matches!(body, Body::Deviation { .. })) || reading::any_fails(&bodies) {
        return Ok(bodies);
    }
    let n = state.next_number() + bodies.len() as u64;
    bodies.push(Body::Done {
        step: at.clone(),
        wording: wording::of(state, &step),
    });
    if let Some(deviation) = state.unsettled(&at, &Concern::NotAsWritten) {
        bodies.push(Body::Resolved {
            deviation: deviation.n,
            by_entry: n,
        });
    }
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
fn open_deviation(state: &State, n: u64) -> Result<&Deviation, Refusal> {
    let deviation = state.deviations().get(&n).ok_or(Refusal::NoDeviation(n))?;
    if deviation.course == Course::Open {
        Ok(deviation)
    } else {
        Err(Refusal::NoDeviation(n))
    }
}

fn measure_again(state: &State, n: u64, reason: &str) -> Decision {
    let deviation = open_deviation(state, n)?;
    if state.readings_behind(deviation).is_empty() {
        let why = "nothing was measured at this step itself; rework what it rests on".into();
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

fn concede(state: &State, actor: &Actor, n: u64, reason: &str) -> Decision {
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

fn witness(state: &State, actor: &Actor, at: StepRef, attended: bool) -> Decision {
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

fn release(state: &State, actor: &Actor, at: StepRef) -> Decision {
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

fn send_back(state: &State, actor: &Actor, at: StepRef, reason: &str, reopen: &[StepRef]) -> Decision {
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

fn all_work(state: &State) -> Vec<(u64, String)> {
    let mut work: Vec<(u64, String)> = state.work.values().flatten().cloned().collect();
    work.sort();
    work
}

fn sign_off(state: &State, actor: &Actor) -> Decision {
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

fn release_job(state: &State, actor: &Actor) -> Decision {
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

fn close(state: &State, actor: &Actor) -> Decision {
    rights::tablet(actor)?;
    if state.prompt() != Prompt::Close {
        return Err(out_of_order(state));
    }
    Ok(vec![Body::Closing {
        entries: state.next_number() + 1,
    }])
}
