//! A guard names a step that has a hold point.

use super::scope::Scope;
use super::unknown_step::unknown;
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;

const RULE: &str = "guard-unknown-hold";

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
        let Mark::GuardAfter(step) = &met.marked.mark else {
            continue;
        };
        if let Some(fault) = unknown(scope, &met, step, RULE) {
            report.push(fault);
        }
        let Some(at) = scope.step(step) else { continue };
        if scope.step_at(at).hold.is_none() {
            let holds = scope.played.iter().flat_map(|played| {
                let with_hold = played.steps().iter().filter(|step| step.hold.is_some());
                with_hold.map(|step| format!("{}.{}", played.draft.model.id, step.id))
            });
            let fault = met.found(
                RULE,
                format!("`{step}`, which has no hold"),
                "a step with a hold point",
            );
            report.push(fault.choose(&step.to_string(), holds));
        }
    }
}
