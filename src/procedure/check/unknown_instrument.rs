//! An instrument stands in `instruments.yaml`, and measures what the reading is (`instrument-dimension`).

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;
use crate::procedure::model::InstrumentKind;
use crate::procedure::operand::is_step_of;

pub(super) fn check(file: &File, report: &mut Report) {
    let known = &file.draft.shared.instruments;
    for marked in file.marks {
        let Mark::Instrument { kind, measured } = &marked.mark else {
            continue;
        };
        let unsaid = file.draft.is_unread("instruments.yaml", kind);
        match (known.get(&InstrumentKind(kind.clone())), measured) {
            (None, _) if unsaid => {}
            (None, _) => {
                let expected = "an instrument of `instruments.yaml`";
                let fault = file.found(marked.at, "unknown-instrument", quoted(kind), expected);
                report.push(fault.choose(kind, known.keys().map(InstrumentKind::as_str)));
            }
            (Some(sort), Some(measured))
                if sort.measures != *measured && !is_step_of(*measured, sort.measures) =>
            {
                let found = format!("{}, which measures {}", quoted(kind), sort.measures.name());
                let expected = format!("an instrument for {}", measured.name());
                let fitting = known.iter().filter(|(_, sort)| sort.measures == *measured);
                let fault = file.found(marked.at, "instrument-dimension", found, &expected);
                report.push(fault.choose("", fitting.map(|(kind, _)| kind.as_str())));
            }
            _ => {}
        }
    }
}
