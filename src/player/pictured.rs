//! What the numbers of a step's picture stand for.

use super::state::State;
use crate::procedure::circuit::{Circuit, Sight};
use crate::procedure::{Picture, Pointed, Shown, Step, Text};
use crate::say;

/// The words of the numbers in the step's picture, from 1: the step's own, or else the labels of the parts and
/// places that a diagram points at. What this car does not have is left out, and the others move up.
#[must_use]
pub fn callouts(state: &State, step: &Step) -> Vec<String> {
    let Some((shown, circuit)) = diagram(state, step) else {
        return step.callouts.iter().map(|text| state.render(text)).collect();
    };
    let holds = |condition: &_| state.holds(condition);
    let points = shown.points_on(circuit, &holds);
    points
        .map(|(place, pointed)| match step.callouts.get(place) {
            Some(text) => state.render(text),
            None => said(state, circuit, pointed),
        })
        .collect()
}

/// What is shown of which circuit, where the step's picture is a diagram.
#[must_use]
pub fn diagram<'a>(state: &'a State, step: &'a Step) -> Option<(&'a Shown, &'a Circuit)> {
    match step.picture.as_ref()? {
        Picture::File(_) => None,
        Picture::Circuit(shown) => Some((shown, state.play().shared.circuits.get(&shown.circuit)?)),
    }
}

fn said(state: &State, circuit: &Circuit, pointed: &Pointed) -> String {
    let name = pointed.name();
    let looks = if pointed.at_node() {
        &circuit.looks.nodes
    } else {
        &circuit.looks.parts
    };
    let label = looks.get(name).and_then(|look| look.label.as_ref());
    let label = label.map_or_else(|| in_words(name), |label: &Text| state.render(label));
    let words = state.words();
    match pointed {
        Pointed::Red(_) => say!(words, "Red probe: {label}", label = label),
        Pointed::Black(_) => say!(words, "Black probe: {label}", label = label),
        Pointed::Clamp(_) => say!(words, "Clamp meter: {label}", label = label),
        Pointed::Part(_) => {
            let sight = Sight {
                value: &|reference| state.value(reference),
                holds: &|condition| state.holds(condition),
            };
            let part = circuit.part(name).into_iter();
            let figures = part.flat_map(|part| part.told(circuit, &sight));
            std::iter::once(label)
                .chain(figures)
                .collect::<Vec<_>>()
                .join(", ")
        }
    }
}

/// `main-fuse` as `Main fuse`.
fn in_words(name: &str) -> String {
    let words = name.replace('-', " ");
    let mut letters = words.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}
