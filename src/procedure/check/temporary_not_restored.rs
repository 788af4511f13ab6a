//! Every temporary state is restored later in the job, whenever it was left.

use super::scope::{Scope, When};
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::model::Condition;
use std::collections::HashMap;

pub(super) fn check(scope: &Scope, report: &mut Report) {
    if !scope.is_complete() {
        return;
    }
    let mut restoring: HashMap<&str, Vec<(When, Condition)>> = HashMap::new();
    for met in scope.marks() {
        if let (Mark::Restores(name), When::Work(place, step)) = (&met.marked.mark, met.at) {
            let step = scope.step_at((place, step.saturating_sub(1)));
            let when = scope.played[place].when.and(&step.when);
            restoring.entry(name).or_default().push((met.at, when));
        }
    }
    for met in scope.marks() {
        let Mark::Temporary(name) = &met.marked.mark else {
            continue;
        };
        let later: Vec<Condition> = restoring
            .get(name.as_str())
            .into_iter()
            .flatten()
            .filter(|(at, _)| *at > met.at)
            .map(|(_, when)| when.clone())
            .collect();
        let found = format!("the temporary state {}", quoted(name));
        if later.is_empty() {
            let expected = "a later step of the job that restores it";
            let fault = met.found("temporary-not-restored", found, expected);
            report.push(fault.help(format!("write `restores: {name}` at the step that restores it")));
        } else if !scope.implies(&met, &Condition::Any(later)) {
            let expected = "a later step that restores it and applies whenever this one does";
            report.push(met.found("temporary-not-restored", found, expected));
        }
    }
}
