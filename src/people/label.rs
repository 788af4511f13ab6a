//! Names and reasons as people write them: one line of visible text, of bounded length.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// One line of text for people to read: 1 to 200 characters, none of which hides or reorders others.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Label(String);

/// A text that cannot be a label.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}; 1 to {} visible characters on one line are allowed", Label::MAX)]
pub struct NotALabel {
    /// What was found.
    pub what: String,
}

impl Label {
    /// The longest label, in characters.
    pub const MAX: usize = 200;

    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for Label {
    type Err = NotALabel;

    fn from_str(text: &str) -> Result<Label, NotALabel> {
        let fault = |what: String| Err(NotALabel { what });
        let length = text.chars().count();
        if text.trim().is_empty() || text.trim() != text {
            return fault("the text is empty or has blanks around it".into());
        }
        if length > Label::MAX {
            return fault(format!("the text has {length} characters"));
        }
        match text.chars().find(|c| hides(*c)) {
            Some(c) => fault(format!(
                "the text has the invisible character U+{:04X}",
                u32::from(c)
            )),
            None => Ok(Label(text.to_owned())),
        }
    }
}

/// Control characters, and those that turn or hide the text around them, so that a name reads as another.
fn hides(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Serialize for Label {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Label {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Label, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_names_of_all_writings() {
        for good in ["Ines Varga", "Željko Đorđević", "Ó Briain", "山田 太郎", "محمد"] {
            assert_eq!(
                good.parse::<Label>().map(|label| label.to_string()),
                Ok(good.to_owned())
            );
        }
    }

    #[test]
    fn refuses_what_cannot_be_seen() {
        let long = "a".repeat(201);
        for bad in [
            "",
            " ",
            " Ines",
            "Ines\n",
            "I\tV",
            "Ines\u{202e}agraV",
            "In\u{200b}es",
            long.as_str(),
        ] {
            assert!(bad.parse::<Label>().is_err(), "{bad:?}");
        }
    }
}
