//! Every circuit is asked by a step or a figure; without that its references cannot be checked.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark};
use std::collections::HashSet;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    if draft.unreadable_job || !draft.unreadable.is_empty() {
        return;
    }
    let procedures = draft.procedures.values().flat_map(|procedure| &procedure.marks);
    let marks = procedures.chain(draft.jobs.iter().flat_map(|job| &job.marks));
    let asked: HashSet<&str> = marks
        .filter_map(|marked| match &marked.mark {
            Mark::Calls(call) => Some(call.circuit.as_str()),
            _ => None,
        })
        .collect();
    // A slip in the name of a circuit is told where it stands.
    if asked.iter().any(|id| !draft.circuits.contains_key(*id)) {
        return;
    }
    for (id, circuit) in &draft.circuits {
        if !asked.contains(id.as_str()) {
            let found = format!("{}, which nothing asks", quoted(id));
            let expected = "a circuit of a work-out or of a figure";
            let place = circuit.model.place.clone();
            let fault = Diagnostic::new(place, "unused-circuit", found, expected);
            report.push(fault.help("until then its references are not checked"));
        }
    }
}
