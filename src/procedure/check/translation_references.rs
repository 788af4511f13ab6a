//! A translation shows the same values as its text.

use super::translated;
use crate::diagnostic::Report;
use crate::procedure::draft::Draft;
use crate::procedure::language::same_values;
use crate::words::places;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (catalogue, _) in translated::each(draft) {
        for entry in catalogue
            .catalogue
            .entries()
            .iter()
            .filter(|entry| entry.translated())
        {
            let says = entry.says.first().map_or("", String::as_str);
            let (wanted, there) = (places(&entry.text), places(says));
            let braces = says.matches(['{', '}']).count();
            if entry.many.is_none() && same_values(&entry.text, says) {
                continue;
            }
            let found = match there.as_slice() {
                _ if entry.many.is_some() => "two forms".to_owned(),
                _ if braces != 2 * there.len() => "a brace without its partner".to_owned(),
                [] => "no value".to_owned(),
                there => there.join(", "),
            };
            let expected = match wanted.as_slice() {
                [] => "one translation without values, as in the text".to_owned(),
                wanted => format!("one translation with {}, as in the text", wanted.join(", ")),
            };
            let rule = "translation-references";
            report.push(translated::found(catalogue, entry, rule, found, &expected));
        }
    }
}
