//! A guard holds back an act that some step of the job does; a slip in its spelling would guard nothing.

use super::scope::Scope;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use std::collections::BTreeSet;

pub(super) fn check(scope: &Scope, report: &mut Report) {
    if !scope.is_complete() {
        return;
    }
    let acts: BTreeSet<&str> = scope
        .marks()
        .filter_map(|met| match &met.marked.mark {
            Mark::Act(act) => Some(act.as_str()),
            _ => None,
        })
        .collect();
    for met in scope.marks() {
        let Mark::GuardedAct(act) = &met.marked.mark else {
            continue;
        };
        if !acts.contains(act.as_str()) {
            let fault = met.found("unknown-act", quoted(act), "an act of a step of this job");
            report.push(fault.choose(act, acts.iter().copied()));
        }
    }
}
