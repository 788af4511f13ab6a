//! A rework opens its own step anyway; naming it among the others is a slip.
//!
//! Later steps may be named: a step that is opened again after a release undoes what was built on it.

use super::File;
use crate::diagnostic::Report;
use crate::procedure::draft::{Mark, Site};

pub(super) fn check(file: &File, report: &mut Report) {
    let slug = file
        .path
        .strip_prefix("procedures/")
        .and_then(|name| name.strip_suffix(".yaml"));
    let Some(procedure) = slug.and_then(|slug| file.draft.procedures.get(slug)) else {
        return;
    };
    for marked in file.marks {
        let (Mark::Reopens(step), Site::Step(index)) = (&marked.mark, marked.site) else {
            continue;
        };
        let own = procedure.model.steps.get(index).map(|step| &step.id);
        if step.procedure == procedure.model.id && Some(&step.step) == own {
            let found = format!("`{}`, this step itself", step.step);
            report.push(file.found(
                marked.at,
                "reopens-itself",
                found,
                "other steps that a rework here undoes",
            ));
        }
    }
}
