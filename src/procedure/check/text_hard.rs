//! A note: what a step says needs no more than eight years of school.

use super::prose;
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::draft::Draft;

const HARDEST: f64 = 8.0;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for procedure in draft.procedures.values() {
        for step in &procedure.model.steps {
            let says = [&step.command, &step.why, &step.right, &step.wrong];
            let whole: Vec<String> = says.iter().map(ToString::to_string).collect();
            let grade = prose::grade(&whole.join(" "));
            if grade > HARDEST {
                let found = format!("a step that reads at grade {grade:.1}");
                let expected = format!("at most grade {HARDEST:.0}");
                let note = Diagnostic::new(step.place.clone(), "text-hard", found, &expected);
                report.note(
                    note.help("shorter sentences and plainer words; the grade is Flesch and Kincaid's"),
                );
            }
        }
    }
}
