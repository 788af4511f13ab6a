//! Every procedure is played by a job; without one its references cannot be checked.

use crate::content::Spot;
use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark};
use std::collections::HashSet;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let played: HashSet<&str> = draft
        .jobs
        .iter()
        .flat_map(|job| &job.order)
        .map(|(id, _)| id.as_str())
        .collect();
    for (id, procedure) in &draft.procedures {
        if draft.unreadable_job || draft.jobs.is_empty() || played.contains(id.as_str()) {
            continue;
        }
        let slug = procedure
            .marks
            .iter()
            .find(|marked| matches!(marked.mark, Mark::Slug(_)));
        let at = slug.map_or(Spot { line: 1, column: 1 }, |marked| marked.at);
        let found = format!("{}, which no job plays", quoted(id));
        let fault = Diagnostic::new(
            at.within(&procedure.path),
            "unused-procedure",
            found,
            "a procedure of a job",
        );
        report.push(
            fault.help("name it under `procedures` of a job; until then its references are not checked"),
        );
    }
}
