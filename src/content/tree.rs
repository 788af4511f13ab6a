//! The tree of a file.

use super::Spot;

/// One scalar, list or map, and where it begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Node {
    pub spot: Spot,
    pub kind: Kind,
}

/// What a node is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The text, and whether it stood without quotes.
    Scalar {
        text: String,
        plain: bool,
    },
    List(Vec<Node>),
    /// In the order of the file.
    Map(Vec<(Key, Node)>),
}

/// The key of a map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Key {
    pub text: String,
    pub spot: Spot,
}

impl Node {
    /// What stands in an empty file.
    #[must_use]
    pub fn nothing() -> Self {
        Self {
            spot: Spot { line: 1, column: 1 },
            kind: Kind::Scalar {
                text: String::new(),
                plain: true,
            },
        }
    }

    /// The text of a scalar.
    #[must_use]
    pub fn scalar(&self) -> Option<&str> {
        match &self.kind {
            Kind::Scalar { text, .. } => Some(text),
            _ => None,
        }
    }

    /// The items of a list.
    #[must_use]
    pub fn list(&self) -> Option<&[Node]> {
        match &self.kind {
            Kind::List(items) => Some(items),
            _ => None,
        }
    }

    /// The entries of a map.
    #[must_use]
    pub fn map(&self) -> Option<&[(Key, Node)]> {
        match &self.kind {
            Kind::Map(entries) => Some(entries),
            _ => None,
        }
    }

    /// The value of a key of a map.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&Node> {
        self.map()?
            .iter()
            .find(|(found, _)| found.text == key)
            .map(|(_, value)| value)
    }

    /// Whether nothing stands here: an empty plain scalar, or a word by which YAML says so.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        match &self.kind {
            Kind::Scalar { text, plain } => {
                *plain && matches!(text.as_str(), "" | "~" | "null" | "Null" | "NULL")
            }
            _ => false,
        }
    }

    /// The node in words, to be read after "found".
    #[must_use]
    pub fn described(&self) -> String {
        match &self.kind {
            _ if self.is_nothing() => "nothing".to_owned(),
            Kind::Scalar { text, .. } => crate::diagnostic::quoted(text),
            Kind::List(items) => format!("a list of {}", items.len()),
            Kind::Map(entries) => match entries.first() {
                Some((key, _)) => format!("a map with the key {}", crate::diagnostic::quoted(&key.text)),
                None => "an empty map".to_owned(),
            },
        }
    }
}
