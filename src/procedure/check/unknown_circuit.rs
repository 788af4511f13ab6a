//! A circuit that is asked is a file of the content.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    let draft = file.draft;
    for marked in file.marks {
        let id = match &marked.mark {
            Mark::Calls(call) => &call.circuit,
            Mark::Draws(shown) => &shown.circuit,
            _ => continue,
        };
        let known = draft.circuits.contains_key(id) || draft.unreadable_circuits.contains(id);
        if !known && !id.is_empty() {
            let expected = "a circuit of the folder `circuits`";
            let fault = file.found(marked.at, "unknown-circuit", quoted(id), expected);
            report.push(fault.choose(id, draft.circuits.keys().map(String::as_str)));
        }
    }
}
