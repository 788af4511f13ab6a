//! What the numbers of a step's picture stand for.

use super::state::State;
use crate::procedure::circuit::{Circuit, Sight};
use crate::procedure::{Layout, Picture, Piece, Pointed, Setup, Shown, Step, Text};
use crate::say;

/// What a step's picture draws, where it is a diagram.
#[derive(Clone, Copy, Debug)]
pub enum Pictured<'a> {
    Circuit(&'a Shown, &'a Circuit),
    Layout(&'a Setup, &'a Layout),
}

/// The words of the numbers in the step's picture, from 1: the step's own, or else the labels of the parts and
/// places that a diagram points at. What this car does not have is left out, and the others move up.
#[must_use]
pub fn callouts(state: &State, step: &Step) -> Vec<String> {
    let Some(pictured) = diagram(state, step) else {
        return step.callouts.iter().map(|text| state.render(text)).collect();
    };
    let holds = |condition: &_| state.holds(condition);
    let points: Vec<(usize, &Pointed)> = match pictured {
        Pictured::Circuit(shown, circuit) => shown.points_on(circuit, &holds).collect(),
        Pictured::Layout(setup, layout) => setup.points_on(layout, &holds).collect(),
    };
    let points = points.into_iter();
    points
        .map(|(place, pointed)| match (step.callouts.get(place), pictured) {
            (Some(text), _) => state.render(text),
            (None, Pictured::Circuit(_, circuit)) => said(state, circuit, pointed),
            (None, Pictured::Layout(_, layout)) => of_fitting(state, layout, pointed.name()),
        })
        .collect()
}

/// What is shown of which circuit or layout, where the step's picture is a diagram.
#[must_use]
pub fn diagram<'a>(state: &'a State, step: &'a Step) -> Option<Pictured<'a>> {
    let shared = &state.play().shared;
    match step.picture.as_ref()? {
        Picture::File(_) => None,
        Picture::Circuit(shown) => Some(Pictured::Circuit(shown, shared.circuits.get(&shown.circuit)?)),
        Picture::Layout(setup) => Some(Pictured::Layout(setup, shared.layouts.get(&setup.layout)?)),
    }
}

/// The label of a layout's part, and the value that stands beside it.
fn of_fitting(state: &State, layout: &Layout, name: &str) -> String {
    let part = layout.part(name);
    let label = part.and_then(|part| part.label.as_ref());
    let label = label.map_or_else(|| in_words(name), |label| state.render(label));
    let shows = part.and_then(|part| part.shows.clone());
    let value = shows.map(|reference| state.render(&Text(vec![Piece::Show(reference)])));
    std::iter::once(label).chain(value).collect::<Vec<_>>().join(", ")
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
        Pointed::Node(_) => label,
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
