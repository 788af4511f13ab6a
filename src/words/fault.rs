//! What is wrong with a catalogue.

/// One fault of a catalogue, at its line.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: found {found}, expected {expected}")]
pub struct Fault {
    /// Counted from 1; 0 where the whole file is meant.
    pub line: u32,
    pub found: String,
    pub expected: String,
}

impl Fault {
    /// A fault at a line, counted from 1; 0 where it is about the whole file.
    pub fn new(line: u32, found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            line,
            found: found.into(),
            expected: expected.into(),
        }
    }
}
