//! A job plays procedures that are there.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::Plays(id) = &marked.mark else { continue };
        let there =
            file.draft.procedures.contains_key(id.as_str()) || file.draft.unreadable.contains(id.as_str());
        if !there {
            let fault = file.found(
                marked.at,
                "procedure-missing",
                quoted(id.as_str()),
                "a file under `procedures/`",
            );
            report.push(fault.choose(id.as_str(), file.draft.procedures.keys().cloned()));
        }
    }
}
