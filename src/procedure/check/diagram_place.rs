//! A view seats parts, of a circuit nodes as well, no two of them in one cell on the same car.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::circuit::PartKind;
use crate::procedure::draft::{Draft, Mark, Marked};
use crate::procedure::drawing::View;
use crate::procedure::model::Condition;
use std::collections::BTreeMap;

const RULE: &str = "diagram-place";

static ALWAYS: Condition = Condition::Always;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for draft in draft.circuits.values() {
        let circuit = &draft.model;
        let bodies = circuit.parts.iter().filter(|part| part.kind != PartKind::Wire);
        let bodies = bodies.map(|part| (part.name.as_str(), &part.when));
        let nodes = circuit
            .nodes()
            .into_iter()
            .filter(|node| circuit.part(node).is_none());
        let seated = Seated {
            path: &draft.path,
            views: &circuit.looks.views,
            legal: bodies.chain(nodes.map(|node| (node, &ALWAYS))).collect(),
            expected: "a part that is no wire, or a node",
        };
        seated.check(&draft.marks, report);
    }
    for draft in draft.layouts.values() {
        let bodies = draft.model.parts.iter().filter(|part| !part.kind.is_line());
        let seated = Seated {
            path: &draft.path,
            views: &draft.model.views,
            legal: bodies.map(|part| (part.name.as_str(), &part.when)).collect(),
            expected: "a part that is no line",
        };
        seated.check(&draft.marks, report);
    }
}

/// The views of one file, and what may have a seat in them, each with its condition.
struct Seated<'a> {
    path: &'a str,
    views: &'a BTreeMap<String, View>,
    legal: Vec<(&'a str, &'a Condition)>,
    expected: &'static str,
}

impl Seated<'_> {
    fn check(&self, marks: &[Marked], report: &mut Report) {
        for marked in marks {
            let Mark::Seat { view, part } = &marked.mark else {
                continue;
            };
            let Some(seats) = self.views.get(view) else {
                continue;
            };
            let place = || marked.at.within(self.path);
            if !self.legal.iter().any(|(name, _)| name == part) {
                let fault = Diagnostic::new(place(), RULE, quoted(part), self.expected);
                report.push(fault.choose(part, self.legal.iter().map(|(name, _)| *name)));
            } else if let Some(found) = self.shared(seats, part) {
                let expected = "a cell of its own, or one that it shares with what is never on the same car";
                report.push(Diagnostic::new(place(), RULE, found, expected));
            }
        }
    }

    /// With what else of the same car the part shares its cell.
    fn shared(&self, seats: &View, name: &str) -> Option<String> {
        let cell = |name: &str| seats.get(name).map(|seat| (seat.column, seat.row));
        let (column, row) = cell(name)?;
        let when = |name: &str| {
            let legal = self.legal.iter().find(|(known, _)| *known == name);
            legal.map_or(&ALWAYS, |(_, when)| *when)
        };
        // Of two in one cell, the later one is told.
        let mut before = seats
            .keys()
            .filter(|other| other.as_str() < name && cell(other) == Some((column, row)));
        let other = before.find(|other| !exclude(when(other), when(name)))?;
        Some(format!("`{name}` at [{column}, {row}], where `{other}` is"))
    }
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
