//! The words that people read, in their language.
//!
//! English is the language in which the program and its content are written; every other language is a
//! [`Catalogue`] (a gettext PO file) from the English to its translation. What a catalogue does not know is
//! said in English, and English itself needs no catalogue and costs nothing.
//!
//! ```
//! use witnessmark::say;
//! use witnessmark::words::Words;
//!
//! let words = Words::english();
//! assert_eq!(words.say("Done"), "Done");
//! assert_eq!(say!(words, "The job {number} is open.", number = "2026-0001"), "The job 2026-0001 is open.");
//! ```

mod catalogue;
mod fault;
mod language;
mod print;
mod program;
mod read;
mod sentence;
#[cfg(test)]
mod tests;

pub use catalogue::{Catalogue, Entry};
pub use fault::Fault;
pub use language::{Language, LanguageError};
pub use program::languages;
pub use sentence::{fill, places};
use std::sync::Arc;

/// The largest catalogue, in bytes.
pub const LARGEST_CATALOGUE: usize = 2 * 1024 * 1024;
/// The most entries of one catalogue.
pub const MOST_ENTRIES: usize = 20_000;

/// A language and its words. Cheap to clone.
#[derive(Clone, Debug, Default)]
pub struct Words {
    language: Language,
    catalogue: Option<Arc<Catalogue>>,
}

impl Words {
    /// The language in which everything is written: every word stands for itself.
    #[must_use]
    pub fn english() -> Self {
        Self::default()
    }

    /// The program's own words in a language; in one that the program does not know, the English words.
    ///
    /// The catalogue is part of the program, and is read once, when it is first asked for.
    #[must_use]
    pub fn program(language: &Language) -> Self {
        Self {
            language: language.clone(),
            catalogue: program::catalogue(language),
        }
    }

    /// A language with a catalogue of one's own.
    #[must_use]
    pub fn of(language: Language, catalogue: Arc<Catalogue>) -> Self {
        Self {
            language,
            catalogue: Some(catalogue),
        }
    }

    /// The language that was asked for.
    #[must_use]
    pub fn language(&self) -> &Language {
        &self.language
    }

    /// The translation, or the English text itself where there is none.
    #[must_use]
    pub fn say<'a>(&'a self, text: &'a str) -> &'a str {
        let known = self.catalogue.as_ref().and_then(|catalogue| catalogue.get(text));
        known.unwrap_or(text)
    }

    /// The translation of a text that stands in a context: `@tr("context" => "text")` on the screen.
    #[must_use]
    pub fn say_in<'a>(&'a self, context: &str, text: &'a str) -> &'a str {
        let known = self.catalogue.as_ref();
        let known = known.and_then(|catalogue| catalogue.get_in(Some(context), text));
        known.unwrap_or(text)
    }

    /// The form for so many of something: `one` for exactly one, else `many`. The number's own place is
    /// filled by [`fill`].
    #[must_use]
    pub fn count<'a>(&'a self, one: &'a str, many: &'a str, n: u64) -> &'a str {
        let form = usize::from(n != 1);
        let known = self.catalogue.as_ref();
        let known = known.and_then(|catalogue| catalogue.form(one, many, form));
        known.unwrap_or([one, many][form])
    }
}

/// Two words of the same language say the same.
impl PartialEq for Words {
    fn eq(&self, other: &Self) -> bool {
        self.language == other.language
    }
}

/// Says a sentence with its named places filled: `say!(words, "Within {width}.", width = x)`, or with the
/// plural form that a number asks for: `say!(words, "{n} entry" | "{n} entries", n = count)`, where the first
/// named value is the number.
///
/// The sentence must be a literal, so that the test of the program's catalogue finds it.
#[macro_export]
macro_rules! say {
    ($words:expr, $text:literal $(,)?) => {
        $words.say($text).to_owned()
    };
    ($words:expr, $one:literal | $many:literal, $count:ident = $n:expr $(, $name:ident = $value:expr)* $(,)?) => {
        $crate::words::fill(
            $words.count($one, $many, $n),
            &[(stringify!($count), &$n as &dyn ::std::fmt::Display) $(, (stringify!($name), &$value as &dyn ::std::fmt::Display))*],
        )
    };
    ($words:expr, $text:literal $(, $name:ident = $value:expr)+ $(,)?) => {
        $crate::words::fill(
            $words.say($text),
            &[$((stringify!($name), &$value as &dyn ::std::fmt::Display)),+],
        )
    };
}

/// Marks a text that is said later, with [`Words::say`], so that the test of the program's catalogue finds it.
#[macro_export]
macro_rules! to_say {
    ($text:literal) => {
        $text
    };
}
