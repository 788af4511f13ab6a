//! Authored text with values in braces.

use super::model::{Piece, Reference, Text};
use crate::calc::Value;

/// Stands for a value that is not known yet.
const NOT_KNOWN: &str = "…";

impl Text {
    /// A text without values.
    #[must_use]
    pub fn plain(text: &str) -> Self {
        Self(vec![Piece::Plain(text.to_owned())])
    }

    /// The text with each value filled in, a quantity to four significant digits, and `…` for a value
    /// that is not known yet. A lookup may hand back a text to be shown in place of the value.
    #[must_use]
    pub fn render(&self, lookup: &dyn Fn(&Reference) -> Option<Value>) -> String {
        let shown = |piece: &Piece| match piece {
            Piece::Plain(text) => text.clone(),
            Piece::Show(reference) => lookup(reference).map_or(NOT_KNOWN.to_owned(), |value| value.shown(4)),
        };
        self.0.iter().map(shown).collect()
    }

    /// What the text shows.
    pub fn references(&self) -> impl Iterator<Item = &Reference> {
        self.0.iter().filter_map(|piece| match piece {
            Piece::Show(reference) => Some(reference),
            Piece::Plain(_) => None,
        })
    }
}

/// The text as it was written.
impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|piece| match piece {
            Piece::Plain(text) => f.write_str(text),
            Piece::Show(reference) => write!(f, "{{{reference}}}"),
        })
    }
}
