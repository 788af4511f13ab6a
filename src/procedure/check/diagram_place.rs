//! A view of a circuit seats parts and nodes, no two of them in one cell on the same car.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::circuit::{Circuit, PartKind};
use crate::procedure::draft::{CircuitDraft, Draft, Mark};
use crate::procedure::drawing::View;
use crate::procedure::model::Condition;

const RULE: &str = "diagram-place";

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for circuit in draft.circuits.values() {
        for marked in &circuit.marks {
            let Mark::Seat { view, part } = &marked.mark else {
                continue;
            };
            let Some(seats) = circuit.model.looks.views.get(view) else {
                continue;
            };
            let place = || marked.at.within(&circuit.path);
            let legal = seatable(&circuit.model);
            if !legal.contains(&part.as_str()) {
                let expected = "a part that is no wire, or a node";
                let fault = Diagnostic::new(place(), RULE, quoted(part), expected);
                report.push(fault.choose(part, legal));
            } else if let Some(found) = shared(circuit, seats, part) {
                let expected = "a cell of its own, or one that it shares with what is never on the same car";
                report.push(Diagnostic::new(place(), RULE, found, expected));
            }
        }
    }
}

/// With what else of the same car the part shares its cell.
fn shared(circuit: &CircuitDraft, seats: &View, name: &str) -> Option<String> {
    let cell = |name: &str| seats.get(name).map(|seat| (seat.column, seat.row));
    let (column, row) = cell(name)?;
    // Of two in one cell, the later one is told.
    let when = |name: &str| {
        circuit
            .model
            .part(name)
            .map_or(&Condition::Always, |part| &part.when)
    };
    let before = seats
        .keys()
        .filter(|other| other.as_str() < name && cell(other) == Some((column, row)));
    let other = before
        .into_iter()
        .find(|other| !exclude(when(other), when(name)))?;
    Some(format!("`{name}` at [{column}, {row}], where `{other}` is"))
}

/// What may have a seat.
fn seatable(circuit: &Circuit) -> Vec<&str> {
    let bodies = circuit.parts.iter().filter(|part| part.kind != PartKind::Wire);
    let nodes = circuit
        .nodes()
        .into_iter()
        .filter(|node| circuit.part(node).is_none());
    bodies.map(|part| part.name.as_str()).chain(nodes).collect()
}

/// Whether two conditions never hold together: one and the same question would need two answers.
fn exclude(one: &Condition, other: &Condition) -> bool {
    let apart = |one: &Condition, other: &Condition| match (one, other) {
        (
            Condition::Answer { group, field, one_of },
            Condition::Answer {
                group: same,
                field: too,
                one_of: others,
            },
        ) => group == same && field == too && !one_of.iter().any(|answer| others.contains(answer)),
        _ => false,
    };
    all(one)
        .iter()
        .any(|one| all(other).iter().any(|other| apart(one, other)))
}

fn all(condition: &Condition) -> Vec<&Condition> {
    match condition {
        Condition::All(parts) => parts.iter().flat_map(all).collect(),
        other => vec![other],
    }
}
