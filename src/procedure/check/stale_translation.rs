//! A note: a translation belongs to a text that stands in its file. While an author changes the English, the text is
//! shown in English until somebody translates it again.

use super::translated;
use crate::diagnostic::{Report, quoted};
use crate::procedure::draft::Draft;
use std::collections::BTreeSet;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (catalogue, texts) in translated::each(draft) {
        let texts: BTreeSet<&str> = texts.iter().map(|(_, text)| text.as_str()).collect();
        let entries = catalogue.catalogue.entries().iter().filter(|entry| !entry.stale);
        for entry in entries.filter(|entry| entry.context.is_some() || !texts.contains(entry.text.as_str())) {
            let found = format!(
                "{}, which does not stand in `{}`",
                quoted(&entry.text),
                catalogue.of
            );
            let expected = "a text of this file, without a context";
            let note = translated::found(catalogue, entry, "stale-translation", found, expected);
            report.note(note.help("`witnessmark words` keeps the translation and marks it as stale"));
        }
    }
}
