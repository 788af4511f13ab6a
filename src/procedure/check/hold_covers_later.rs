//! A supervisor looks at what was done: a point covers its own step and earlier ones only.

use super::scope::{Scope, When};
use crate::diagnostic::Report;
use crate::procedure::draft::Mark;

pub(super) fn check(scope: &Scope, report: &mut Report) {
    for met in scope.marks() {
        let Mark::Covers(step) = &met.marked.mark else {
            continue;
        };
        let Some((place, index)) = scope.step(step) else {
            continue;
        };
        if When::Work(place, index + 1) > met.at {
            let expected = "this step or one that comes before it, in the order of the job";
            report.push(met.found("hold-covers-later", format!("`{step}`"), expected));
        }
    }
}
