//! A part that is switched, opened, taken out or asked is in its circuit or layout, and of a kind that can be.

use super::File;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::{Mark, Marked};
use crate::procedure::layout::Layout;

pub(super) fn check(file: &File, report: &mut Report) {
    for marked in file.marks {
        if let Mark::LayoutPart { layout, part, opens } = &marked.mark
            && let Some(draft) = file.draft.layouts.get(layout)
        {
            of_layout(file, marked, (&draft.model, part, *opens), report);
        }
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

fn of_layout(
    file: &File,
    marked: &Marked,
    (layout, name, opens): (&Layout, &str, bool),
    report: &mut Report,
) {
    let found = match layout.part(name) {
        Some(part) if !opens || part.kind.opens() => return,
        Some(part) => format!("`{name}`, which is a `{}`", part.kind.word()),
        None => quoted(name),
    };
    let what = if opens { "a valve or a solenoid" } else { "a part" };
    let expected = format!("{what} of the layout `{}`", layout.id);
    let fault = file.found(marked.at, "unknown-part", found, &expected);
    let legal = layout.parts.iter().filter(|part| !opens || part.kind.opens());
    report.push(fault.choose(name, legal.map(|part| part.name.as_str())));
}
