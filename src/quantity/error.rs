//! Why a text or a number is no quantity, in sentences for the person who typed it.
use super::Dimension;
use crate::say;
use crate::words::Words;
use std::fmt;

/// What was found, and what is allowed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum QuantityError {
    /// Nothing was typed.
    Empty { expected: Option<Dimension> },
    /// The text is longer than any quantity.
    TooLong { length: usize },
    /// The text does not begin with a number.
    NotANumber {
        found: String,
        expected: Option<Dimension>,
    },
    /// `1,000` is one to some and one thousand to others.
    Ambiguous {
        found: String,
        decimal: String,
        thousands: String,
    },
    /// The number is NaN, infinite or too large to hold.
    NotFinite { found: String },
    /// No such wire size.
    NoSuchGauge { found: String },
    /// The letters after the number are no unit.
    UnknownUnit {
        found: String,
        expected: Option<Dimension>,
    },
    /// A unit of something else.
    WrongDimension { found: String, expected: Dimension },
}

impl QuantityError {
    /// The sentence in a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::Empty { expected } => {
                let number = say!(words, "found nothing, expected a number");
                number + &and_unit(*expected, words)
            }
            Self::TooLong { length } => say!(
                words,
                "found {length} characters, expected a number and its unit in at most 64",
                length = length
            ),
            Self::NotANumber { found, expected } => {
                let number = say!(
                    words,
                    "found `{found}`, expected a number in decimal digits",
                    found = found
                );
                number + &and_unit(*expected, words)
            }
            Self::Ambiguous {
                found,
                decimal,
                thousands,
            } => say!(
                words,
                "found `{found}`, which may mean {decimal} or {thousands}: write {decimal} or {thousands}",
                found = found,
                decimal = decimal,
                thousands = thousands
            ),
            Self::NotFinite { found } => {
                say!(words, "found `{found}`, expected a finite number", found = found)
            }
            Self::NoSuchGauge { found } => say!(
                words,
                "found {found} AWG, expected a wire size from 4/0 AWG to 56 AWG",
                found = found
            ),
            Self::UnknownUnit { found, expected } => {
                let expected = known_units(*expected, words);
                say!(
                    words,
                    "found the unit `{found}`, expected {expected}",
                    found = found,
                    expected = expected
                )
            }
            Self::WrongDimension { found, expected } => {
                let expected = expected.with_units_in(words);
                say!(
                    words,
                    "found {found}, expected {expected}",
                    found = found,
                    expected = expected
                )
            }
        }
    }
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl std::error::Error for QuantityError {}

fn and_unit(expected: Option<Dimension>, words: &Words) -> String {
    expected.map_or(String::new(), |dimension| {
        format!(", {}", dimension.with_units_in(words))
    })
}

fn known_units(expected: Option<Dimension>, words: &Words) -> String {
    match expected {
        Some(dimension) => dimension.with_units_in(words),
        None => say!(
            words,
            "a unit such as V, A, Ω, mm, mm², AWG, °C, s, bar, kPa, psi, ml/min, g/s or rpm"
        ),
    }
}
