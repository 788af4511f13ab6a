//! What has to be done again when something below it changes.

use super::play::Play;
use super::state::State;
use crate::procedure::{Band, Operand, Piece, ProcedureId, Reference, Step, StepRef, Text};
use std::collections::BTreeSet;

type CardField = (String, String);

/// The steps that are open again when `first` are to be done again, themselves included.
///
/// A step falls with what it rests on: a reading or figure of a reopened step, a temporary state
/// that has to stand while it is done again, a hold point that covered it.
#[must_use]
pub fn reopened(state: &State, first: &[StepRef], changed: &BTreeSet<CardField>) -> Vec<StepRef> {
    let mut open: BTreeSet<StepRef> = first.iter().filter(|step| state.applies(step)).cloned().collect();
    loop {
        let before = open.len();
        spread(state, changed, &mut open);
        if open.len() == before {
            break;
        }
    }
    in_order(state.play(), open)
}

/// The step, and every step whose readings or figures it rests on, directly or through others.
#[must_use]
pub fn foundations(state: &State, step: &StepRef) -> BTreeSet<StepRef> {
    let (mut found, mut left) = (BTreeSet::new(), vec![step.clone()]);
    while let Some(next) = left.pop() {
        if !found.insert(next.clone()) {
            continue;
        }
        let play = state.play();
        let below = play
            .step(&next)
            .map(|step| references(play, step))
            .unwrap_or_default();
        left.extend(
            below
                .iter()
                .filter_map(|reference| made_at(state.play(), reference)),
        );
    }
    found
}

/// The step at which a reading is taken or a figure worked out.
fn made_at(play: &Play, reference: &Reference) -> Option<StepRef> {
    match reference {
        Reference::Read { procedure, name } => maker(play, procedure, |step| {
            step.read.iter().any(|reading| reading.name == *name)
        }),
        Reference::Work { procedure, name, .. } => maker(play, procedure, |step| {
            step.work_out.iter().any(|work| work.name == *name)
        }),
        Reference::Card { .. } | Reference::Figure { .. } => None,
    }
}

fn in_order(play: &Play, steps: BTreeSet<StepRef>) -> Vec<StepRef> {
    let mut list: Vec<StepRef> = steps.into_iter().collect();
    list.sort_by_key(|step| play.order(step));
    list
}

fn spread(state: &State, changed: &BTreeSet<CardField>, open: &mut BTreeSet<StepRef>) {
    for (step_ref, _, step) in state.play().steps() {
        if open.contains(&step_ref) || !touched(state, &step_ref) {
            continue;
        }
        if rests_on(state.play(), step, changed, open)
            || covers(step, open)
            || frames(state, &step_ref, step, open)
        {
            open.insert(step_ref);
        }
    }
}

/// Whether anything was done on the step that would have to fall.
fn touched(state: &State, step: &StepRef) -> bool {
    state.mark(step).done.is_some() || state.readings().any(|(_, reading)| reading.step == *step)
}

fn covers(step: &Step, open: &BTreeSet<StepRef>) -> bool {
    [&step.hold, &step.witness]
        .into_iter()
        .flatten()
        .any(|point| point.covers.iter().any(|covered| open.contains(covered)))
}

/// Whether the step makes or restores a temporary state within which a reopened step lies.
fn frames(state: &State, step_ref: &StepRef, step: &Step, open: &BTreeSet<StepRef>) -> bool {
    let play = state.play();
    let Some(name) = step.temporary.as_ref().or(step.restores.as_ref()) else {
        return false;
    };
    let find = |wanted: &dyn Fn(&Step) -> bool| {
        play.steps()
            .find(|(at, _, other)| wanted(other) && state.applies(at))
            .map(|(at, ..)| at)
    };
    let first = find(&|other| other.temporary.as_ref() == Some(name));
    let last = find(&|other| other.restores.as_ref() == Some(name));
    let (Some(first), Some(last)) = (first, last) else {
        return false;
    };
    let inside =
        |other: &StepRef| play.order(&first) <= play.order(other) && play.order(other) < play.order(&last);
    (*step_ref == first || *step_ref == last) && state.mark(&last).done.is_some() && open.iter().any(inside)
}

fn rests_on(play: &Play, step: &Step, changed: &BTreeSet<CardField>, open: &BTreeSet<StepRef>) -> bool {
    references(play, step).iter().any(|reference| match reference {
        Reference::Card { group, field } => changed.contains(&(group.clone(), field.clone())),
        Reference::Figure { name, .. } => play
            .figure_fields(name)
            .iter()
            .any(|field| changed.contains(field)),
        Reference::Read { .. } | Reference::Work { .. } => {
            made_at(play, reference).is_some_and(|made| open.contains(&made))
        }
    })
}

fn maker(play: &Play, procedure: &ProcedureId, makes: impl Fn(&Step) -> bool) -> Option<StepRef> {
    let (procedure, _) = play.procedure(procedure)?;
    let step = procedure.steps.iter().find(|step| makes(step))?;
    Some(super::play::step_ref(procedure, step))
}

/// Everything that a step refers to.
#[must_use]
pub fn references(play: &Play, step: &Step) -> BTreeSet<Reference> {
    let mut found = BTreeSet::new();
    for text in [&step.command, &step.why, &step.right, &step.wrong] {
        in_text(text, &mut found);
    }
    step.when.references(&mut found);
    for reading in &step.read {
        in_text(&reading.label, &mut found);
        if let crate::procedure::Judged::Band(band) = &reading.judged {
            in_band(band, &mut found);
        }
    }
    for work in &step.work_out {
        found.extend(play.rests_on(&work.method));
        if let Some((_, band)) = &work.band {
            in_band(band, &mut found);
        }
    }
    found
}

fn in_text(text: &Text, found: &mut BTreeSet<Reference>) {
    for piece in &text.0 {
        if let Piece::Show(reference) = piece {
            found.insert(reference.clone());
        }
    }
}

fn in_band(band: &Band, found: &mut BTreeSet<Reference>) {
    let around = band.around.iter().map(|(middle, _)| middle);
    let operands = band
        .at_least
        .iter()
        .chain(&band.at_most)
        .chain(around)
        .chain(&band.equals);
    found.extend(operands.filter_map(Operand::reference).cloned());
}
