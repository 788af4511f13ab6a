//! The job card accepted: its answers, its plan, and what it opens again.

use super::Decision;
use crate::player::card::{self, Sheet};
use crate::player::depend;
use crate::player::event::Typed;
use crate::player::fact::{Answer, Body, CardAnswer, PlannedProcedure, PlannedStep};
use crate::player::play::{Play, step_ref};
use crate::player::refusal::Refusal;
use crate::player::state::State;
use crate::procedure::{Step, StepRef};
use std::collections::BTreeSet;
use std::sync::Arc;

pub(super) fn accept(state: &State, answers: Vec<(String, String, Typed)>) -> Decision {
    let play = state.play();
    let mut sheet = Sheet::new();
    for (group, field, typed) in answers {
        if play.field(&group, &field).is_none() {
            let label = format!("card.{group}.{field}");
            return Err(Refusal::CardAnswer {
                label,
                why: state
                    .words()
                    .say("there is no such question on this card")
                    .to_owned(),
            });
        }
        sheet.insert((group, field), typed);
    }
    let evaluation = card::evaluate(play, &sheet);
    refuse_card(play, &sheet, &evaluation)?;
    let mut card = evaluation.to_card(play);
    let mut with_card = state.clone();
    with_card.answers = Arc::new(evaluation.answers.clone());
    let figures = card.figures.iter();
    with_card.figures = Arc::new(
        figures
            .map(|figure| (figure.name.clone(), figure.clone()))
            .collect(),
    );
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

fn refuse_card(play: &Play, sheet: &Sheet, evaluation: &card::Evaluation) -> Result<(), Refusal> {
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
            why: play
                .words()
                .say("this question does not apply to this car")
                .to_owned(),
        }),
        None => Ok(()),
    }
}

fn changed_fields(before: &State, after: &State) -> BTreeSet<(String, String)> {
    let keys = before.answers.keys().chain(after.answers.keys());
    keys.filter(|key| !same_answer(before.answers.get(*key), after.answers.get(*key)))
        .cloned()
        .collect()
}

/// Whether two answers are the same, whatever the language in which they are shown.
fn same_answer(before: Option<&CardAnswer>, after: Option<&CardAnswer>) -> bool {
    match (
        before.map(|before| &before.answer),
        after.map(|after| &after.answer),
    ) {
        (
            Some(Answer::Open { typed, value, .. }),
            Some(Answer::Open {
                typed: now,
                value: is,
                ..
            }),
        ) => (typed, value) == (now, is),
        (before, after) => before == after,
    }
}

/// Steps that were done, fell away under the last card, and apply again now.
fn newly_wanted(before: &State, after: &State) -> Vec<StepRef> {
    let steps = before.marks.iter().flat_map(|(procedure, marks)| {
        marks.keys().map(|step| StepRef {
            procedure: procedure.clone(),
            step: step.clone(),
        })
    });
    steps
        .filter(|step| !before.applies(step) && after.applies(step))
        .collect()
}

pub(in crate::player) fn plan(state: &State) -> Vec<PlannedProcedure> {
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
