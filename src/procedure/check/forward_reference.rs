//! A value is used only once it is known: readings and work-outs from their step on, figures from the
//! card on and in their own order, card fields in a condition of a field that is asked later.

use super::scope::{Met, Scope, When};
use crate::diagnostic::Report;
use crate::procedure::draft::{Mark, Site};
use crate::procedure::model::Reference;
use std::collections::HashMap;

pub(super) fn check(scope: &Scope, report: &mut Report) {
    let asked = scope
        .job
        .model
        .card
        .iter()
        .flat_map(|group| &group.ask)
        .enumerate();
    let asked: HashMap<_, _> = asked
        .map(|(index, field)| ((field.group.as_str(), field.id.as_str()), index))
        .collect();
    for met in scope.marks() {
        let late = match &met.marked.mark {
            Mark::Refers(reference) => late(scope, &met, reference),
            Mark::Answers { group, field, .. } => {
                let at = asked.get(&(group.as_str(), field.as_str()));
                let later = matches!((met.site, at), (Site::Field(here), Some(at)) if *at >= here);
                later.then(|| {
                    (
                        format!("`card.{group}.{field}`"),
                        "a field that is asked before this one".to_owned(),
                    )
                })
            }
            _ => None,
        };
        if let Some((found, expected)) = late {
            report.push(met.found("forward-reference", found, &expected));
        }
    }
}

/// What is not known yet, and what would be.
fn late(scope: &Scope, met: &Met, reference: &Reference) -> Option<(String, String)> {
    let known = match reference {
        Reference::Card { .. } => true,
        Reference::Figure { name, .. } => match (met.site, scope.figure(name)) {
            (Site::Figure(here), Some(at)) => at < here,
            _ => true,
        },
        _ => scope.made_at(reference)? <= met.at,
    };
    let expected = match (met.at, reference) {
        (_, Reference::Figure { .. }) => "a figure that stands above this one".to_owned(),
        (When::Card, _) => "values of the card and of figures, since no step was done yet".to_owned(),
        _ => "a value that is made in this step or before it, in the order of the job".to_owned(),
    };
    (!known).then(|| (format!("`{reference}`"), expected))
}
