//! A catalogue that says it is complete (`X-Complete: yes`) has a translation of every text.

use super::translated;
use crate::content::Spot;
use crate::diagnostic::{Diagnostic, Report, quoted};
use crate::procedure::draft::Draft;
use std::collections::BTreeSet;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (catalogue, texts) in translated::each(draft) {
        let words = &catalogue.catalogue;
        if words.header("X-Complete") != Some("yes") {
            continue;
        }
        let mut told = BTreeSet::new();
        for (spot, text) in texts {
            if words.get(text).is_some() || !told.insert(text) {
                continue;
            }
            let found = format!("{} without a translation in `{}`", quoted(text), catalogue.path);
            let expected = format!(
                "one in the language `{}`, since its catalogue says `X-Complete: yes`",
                catalogue.language
            );
            report.push(at(*spot, catalogue.of.as_str(), found, expected));
        }
    }
}

fn at(spot: Spot, path: &str, found: String, expected: String) -> Diagnostic {
    let fault = Diagnostic::new(spot.within(path), "untranslated", found, expected);
    fault.help("`witnessmark words` puts new texts into the catalogues")
}
