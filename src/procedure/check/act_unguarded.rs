//! Petrol, the battery and the bottle wait for a released hold point: the job guards these acts.

use super::scope::Scope;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

/// The acts that every job must guard, and why.
const GUARDED: [(&str, &str); 3] = [
    ("admits-petrol", "petrol finds the joint that nobody looked at"),
    (
        "connects-battery",
        "a battery burns the wire that nobody looked at",
    ),
    (
        "opens-bottle",
        "a bottle is opened only behind a released hold point",
    ),
];

pub(super) fn check(scope: &Scope, report: &mut Report) {
    let guards = &scope.job.model.guards;
    for met in scope.marks() {
        let Mark::Act(act) = &met.marked.mark else {
            continue;
        };
        let Some((_, why)) = GUARDED.iter().find(|(known, _)| known == act) else {
            continue;
        };
        if !guards.iter().any(|guard| guard.act == *act) {
            let found = format!(
                "{} that no guard of the job `{}` holds back",
                quoted(act),
                scope.job.model.id
            );
            let expected = "a guard with a hold point before this step";
            let help = format!(
                "{why}: write `- {{ act: {act}, after: procedure.step, because: … }}` under `guards`"
            );
            report.push(met.found("act-unguarded", found, expected).help(help));
        }
    }
}
