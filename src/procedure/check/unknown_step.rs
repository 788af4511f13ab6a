//! A step that is covered or reopened is there.

use super::scope::{Met, Scope};
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::draft::Mark;
use crate::procedure::model::StepRef;

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
        let (Mark::Covers(step) | Mark::Reopens(step)) = &met.marked.mark else {
            continue;
        };
        if let Some(fault) = unknown(scope, &met, step, "unknown-step") {
            report.push(fault);
        }
    }
}

/// The fault of naming a step that no procedure of the job has.
pub(super) fn unknown(scope: &Scope, met: &Met, step: &StepRef, rule: &'static str) -> Option<Diagnostic> {
    if scope.step(step).is_some() || scope.is_unreadable(step.procedure.as_str()) {
        return None;
    }
    let found = format!("the step `{step}`");
    Some(
        match scope
            .played
            .iter()
            .find(|played| played.draft.model.id == step.procedure)
        {
            Some(played) => {
                let expected = format!("a step of `{}`", step.procedure);
                let steps = played.steps().iter().map(|step| step.id.as_str());
                met.found(rule, found, &expected)
                    .choose(step.step.as_str(), steps)
            }
            None => {
                let played = scope.played.iter().map(|played| played.draft.model.id.as_str());
                met.found(rule, found, "a step of a procedure of this job")
                    .choose(step.procedure.as_str(), played)
            }
        },
    )
}
