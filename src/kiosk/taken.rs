//! Who took the readings of a step, as its page says it: in letters beside each, and in full with the time.

use super::{Fact, ReadingRow};
use crate::page::step::ReadingView;
use crate::say;
use crate::words::Words;
use std::collections::BTreeMap;

/// The people who took readings of one step: each with the whole name, and the letters for it.
pub(super) struct Names(BTreeMap<String, (String, String)>);

impl Names {
    /// Everybody who took one of these readings; `name` tells the name of an id.
    pub fn of(readings: &[ReadingView], name: &dyn Fn(&str) -> String) -> Names {
        let ids = readings
            .iter()
            .filter_map(|reading| Some(&reading.taken.as_ref()?.by));
        let names: BTreeMap<String, String> = ids.map(|id| (id.clone(), name(id))).collect();
        let alike = |letters: &str| names.values().filter(|name| initials(name) == letters).count() > 1;
        let short = |name: &str| match initials(name) {
            // Letters that two of them share tell nobody apart.
            letters if alike(&letters) => name.to_owned(),
            letters => letters,
        };
        let both = names
            .iter()
            .map(|(id, name)| (id.clone(), (name.clone(), short(name))));
        Names(both.collect())
    }

    /// The row of a reading, with who took it.
    pub fn on(&self, row: ReadingRow, reading: &ReadingView) -> ReadingRow {
        let by = reading.taken.as_ref().and_then(|taken| self.0.get(&taken.by));
        match by {
            Some((name, letters)) => ReadingRow {
                by: name.as_str().into(),
                initials: letters.as_str().into(),
                ..row
            },
            None => row,
        }
    }

    /// A reading that stands: who took it, when, with what, and where the record holds it.
    pub fn line(&self, reading: &ReadingView, words: &Words) -> Option<Fact> {
        let taken = reading.taken.as_ref()?;
        let (name, _) = self.0.get(&taken.by)?;
        let mut parts = vec![format!("{name}, {}", taken.at)];
        parts.extend(reading.instrument_used.clone());
        parts.push(say!(words, "Entry {n} of the record", n = taken.entry));
        Some(Fact {
            label: super::said(&crate::page::together::named(&reading.label, &reading.shown)),
            value: parts.join(". ").into(),
        })
    }
}

/// The first letters of the first and the last name.
fn initials(name: &str) -> String {
    let mut parts = name.split_whitespace().filter_map(|part| part.chars().next());
    let first = parts.next();
    first
        .into_iter()
        .chain(parts.next_back())
        .flat_map(char::to_uppercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_of_a_name() {
        assert_eq!(initials("Ines Varga"), "IV");
        assert_eq!(initials("Maria del Sol"), "MS");
        assert_eq!(initials("ødegaard"), "Ø");
        assert_eq!(initials(" "), "");
    }
}
