//! A step restores a state that an earlier step of the job left.

use super::scope::Scope;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use std::collections::BTreeSet;

pub(super) fn check(scope: &Scope, report: &mut Report) {
    if !scope.is_complete() {
        return;
    }
    let mut left: BTreeSet<&str> = BTreeSet::new();
    // The marks come in the order of work.
    for met in scope.marks() {
        match &met.marked.mark {
            Mark::Temporary(name) => {
                left.insert(name);
            }
            Mark::Restores(name) if !left.contains(name.as_str()) => {
                let expected = "a state that an earlier step of the job left as `temporary`";
                let fault = met.found("restores-nothing", quoted(name), expected);
                report.push(fault.choose(name, left.iter().copied()));
            }
            _ => {}
        }
    }
}
