//! Every layout is drawn by a step; without that its references cannot be checked.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark};
use std::collections::HashSet;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    if draft.unreadable_job || !draft.unreadable.is_empty() {
        return;
    }
    let marks = draft.procedures.values().flat_map(|procedure| &procedure.marks);
    let shown: HashSet<&str> = marks
        .filter_map(|marked| match &marked.mark {
            Mark::Lays(setup) => Some(setup.layout.as_str()),
            _ => None,
        })
        .collect();
    // A slip in the name of a layout is told where it stands.
    if shown.iter().any(|id| !draft.layouts.contains_key(*id)) {
        return;
    }
    for (id, layout) in &draft.layouts {
        if !shown.contains(id.as_str()) {
            let found = format!("{}, which nothing shows", quoted(id));
            let expected = "a layout of a step's picture";
            let fault = Diagnostic::new(layout.model.place.clone(), "unused-layout", found, expected);
            report.push(fault.help("until then its references are not checked"));
        }
    }
}
