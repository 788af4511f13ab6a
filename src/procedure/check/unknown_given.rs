//! A part's figure that is a name is a given of its circuit.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    let circuits = &file.draft.circuits;
    let Some(draft) = circuits.values().find(|draft| draft.path == file.path) else {
        return;
    };
    for marked in file.marks {
        let Mark::UsesGiven(name) = &marked.mark else {
            continue;
        };
        if draft.model.given(name).is_none() {
            let expected = "a quantity with its unit, or a given of this circuit";
            let fault = file.found(marked.at, "unknown-given", quoted(name), expected);
            let names = draft.model.given.iter().map(|given| given.name.as_str());
            report.push(fault.choose(name, names));
        }
    }
}
