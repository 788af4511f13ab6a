//! The program's own catalogues, which are part of it.

use super::{Catalogue, Language};
use std::sync::{Arc, OnceLock};

struct Embedded {
    tag: &'static str,
    /// The language's name in the language itself.
    name: &'static str,
    bytes: &'static [u8],
    read: OnceLock<Option<Arc<Catalogue>>>,
}

static EMBEDDED: [Embedded; 1] = [Embedded {
    tag: "de",
    name: "Deutsch",
    bytes: include_bytes!("../../ui/lang/de/LC_MESSAGES/witnessmark.po"),
    read: OnceLock::new(),
}];

/// The languages of the program with their own names, English first.
#[must_use]
pub fn languages() -> Vec<(Language, &'static str)> {
    let others = EMBEDDED.iter().filter_map(|one| {
        let language = Language::parse(one.tag).ok()?;
        Some((language, one.name))
    });
    [(Language::english(), "English")]
        .into_iter()
        .chain(others)
        .collect()
}

/// The catalogue of a language, read once. A test reads each, so that none is left out for a fault.
pub(super) fn catalogue(language: &Language) -> Option<Arc<Catalogue>> {
    let embedded = EMBEDDED.iter().find(|one| one.tag == language.tag())?;
    let read = || Catalogue::parse(embedded.bytes).ok().map(Arc::new);
    embedded.read.get_or_init(read).clone()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_catalogue_of_the_program_can_be_read_and_names_its_language() {
        for embedded in &EMBEDDED {
            let catalogue = Catalogue::parse(embedded.bytes).unwrap_or_else(|faults| {
                let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
                panic!("{}:\n{}", embedded.tag, faults.join("\n"))
            });
            assert_eq!(catalogue.header("Language"), Some(embedded.tag));
        }
    }
}
