//! A step's diagram names a view of its circuit, and points at nothing that the view leaves out.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::circuit::Circuit;
use crate::procedure::draft::Mark;
use crate::procedure::model::Shown;

const RULE: &str = "diagram-shows";

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Draws(shown) = &marked.mark else {
            continue;
        };
        let Some(circuit) = file.draft.circuits.get(&shown.circuit).map(|draft| &draft.model) else {
            continue;
        };
        let views = &circuit.looks.views;
        if let Some(view) = shown.view.as_ref().filter(|view| !views.contains_key(*view)) {
            let expected = format!("a view of the circuit `{}`", shown.circuit);
            let fault = file.found(marked.at, RULE, quoted(view), &expected);
            report.push(fault.choose(view, views.keys().map(String::as_str)));
            continue;
        }
        for name in left_out(shown, circuit) {
            let found = format!("`{name}`, which this view does not draw");
            let expected = "what the view draws, or another view";
            report.push(file.found(marked.at, RULE, found, expected));
        }
    }
}

/// What the diagram points at in vain. What the circuit does not have is told where it is named.
fn left_out<'a>(shown: &'a Shown, circuit: &'a Circuit) -> Vec<&'a str> {
    let drawn: Vec<usize> = shown
        .points_on(circuit, &|_| true)
        .map(|(place, _)| place)
        .collect();
    let known = |name: &str| circuit.part(name).is_some() || circuit.nodes().contains(&name);
    let points = shown
        .points
        .iter()
        .enumerate()
        .filter(|(place, _)| !drawn.contains(place));
    points
        .map(|(_, pointed)| pointed.name())
        .filter(|name| known(name))
        .collect()
}
