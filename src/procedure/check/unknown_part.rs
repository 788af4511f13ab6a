//! A part that is switched, taken out or asked is in its circuit, and of a kind that can be.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Mark;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        let Mark::CircuitPart {
            circuit, part, only, ..
        } = &marked.mark
        else {
            continue;
        };
        let Some(draft) = file.draft.circuits.get(circuit) else {
            continue;
        };
        let parts = &draft.model.parts;
        let fits = |kind| only.is_none_or(|only| only == kind);
        let found = match draft.model.part(part) {
            Some(part) if fits(part.kind) => continue,
            Some(part) => format!("`{}`, which is {}", part.name, part.kind.in_words()),
            None => quoted(part),
        };
        let what = only.map_or("a part", |only| only.in_words());
        let expected = format!("{what} of the circuit `{circuit}`");
        let fault = file.found(marked.at, "unknown-part", found, &expected);
        let legal = parts.iter().filter(|part| fits(part.kind));
        report.push(fault.choose(part, legal.map(|part| part.name.as_str())));
    }
}
