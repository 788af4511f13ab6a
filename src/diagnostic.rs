//! A finding about authored content, with its code frame.

/// Where something stands in an authored file.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The file's path inside the content folder.
    pub path: String,
    /// Counted from 1; 0 where the place is not known.
    pub line: u32,
    /// In characters, counted from 1.
    pub column: u32,
}
