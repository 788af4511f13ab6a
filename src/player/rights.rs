//! Who may do what: roles and four eyes.

use super::event::Actor;
use super::refusal::Refusal;
use super::state::State;
use crate::to_say;

pub(super) fn tablet(actor: &Actor) -> Result<(), Refusal> {
    need(actor, actor.tablet, to_say!("only the tablet does this"))
}

pub(super) fn worker(actor: &Actor) -> Result<(), Refusal> {
    need(
        actor,
        actor.worker,
        to_say!("it takes an apprentice, fitter or supervisor of this shop"),
    )
}

pub(super) fn anyone(actor: &Actor) -> Result<(), Refusal> {
    need(
        actor,
        actor.worker || actor.supervisor,
        to_say!("it takes a person of this shop"),
    )
}

/// A supervisor; in a practice run the person who practises stands in.
pub(super) fn supervisor(state: &State, actor: &Actor) -> Result<(), Refusal> {
    need(
        actor,
        actor.supervisor || (state.practice() && actor.worker),
        to_say!("it takes a supervisor"),
    )
}

fn need(actor: &Actor, has: bool, needs: &'static str) -> Result<(), Refusal> {
    if has {
        Ok(())
    } else {
        Err(Refusal::NotYours {
            who: actor.id.clone(),
            needs,
        })
    }
}

/// Four eyes: nobody judges their own work, except in a practice run.
pub(super) fn other_person(
    state: &State,
    actor: &Actor,
    what: &'static str,
    work: &[(u64, &str)],
) -> Result<(), Refusal> {
    match work.iter().find(|(_, by)| *by == actor.id) {
        Some((entry, who)) if !state.practice() => Err(Refusal::SamePerson {
            who: (*who).to_owned(),
            what,
            entry: *entry,
        }),
        _ => Ok(()),
    }
}

/// A reason in words, trimmed; at most 500 characters.
pub(super) fn reason(text: &str) -> Result<String, Refusal> {
    let text = text.trim();
    let letters = text.chars().filter(|c| c.is_alphabetic()).count();
    if letters < 3 || text.chars().count() > 500 {
        Err(Refusal::ReasonMissing)
    } else {
        Ok(text.to_owned())
    }
}
