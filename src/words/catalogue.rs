//! The translations of one language.

use super::language::Language;
use super::{Fault, read};
use std::collections::BTreeMap;

/// One text and its translation.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Entry {
    /// The line of its `msgid`, counted from 1; 0 for an entry that was not read from a file.
    pub line: u32,
    /// What tells the same English words apart, where they need to be.
    pub context: Option<String>,
    /// The English text.
    pub text: String,
    /// The English text for several, where there are two forms.
    pub many: Option<String>,
    /// The translation, one for each form; empty where there is none yet.
    pub says: Vec<String>,
    /// Somebody must look at the translation before it counts.
    pub fuzzy: bool,
    /// Its English text is not used any more; kept so that no work of a translator is lost.
    pub stale: bool,
    /// The lines of comments before it, as they were written, without its flag for a fuzzy entry.
    pub comments: Vec<String>,
}

impl Entry {
    /// An English text without a translation.
    #[must_use]
    pub fn untranslated(text: &str) -> Self {
        Self {
            text: text.to_owned(),
            says: vec![String::new()],
            ..Self::default()
        }
    }

    /// Whether the translation counts.
    #[must_use]
    pub fn translated(&self) -> bool {
        !self.fuzzy && !self.stale && self.says.iter().all(|says| !says.trim().is_empty())
    }
}

/// The translations of one language, as a PO file holds them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Catalogue {
    pub(super) header: Vec<(String, String)>,
    /// The lines of comments before the header and at the end of the file.
    pub(super) remarks: Vec<String>,
    pub(super) end_remarks: Vec<String>,
    pub(super) entries: Vec<Entry>,
    /// Contexts and English texts to the place of their entry.
    by_text: BTreeMap<String, BTreeMap<Option<String>, usize>>,
}

impl Catalogue {
    /// Reads a PO file of at most [`super::LARGEST_CATALOGUE`] bytes and [`super::MOST_ENTRIES`] entries. Its
    /// first entry is the header (`msgid ""`), which names the `Language` and the charset UTF-8.
    ///
    /// # Errors
    /// Every fault with its line, in order; at most a hundred.
    pub fn parse(bytes: &[u8]) -> Result<Self, Vec<Fault>> {
        read::catalogue(bytes)
    }

    /// A catalogue with nothing but its header.
    #[must_use]
    pub fn empty(language: &Language) -> Self {
        let header = [
            ("Language", language.tag()),
            ("MIME-Version", "1.0"),
            ("Content-Type", "text/plain; charset=UTF-8"),
            ("Content-Transfer-Encoding", "8bit"),
        ];
        Self {
            header: header
                .map(|(key, value)| (key.to_owned(), value.to_owned()))
                .into(),
            ..Self::default()
        }
    }

    /// What the header says of a key.
    #[must_use]
    pub fn header(&self, key: &str) -> Option<&str> {
        let found = self.header.iter().find(|(named, _)| named == key);
        found.map(|(_, value)| value.as_str())
    }

    /// The header's `Language`.
    #[must_use]
    pub fn language(&self) -> Option<Language> {
        Language::parse(self.header("Language")?).ok()
    }

    /// Every entry but the header, in the order of the file.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The translation of a text without a context, if it has one that counts.
    #[must_use]
    pub fn get(&self, text: &str) -> Option<&str> {
        self.get_in(None, text)
    }

    /// The translation of a text in a context, if it has one that counts.
    #[must_use]
    pub fn get_in(&self, context: Option<&str>, text: &str) -> Option<&str> {
        let entry = self.entry(context, text)?;
        entry.translated().then(|| entry.says[0].as_str())
    }

    /// One form of a text that has two, if it has translations that count.
    #[must_use]
    pub fn form(&self, one: &str, many: &str, form: usize) -> Option<&str> {
        let entry = self.entry(None, one)?;
        let known = entry.translated() && entry.many.as_deref() == Some(many);
        entry.says.get(form).filter(|_| known).map(String::as_str)
    }

    /// The entry of a text that is in use, translated or not.
    #[must_use]
    pub fn entry(&self, context: Option<&str>, text: &str) -> Option<&Entry> {
        let contexts = self.by_text.get(text)?;
        let at = match context {
            None => contexts.get(&None),
            Some(context) => contexts.get(&Some(context.to_owned())),
        };
        at.map(|at| &self.entries[*at])
    }

    /// Adds an entry; one that is in use with the same text and context stays, and is handed back.
    ///
    /// # Errors
    /// The line of the entry that was there before.
    pub(super) fn add(&mut self, entry: Entry) -> Result<(), u32> {
        if !entry.stale {
            let contexts = self.by_text.entry(entry.text.clone()).or_default();
            if let Some(before) = contexts.get(&entry.context) {
                return Err(self.entries[*before].line);
            }
            contexts.insert(entry.context.clone(), self.entries.len());
        }
        self.entries.push(entry);
        Ok(())
    }

    /// The same catalogue for the texts that are in use now, in their order: translations stay with their
    /// texts, new texts come without one, and what is not used any more stays behind them, marked as stale.
    #[must_use]
    pub fn renewed<'a>(&self, texts: impl IntoIterator<Item = &'a str>) -> Self {
        let mut renewed = Self {
            header: self.header.clone(),
            remarks: self.remarks.clone(),
            end_remarks: self.end_remarks.clone(),
            ..Self::default()
        };
        let stale = |text: &str| {
            let mut kept = self.entries.iter().filter(|entry| entry.stale);
            kept.find(|entry| entry.text == text && entry.context.is_none())
        };
        for text in texts {
            let known = self.entry(None, text).or_else(|| stale(text));
            let entry = known.map_or_else(
                || Entry::untranslated(text),
                |known| Entry {
                    stale: false,
                    ..known.clone()
                },
            );
            // A text that stands in several places needs one translation.
            let _ = renewed.add(entry);
        }
        for old in &self.entries {
            let in_use = renewed.entry(old.context.as_deref(), &old.text).is_some();
            let has_work = old.says.iter().any(|says| !says.is_empty());
            if !in_use && has_work {
                let _ = renewed.add(Entry {
                    stale: true,
                    ..old.clone()
                });
            }
        }
        renewed
    }
}
