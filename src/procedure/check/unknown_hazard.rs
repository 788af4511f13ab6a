//! A hazard stands in `hazards.yaml`.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::model::HazardId;

pub(super) fn check(file: &File, report: &mut Report) {
    let known = &file.draft.shared.hazards;
    for marked in file.marks {
        let Mark::Hazard(id) = &marked.mark else { continue };
        let unsaid = file.draft.is_unread("hazards.yaml", id);
        if !unsaid && !known.contains_key(&HazardId(id.clone())) {
            let fault = file.found(
                marked.at,
                "unknown-hazard",
                quoted(id),
                "a hazard of `hazards.yaml`",
            );
            report.push(fault.choose(id, known.keys().map(HazardId::as_str)));
        }
    }
}
