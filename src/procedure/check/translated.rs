//! What the rules about catalogues share: each catalogue with the texts of its file.

use crate::content::Spot;
use crate::diagnostic::Diagnostic;
use crate::procedure::draft::{CatalogueDraft, Draft};
use crate::words::Entry;

/// Each catalogue whose file could be read, with what people see of that file.
pub(super) fn each(draft: &Draft) -> impl Iterator<Item = (&CatalogueDraft, &[(Spot, String)])> {
    draft.catalogues.iter().filter_map(|catalogue| {
        let texts = draft.seen.as_ref()?.get(&catalogue.of)?;
        Some((catalogue, texts.as_slice()))
    })
}

/// A fault at an entry of a catalogue.
pub(super) fn found(
    catalogue: &CatalogueDraft,
    entry: &Entry,
    rule: &'static str,
    found: String,
    expected: &str,
) -> Diagnostic {
    let spot = Spot {
        line: entry.line,
        column: 1,
    };
    Diagnostic::new(spot.within(&catalogue.path), rule, found, expected)
}

/// Whether the file is there but could not be read, so that nothing is said about its words.
pub(super) fn is_unread(draft: &Draft, path: &str) -> bool {
    let slug = |folder: &str| path.strip_prefix(folder)?.strip_suffix(".yaml");
    slug("procedures/").is_some_and(|slug| draft.unreadable.contains(slug))
        || slug("circuits/").is_some_and(|slug| draft.unreadable_circuits.contains(slug))
        || slug("layouts/").is_some_and(|slug| draft.unreadable_layouts.contains(slug))
        || (slug("jobs/").is_some() && draft.unreadable_job)
        || draft.unread_shared.contains(path)
}
