//! A value that is there under a condition is used only where that condition holds too.

use super::scope::Scope;
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;
use crate::procedure::model::{Condition, Reference};

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
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
            let fault = met.found("reference-may-not-apply", found, expected);
            report.push(fault.help("give this part the same `when`, or use another value"));
        }
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
