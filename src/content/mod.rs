//! YAML text to a tree in which every scalar knows its line and column.
//!
//! Only a plain part of YAML is read: maps, lists and scalars. Anchors, aliases, merge keys, tags,
//! directives and further documents are refused, so what stands in a file is all that it means.
//! A scalar is kept as it was written: `0.3`, `1e3`, `007` and `yes` are words until a reader knows
//! what they should be.
//!
//! ```
//! let parsed = witnessmark::content::parse("a.yaml", b"title: 007 bar\n");
//! let root = parsed.root.unwrap();
//! let (key, value) = &root.map().unwrap()[0];
//! assert_eq!((key.text.as_str(), value.scalar()), ("title", Some("007 bar")));
//! assert_eq!((value.spot.line, value.spot.column), (1, 8));
//! ```

mod bytes;
#[cfg(test)]
mod tests;
mod tree;
mod yaml;

use crate::diagnostic::{Place, Report};
pub use tree::{Key, Kind, Node};

/// The largest authored file, in bytes.
pub const LARGEST_FILE: usize = 1024 * 1024;
/// The deepest nesting of lists and maps.
pub const DEEPEST: usize = 24;
/// The most lists, maps and scalars in one file.
pub const MOST_NODES: usize = 100_000;

/// A line and a column inside one file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot {
    /// Counted from 1.
    pub line: u32,
    /// In characters, counted from 1.
    pub column: u32,
}

impl Spot {
    /// The same spot with its file's path.
    #[must_use]
    pub fn within(self, path: &str) -> Place {
        Place {
            path: path.to_owned(),
            line: self.line,
            column: self.column,
        }
    }
}

/// What a file gave: its tree as far as it could be read, and what is wrong with it.
#[derive(Debug)]
pub struct Parsed {
    /// `None` when no tree could be made; present beside faults that leave the tree whole.
    pub root: Option<Node>,
    pub faults: Report,
}

/// Reads one file. Work and memory are bounded by [`LARGEST_FILE`], [`DEEPEST`] and [`MOST_NODES`].
#[must_use]
pub fn parse(path: &str, bytes: &[u8]) -> Parsed {
    let mut faults = Report::default();
    let root = match bytes::text(path, bytes) {
        Ok(text) => yaml::read(path, text, &mut faults),
        Err(fault) => {
            faults.push(*fault);
            None
        }
    };
    Parsed { root, faults }
}
