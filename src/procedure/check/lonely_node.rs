//! A node of a layout joins at least two ends; one alone is a slip in its name, or lacks a plug.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark};

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for layout in draft.layouts.values() {
        let model = &layout.model;
        let ends = |name: &str| {
            let joins = model.parts.iter().flat_map(|part| &part.joins);
            joins.filter(|(_, node)| node == name).count()
        };
        for marked in &layout.marks {
            let Mark::Joins(node) = &marked.mark else { continue };
            if ends(node) > 1 {
                continue;
            }
            let found = format!("{}, where no other end is", quoted(node));
            let expected = "a node that joins at least two ends";
            let place = marked.at.within(&layout.path);
            let fault = Diagnostic::new(place, "lonely-node", found, expected);
            let others = model.nodes().into_iter().filter(|other| other != node);
            report.push(fault.choose(node, others));
        }
    }
}
