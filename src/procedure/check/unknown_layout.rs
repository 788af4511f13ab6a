//! A layout that a step shows is a file of the content, and no circuit has its name.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

const RULE: &str = "unknown-layout";

pub(super) fn check(file: &File, report: &mut Report) {
    let draft = file.draft;
    for marked in file.marks {
        let Mark::Lays(setup) = &marked.mark else { continue };
        let id = &setup.layout;
        let known = draft.layouts.contains_key(id) || draft.unreadable_layouts.contains(id);
        if !known {
            let expected = "a layout of the folder `layouts`";
            let fault = file.found(marked.at, RULE, quoted(id), expected);
            report.push(fault.choose(id, draft.layouts.keys().map(String::as_str)));
        } else if draft.circuits.contains_key(id) {
            let found = format!("{}, which a circuit is called too", quoted(id));
            let fault = file.found(marked.at, RULE, found, "a layout with a name of its own");
            report.push(fault.help("the record names a drawing by the circuit or the layout alone"));
        }
    }
}
