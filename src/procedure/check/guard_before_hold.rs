//! A guarded act comes after its hold point, and the hold point applies wherever the act does.

use super::scope::{Met, Scope, When};
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;
use crate::procedure::model::{Condition, Guard};
use std::collections::HashMap;

pub(super) fn check(scope: &Scope, report: &mut Report) {
    let mut guards: HashMap<&str, Vec<&Guard>> = HashMap::new();
    for guard in &scope.job.model.guards {
        guards.entry(&guard.act).or_default().push(guard);
    }
    for met in scope.marks() {
        let Mark::Act(act) = &met.marked.mark else {
            continue;
        };
        for guard in guards.get(act.as_str()).into_iter().flatten() {
            guarded(scope, &met, guard, report);
        }
    }
}

fn guarded(scope: &Scope, met: &Met, guard: &Guard, report: &mut Report) {
    let Some((place, index)) = scope.step(&guard.after) else {
        return;
    };
    let found = format!("`{}` in this step", guard.act);
    if When::Work(place, index + 1) >= met.at {
        let expected = format!(
            "a step after the hold point `{}`, in the order of the job",
            guard.after
        );
        report.push(
            met.found("guard-before-hold", found, &expected)
                .help(guard.because.clone()),
        );
        return;
    }
    let conditions: [&Condition; 2] = [scope.played[place].when, &scope.step_at((place, index)).when];
    if !conditions.iter().all(|condition| scope.implies(met, condition)) {
        let expected = format!(
            "a hold point `{}` that applies wherever this step does",
            guard.after
        );
        report.push(
            met.found("guard-may-not-apply", found, &expected)
                .help(guard.because.clone()),
        );
    }
}
