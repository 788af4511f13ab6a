//! A reference, or a field in a condition, is there somewhere in the job.

use super::scope::{Met, Scope};
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::draft::Mark;
use crate::procedure::model::Reference;

const RULE: &str = "unknown-reference";

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
        let fault = match &met.marked.mark {
            Mark::Refers(reference) => unknown(scope, &met, reference),
            Mark::Answers { group, field, .. } => card(scope, &met, group, field),
            _ => None,
        };
        if let Some(fault) = fault {
            report.push(fault);
        }
    }
}

fn unknown(scope: &Scope, met: &Met, reference: &Reference) -> Option<Diagnostic> {
    match reference {
        Reference::Card { group, field } => card(scope, met, group, field),
        Reference::Figure { name, output } => match scope.figure(name) {
            Some(_) => no_output(scope, met, reference, output),
            None => {
                let figures = scope.job.model.figures.iter().map(|figure| figure.name.as_str());
                Some(
                    met.found(RULE, format!("`{reference}`"), "a figure of the job")
                        .choose(name, figures),
                )
            }
        },
        Reference::Read { procedure, name } => made(scope, met, reference, (procedure.as_str(), name)),
        Reference::Work {
            procedure,
            name,
            output,
        } => made(scope, met, reference, (procedure.as_str(), name))
            .or_else(|| no_output(scope, met, reference, output)),
    }
}

fn card(scope: &Scope, met: &Met, group: &str, field: &str) -> Option<Diagnostic> {
    if scope.field(group, field).is_some() {
        return None;
    }
    let found = format!("`card.{group}.{field}`");
    let groups = &scope.job.model.card;
    Some(match groups.iter().find(|known| known.id == group) {
        Some(known) => {
            let fields = known.ask.iter().map(|field| field.id.as_str());
            let expected = format!("a field of the group `{group}`");
            met.found(RULE, found, &expected).choose(field, fields)
        }
        None => {
            let groups = groups.iter().map(|group| group.id.as_str());
            met.found(RULE, found, "a group of the card")
                .choose(group, groups)
        }
    })
}

fn made(
    scope: &Scope,
    met: &Met,
    reference: &Reference,
    (procedure, name): (&str, &str),
) -> Option<Diagnostic> {
    if scope.made_at(reference).is_some() || scope.is_unreadable(procedure) {
        return None;
    }
    let found = format!("`{reference}`");
    let played = scope.played.iter().map(|played| played.draft.model.id.as_str());
    if !played.clone().any(|id| id == procedure) {
        return Some(
            met.found(RULE, found, "a procedure of this job")
                .choose(procedure, played),
        );
    }
    let reading = matches!(reference, Reference::Read { .. });
    let what = if reading { "a reading" } else { "a work-out" };
    let expected = format!("{what} of `{procedure}`");
    Some(
        met.found(RULE, found, &expected)
            .choose(name, scope.names_in(procedure, reading)),
    )
}

fn no_output(scope: &Scope, met: &Met, reference: &Reference, output: &str) -> Option<Diagnostic> {
    let method = scope.method(reference)?;
    let outputs = method.outputs()?;
    if outputs.iter().any(|known| known == output) {
        return None;
    }
    let expected = format!("an output of `{}`", method.name());
    Some(
        met.found(RULE, format!("`{reference}`"), &expected)
            .choose(output, outputs),
    )
}
