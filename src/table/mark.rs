//! How well a figure's source is known.

/// Stands beside every row of a table and every source of a calculator.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Mark {
    /// Read in the source.
    Seen,
    /// Read in a text that quotes the source.
    SecondHand,
    /// Recalled, not read.
    Memory,
    /// Worked out from a definition or a model.
    Computed,
    /// A rule of the trade without a source.
    Practice,
}

impl Mark {
    /// Every mark with its word in a table.
    pub(super) const WORDS: &'static [(&'static str, Mark)] = &[
        ("seen", Mark::Seen),
        ("second-hand", Mark::SecondHand),
        ("memory", Mark::Memory),
        ("computed", Mark::Computed),
        ("practice", Mark::Practice),
    ];

    /// Whether the source was not read in the original: second-hand, from memory or a rule of the trade.
    pub fn is_weak(self) -> bool {
        matches!(self, Mark::SecondHand | Mark::Memory | Mark::Practice)
    }

    /// The mark in words, for a page that shows where a figure comes from.
    pub fn in_words(self) -> &'static str {
        match self {
            Mark::Seen => crate::to_say!("read in the source"),
            Mark::SecondHand => crate::to_say!("read second-hand"),
            Mark::Memory => crate::to_say!("from memory"),
            Mark::Computed => crate::to_say!("computed"),
            Mark::Practice => crate::to_say!("common practice, no source"),
        }
    }
}
