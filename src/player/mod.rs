//! The state machine of a job: `advance` turns an event into facts, `replay` turns facts into a state.

mod apply;
pub mod card;
mod decide;
pub mod depend;
pub mod deviation;
pub mod event;
pub mod example;
pub mod fact;
mod grown;
pub mod instrument;
pub mod judge;
mod language;
mod latest;
mod live;
mod owed;
pub mod photo;
pub mod pictured;
pub mod play;
pub mod prompt;
mod reading;
pub mod refusal;
mod rights;
pub mod state;
pub mod wording;

pub use event::{Actor, Event, Typed};
pub use fact::{Body, Fact};
pub use grown::Grown;
pub use owed::owed;
pub use play::Play;
pub use prompt::Prompt;
pub use refusal::Refusal;
pub use state::State;

use std::sync::Arc;

/// Answers an event: the next state and the facts that lead to it.
///
/// # Errors
/// A [`Refusal`] whose sentence says what to do next; then nothing has changed.
pub fn advance(state: &State, actor: &Actor, event: Event) -> Result<(State, Vec<Fact>), Refusal> {
    let facts = answer(state, actor, event)?;
    let mut next = state.clone();
    facts.iter().for_each(|fact| next.take(Arc::new(fact.clone())));
    Ok((next, facts))
}

/// The facts that an event leads to, for whoever needs no next state.
///
/// # Errors
/// As [`advance`].
pub fn answer(state: &State, actor: &Actor, event: Event) -> Result<Vec<Fact>, Refusal> {
    let asked = match &event {
        Event::Sure(asked) => asked,
        other => other,
    };
    if let Event::Read { instrument, .. } = asked {
        instrument::calibrated(state, actor, instrument.as_deref())?;
    }
    let bodies = decide::decide(state, actor, event)?;
    let numbered = bodies.into_iter().zip(state.next_number()..);
    Ok(numbered.map(|(body, n)| apply::fact(n, actor, body)).collect())
}

/// The state after these facts, taken as true.
///
/// # Errors
/// [`Refusal::Replay`] when their numbers do not run on.
pub fn replay<F: Into<Arc<Fact>>>(
    state: &State,
    facts: impl IntoIterator<Item = F>,
) -> Result<State, Refusal> {
    let mut next = state.clone();
    facts.into_iter().try_for_each(|fact| follow(&mut next, fact))?;
    Ok(next)
}

/// Moves a state on by a fact, taken as true.
///
/// # Errors
/// [`Refusal::Replay`] when its number is not the next one; the state stays as it is.
pub fn follow(state: &mut State, fact: impl Into<Arc<Fact>>) -> Result<(), Refusal> {
    let fact = fact.into();
    if fact.n != state.next_number() {
        let why = format!("its number is {}, expected {}", fact.n, state.next_number());
        return Err(Refusal::Replay { n: fact.n, why });
    }
    state.take(fact);
    Ok(())
}

/// The state in which the figures of a step stand that can be worked out now, for its bands on the screen.
#[must_use]
pub fn foreseen(state: &State, at: &crate::procedure::StepRef) -> State {
    let Some(step) = state.play().step(at) else {
        return state.clone();
    };
    let bodies = reading::work_outs(state, step, at, false).unwrap_or_default();
    reading::ahead(state, &bodies).into_owned()
}

/// The figures that a step would work out now, for the screen; they become facts when the step is marked.
#[must_use]
pub fn foresee(state: &State, at: &crate::procedure::StepRef) -> Vec<Result<fact::WorkedOut, String>> {
    let Some(step) = state.play().step(at) else {
        return Vec::new();
    };
    let work = step.work_out.iter();
    work.map(|work| reading::worked(state, work, at).map_err(|refusal| refusal.to_string()))
        .collect()
}
