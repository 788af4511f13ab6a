//! A photograph in a record: an entry names its file, and the file's name is the hash of its bytes.

use super::fact::{Body, Fact, ReadingTaken};
use super::refusal::Refusal;
use super::state::State;
use crate::calc::Value;
use crate::procedure::{ReadingKind, StepRef};
use crate::say;
use crate::words::Words;

/// The extension of a photograph's file.
const EXTENSION: &str = ".jpg";
/// How many digits of a hash are shown to people.
const DIGITS: usize = 12;

/// The name of a photograph's file.
///
/// # Errors
/// The text is none.
pub(super) fn named(text: &str, words: &Words) -> Result<String, String> {
    let text = text.trim();
    let digit = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    let stem = text.strip_suffix(EXTENSION);
    if stem.is_some_and(|stem| stem.len() == 64 && stem.bytes().all(digit)) {
        return Ok(text.to_owned());
    }
    Err(say!(
        words,
        "found “{text}”; a photograph is taken or chosen, not typed",
        text = text.chars().take(80).collect::<String>()
    ))
}

/// A photograph as a line names it: by the first digits of its hash.
#[must_use]
pub fn shown(name: &str, words: &Words) -> String {
    say!(words, "Photograph {hash}", hash = digits(name))
}

/// The digits by which people tell one photograph from another.
#[must_use]
pub fn digits(name: &str) -> String {
    name.chars().take(DIGITS).collect()
}

/// A photograph that is added to a step, to a deviation and so to its step, or to the job as a whole.
///
/// # Errors
/// The deviation or the step is not there, or the name is none of a photograph's file.
pub(super) fn added(
    state: &State,
    step: Option<StepRef>,
    deviation: Option<u64>,
    photo: &str,
) -> Result<Body, Refusal> {
    let words = state.words();
    let step = match deviation {
        None => step,
        Some(n) => {
            let found = state.deviations().get(n).ok_or(Refusal::NoDeviation(n))?;
            Some(found.step.clone())
        }
    };
    if let Some(step) = step.as_ref().filter(|step| state.play().step(step).is_none()) {
        return Err(Refusal::NoStep(step.clone()));
    }
    let photo = named(photo, words).map_err(|why| Refusal::Reading {
        label: words.say("Photograph").to_owned(),
        why,
    })?;
    Ok(Body::Photograph {
        step,
        deviation,
        photo,
    })
}

/// The photographs of a step, in the order of the record: its readings, and what was added to it or to one of
/// its deviations. Each with the entry that names it.
pub fn of_step<'s>(state: &'s State, at: &'s StepRef) -> impl Iterator<Item = (&'s Fact, &'s str)> {
    state.facts().iter().filter_map(move |fact| match &fact.body {
        Body::Photograph { step, photo, .. } if step.as_ref() == Some(at) => Some((&**fact, photo.as_str())),
        Body::Read(taken) if taken.step == *at && photographs(state, taken) => match &taken.value {
            Value::Text(name) => Some((&**fact, name.as_str())),
            _ => None,
        },
        _ => None,
    })
}

fn photographs(state: &State, taken: &ReadingTaken) -> bool {
    let step = state.play().step(&taken.step);
    let asked = step.and_then(|step| step.read.iter().find(|reading| reading.name == taken.name));
    asked.is_some_and(|reading| matches!(reading.kind, ReadingKind::Photo))
}
