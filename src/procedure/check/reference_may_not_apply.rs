//! A value that is there under a condition is used only where that condition holds too.

use super::scope::Scope;
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;
use crate::procedure::model::{Circuit, Condition, Reference};

const RULE: &str = "reference-may-not-apply";

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
        if let Some((found, needed)) = of_circuit(scope, &met.marked.mark, met.circuit)
            && !scope.implies(&met, &needed)
        {
            let found = format!("{found}, which is there only when {}", said(&needed));
            let fault = met.found(RULE, found, "what is always there where this stands");
            report.push(fault.help("give both the same `when`"));
        }
        let reference = match &met.marked.mark {
            Mark::Refers(reference) => reference.clone(),
            // An answer that must be given makes sure that its field was asked; inside `not` it does not.
            Mark::Answers {
                group,
                field,
                under_not: true,
                ..
            } => Reference::Card {
                group: group.clone(),
                field: field.clone(),
            },
            _ => continue,
        };
        let there = scope.there_when(&reference);
        if let Some(lacking) = there
            .into_iter()
            .find(|condition| !scope.implies(&met, condition))
        {
            let found = format!("`{reference}`, which is there only when {}", said(lacking));
            let expected = "a value that is always there where this stands";
            let fault = met.found(RULE, found, expected);
            report.push(fault.help("give this part the same `when`, or use another value"));
        }
    }
}

/// What a mark needs of a circuit, and under which condition the circuit has it.
fn of_circuit(scope: &Scope, mark: &Mark, inside: Option<&Circuit>) -> Option<(String, Condition)> {
    let circuit = |id: &str| scope.draft.circuits.get(id).map(|draft| &draft.model);
    match mark {
        Mark::UsesGiven(name) => {
            let given = inside?.given(name)?;
            Some((format!("the given `{name}`"), given.when.clone()))
        }
        Mark::CircuitPart {
            circuit: id,
            part,
            asked: true,
            ..
        } => Some((
            format!("the part `{part}`"),
            circuit(id)?.part(part)?.when.clone(),
        )),
        Mark::CircuitNode {
            circuit: id,
            node,
            asked: true,
        } => {
            let mut conditions: Vec<Condition> = circuit(id)?
                .parts_at(node)
                .map(|part| part.when.clone())
                .collect();
            let needed = match conditions.len() {
                0 => return None,
                1 => conditions.remove(0),
                _ if conditions.contains(&Condition::Always) => Condition::Always,
                _ => Condition::Any(conditions),
            };
            Some((format!("the node `{node}`"), needed))
        }
        _ => None,
    }
}

/// A condition in words.
fn said(condition: &Condition) -> String {
    let join = |parts: &[Condition], by: &str| parts.iter().map(said).collect::<Vec<_>>().join(by);
    match condition {
        Condition::Always => "always".to_owned(),
        Condition::Answer { group, field, one_of } => {
            format!("card.{group}.{field} is {}", one_of.join(" or "))
        }
        Condition::All(parts) => join(parts, " and "),
        Condition::Any(parts) => format!("({})", join(parts, " or ")),
        Condition::Not(part) => format!("not ({})", said(part)),
    }
}
