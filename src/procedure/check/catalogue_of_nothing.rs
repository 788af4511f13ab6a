//! A catalogue has the words of a file that is there.

use super::translated;
use crate::content::Spot;
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::draft::Draft;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let Some(seen) = &draft.seen else { return };
    for catalogue in draft.catalogues.iter().filter(|one| !seen.contains_key(&one.of)) {
        if translated::is_unread(draft, &catalogue.of) {
            continue;
        }
        let found = format!("a catalogue of `{}`, which is not there", catalogue.of);
        let place = Spot::default().within(&catalogue.path);
        let fault = Diagnostic::new(
            place,
            "catalogue-of-nothing",
            found,
            "the words of a file of the content",
        );
        report.push(fault.choose(&catalogue.of, seen.keys().cloned()));
    }
}
