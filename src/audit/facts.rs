//! The facts of a record, as its lines are read.

use super::{Finding, Meaning, meaning};
use crate::player::fact::Fact;
use crate::record::{self, Said};
use crate::seal::{Digest, Opened};
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::Arc;

/// The most bytes of entries whose meaning is checked, since all of them are in memory at once.
const MOST_ENTRY_BYTES: usize = 64 * 1024 * 1024;
/// How many digits a hash has: most texts with a full stop in them have another length.
const DIGITS: usize = 64;
/// The most files in one folder that are looked at.
pub(super) const MOST_NAMES: usize = 10_000;

/// Facts as they are read, up to the first entry that says none.
#[derive(Default)]
pub(super) struct Facts {
    pub read: Vec<Arc<Fact>>,
    bytes: usize,
    pub attachments: BTreeSet<String>,
    pub finding: Option<Finding>,
}

impl Facts {
    /// Takes one line that could be read.
    pub fn take(&mut self, opened: Opened<Said>) {
        match &opened.entry.body {
            Said::Fact(_) => self.name_in(&opened.line.entry),
            Said::Other(map) => map.values().for_each(|value| self.name(value)),
        }
        if self.finding.is_some() {
            return;
        }
        self.bytes += opened.line.entry.len();
        let n = opened.entry.n;
        if self.bytes > MOST_ENTRY_BYTES || self.read.len() > meaning::MOST_ENTRIES {
            let what = "the meaning of this and later entries was not checked: there are too many";
            self.finding = Some(Finding::at_entry(Meaning::TooLong, n, what));
            return;
        }
        match record::said(opened.entry) {
            Ok(fact) => self.read.push(Arc::new(fact)),
            Err(error) => {
                self.finding = Some(Finding::at_entry(Meaning::MalformedEntry, n, error.to_string()))
            }
        }
    }

    /// The names in the text of an entry that has no character written as `\u`: they stand between quotes as they are.
    fn name_in(&mut self, entry: &str) {
        for (stop, _) in entry.match_indices('.') {
            let Some(begin) = stop.checked_sub(DIGITS) else {
                continue;
            };
            let quoted = entry
                .get(..begin)
                .is_some_and(|before| before.ends_with('"') && !before.ends_with("\\\""));
            if quoted && let Some((name, _)) = entry[begin..].split_once('"') {
                self.keep(name);
            }
        }
    }

    fn keep(&mut self, text: &str) {
        if self.attachments.len() < MOST_NAMES && is_attachment(text) {
            self.attachments.insert(text.to_owned());
        }
    }

    /// A text that is exactly the name of an attachment names one.
    fn name(&mut self, value: &Value) {
        match value {
            Value::String(text) => self.keep(text),
            Value::Array(items) => items.iter().for_each(|item| self.name(item)),
            Value::Object(map) => map.values().for_each(|item| self.name(item)),
            _ => {}
        }
    }
}

/// Whether a text has the form `<sha256>.<ext>`.
fn is_attachment(text: &str) -> bool {
    let allowed = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit();
    text.split_once('.').is_some_and(|(stem, extension)| {
        stem.len() == DIGITS
            && stem.parse::<Digest>().is_ok()
            && (1..=8).contains(&extension.len())
            && extension.bytes().all(allowed)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Names in a text are those that the values have.
    #[test]
    fn both_ways_name_the_same() {
        let (name, other) = (
            format!("{}.jpg", "0a".repeat(32)),
            format!("{}.png", "f1".repeat(32)),
        );
        let entry = serde_json::json!({
            "photo": name,
            "list": [other, format!("{other}."), format!("0{name}"), format!(" {name}"), "x.", ".", name.to_uppercase()],
            "quoted": format!("he said \"{}\".", "11".repeat(32) + ".jpg"),
            "behind": format!("\\\"{}", "22".repeat(32) + ".jpg"),
            "cut": "33".repeat(32),
            "odd": format!("{}.jp\"g", "44".repeat(32)),
            "umlaut": format!("\u{fc}{}", "5".repeat(62) + ".\u{fc}"),
        });
        let (mut by_text, mut by_tree) = (Facts::default(), Facts::default());
        by_text.name_in(&entry.to_string());
        by_tree.name(&entry);
        assert_eq!(by_text.attachments, by_tree.attachments);
        assert_eq!(by_tree.attachments, [name, other].into());
    }
}
