//! A note: where a procedure is drawn, each step that is done with hands has its drawing.

use super::verbs;
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::draft::Draft;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for procedure in draft.procedures.values() {
        let steps = &procedure.model.steps;
        if steps.iter().all(|step| step.picture.is_none()) {
            continue;
        }
        for step in steps.iter().filter(|step| step.picture.is_none()) {
            let verb = verbs::first(&step.command.to_string());
            if verbs::acts(&verb) {
                let found = "a step done with hands that has no drawing";
                let expected = "a `picture`, as other steps of this procedure have";
                report.note(Diagnostic::new(
                    step.place.clone(),
                    "step-undrawn",
                    found,
                    expected,
                ));
            }
        }
    }
}
