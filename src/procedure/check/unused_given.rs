//! What is given is used by a part; a figure that changes nothing would only look like care.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::circuit::METER_INPUT;
use crate::procedure::draft::{Draft, Mark};

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for circuit in draft.circuits.values() {
        let used = |name: &str| {
            let marks = circuit.marks.iter();
            name == METER_INPUT
                || marks
                    .into_iter()
                    .any(|marked| matches!(&marked.mark, Mark::UsesGiven(used) if used == name))
        };
        for given in circuit.model.given.iter().filter(|given| !used(&given.name)) {
            let found = format!("{}, which no part uses", quoted(&given.name));
            let expected = format!("a figure of a part, or `{METER_INPUT}`");
            report.push(Diagnostic::new(
                given.place.clone(),
                "unused-given",
                found,
                &expected,
            ));
        }
    }
}
