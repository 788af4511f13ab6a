//! A note: a reading is judged, or something rests on it. A text or a photograph is for whoever reads the record.

use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::{Draft, Mark, Marked};
use crate::procedure::model::{Judged, ReadingKind, Reference};
use std::collections::HashSet;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let used: HashSet<(&str, &str)> = marks(draft)
        .filter_map(|marked| match &marked.mark {
            Mark::Refers(Reference::Read { procedure, name }) => Some((procedure.as_str(), name.as_str())),
            _ => None,
        })
        .collect();
    for (id, procedure) in &draft.procedures {
        for reading in procedure.model.steps.iter().flat_map(|step| &step.read) {
            let judged = matches!(reading.judged, Judged::Band(_));
            let text = matches!(reading.kind, ReadingKind::Text { .. } | ReadingKind::Photo);
            if !judged && !text && !used.contains(&(id.as_str(), reading.name.as_str())) {
                let found = format!(
                    "the reading {}, which is not judged and not used",
                    quoted(&reading.name)
                );
                let expected = "a band, or a figure, a band or a text that rests on it";
                report.note(Diagnostic::new(
                    reading.place.clone(),
                    "reading-unused",
                    found,
                    expected,
                ));
            }
        }
    }
}

fn marks(draft: &Draft) -> impl Iterator<Item = &Marked> {
    let procedures = draft.procedures.values().flat_map(|procedure| &procedure.marks);
    let jobs = draft.jobs.iter().flat_map(|job| &job.marks);
    let circuits = draft.circuits.values().flat_map(|circuit| &circuit.marks);
    let layouts = draft.layouts.values().flat_map(|layout| &layout.marks);
    procedures.chain(jobs).chain(circuits).chain(layouts)
}
