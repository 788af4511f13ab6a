//! The photographs of a step: those that it asks for, and those that were added to it or to its deviations.

use crate::player::State;
use crate::player::fact::Body;
use crate::player::photo;
use crate::procedure::StepRef;
use crate::say;
use crate::words::Words;

/// A photograph that the record holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoLine {
    /// Its file in the job's folder.
    pub name: String,
    /// The digits of its hash that people compare.
    pub hash: String,
    /// The entry that names it.
    pub entry: u64,
    /// Who attached it, by their id.
    pub by: String,
    /// When, as the record says it: `2026-03-02 09:14`.
    pub at: String,
    /// What it was taken for.
    pub of: String,
}

/// The photographs of a step, the newest first.
#[must_use]
pub fn of_step(state: &State, at: &StepRef) -> Vec<PhotoLine> {
    let mut lines: Vec<PhotoLine> = photo::of_step(state, at)
        .map(|(fact, name)| PhotoLine {
            name: name.to_owned(),
            hash: photo::digits(name),
            entry: fact.n,
            by: fact.by.clone(),
            at: fact.at.format("%Y-%m-%d %H:%M").to_string(),
            of: of(&fact.body, state.words()),
        })
        .collect();
    lines.reverse();
    lines
}

fn of(body: &Body, words: &Words) -> String {
    match body {
        Body::Read(taken) => taken.label.clone(),
        Body::Photograph {
            deviation: Some(n), ..
        } => say!(words, "Of deviation {n}", n = n),
        _ => say!(words, "Added to the step"),
    }
}

/// What the way to the photographs is called.
#[must_use]
pub fn called(count: usize, words: &Words) -> String {
    match count {
        0 => say!(words, "Add a photo"),
        count => say!(words, "{n} photo" | "{n} photos", n = count as u64),
    }
}
