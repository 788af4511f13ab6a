//! A sentence about a figure, its values apart, so that it can be said in another language.

use crate::words::{Words, fill};
use std::fmt::{self, Display};

/// What the reader must know about a figure.
#[derive(Clone, PartialEq, Debug)]
pub struct Note {
    text: &'static str,
    values: Vec<(&'static str, Vec<Parts>)>,
}

/// One value: words and figures that stand behind one another. Each is said in the reader's language if it is known.
pub type Parts = Vec<String>;

impl Note {
    /// A sentence with named places, and what fills them; [`crate::note`] writes it.
    #[must_use]
    pub fn new(text: &'static str, values: Vec<(&'static str, String)>) -> Self {
        let values = values.into_iter();
        Self {
            text,
            values: values.map(|(name, value)| (name, vec![vec![value]])).collect(),
        }
    }

    /// The same with a further place, filled with one value or a list of them.
    #[must_use]
    pub fn with(mut self, name: &'static str, list: Vec<Parts>) -> Self {
        self.values.push((name, list));
        self
    }

    /// The sentence in a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        let one = |parts: &Parts| parts.iter().map(|part| words.say(part)).collect::<String>();
        let each = self.values.iter().map(|(name, list)| {
            let list: Vec<String> = list.iter().map(one).collect();
            (*name, list.join("; "))
        });
        let each: Vec<(&str, String)> = each.collect();
        let shown: Vec<(&str, &dyn Display)> = each
            .iter()
            .map(|(name, value)| (*name, value as &dyn Display))
            .collect();
        fill(words.say(self.text), &shown)
    }
}

impl From<&'static str> for Note {
    fn from(text: &'static str) -> Self {
        Self::new(text, Vec::new())
    }
}

impl Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

/// A [`Note`] with named values: `note!("A {rating} fuse.", rating = rating)`. The sentence must be a literal, so
/// that the test of the program's catalogue finds it.
#[macro_export]
macro_rules! note {
    ($text:literal $(, $name:ident = $value:expr)* $(,)?) => {
        $crate::calc::Note::new($crate::to_say!($text), vec![$((stringify!($name), $value.to_string())),*])
    };
}
