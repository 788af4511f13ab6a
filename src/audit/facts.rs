//! The facts of a record, as its lines are read.

use super::{Finding, Meaning, meaning};
use crate::player::fact::Fact;
use crate::record;
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
    pub fn take(&mut self, opened: Opened) {
        opened.entry.body.values().for_each(|value| self.name(value));
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
        match record::fact(opened.entry) {
            Ok(fact) => self.read.push(Arc::new(fact)),
            Err(error) => {
                self.finding = Some(Finding::at_entry(Meaning::MalformedEntry, n, error.to_string()))
            }
        }
    }

    /// A text that is exactly the name of an attachment names one.
    fn name(&mut self, value: &Value) {
        match value {
            Value::String(text) if self.attachments.len() < MOST_NAMES && is_attachment(text) => {
                self.attachments.insert(text.clone());
            }
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
