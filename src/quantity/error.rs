//! Why a text or a number is no quantity, in sentences for the person who typed it.
use super::Dimension;

/// What was found, and what is allowed.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum QuantityError {
    /// Nothing was typed.
    #[error("found nothing, expected a number{}", and_unit(*expected))]
    Empty { expected: Option<Dimension> },
    /// The text is longer than any quantity.
    #[error("found {length} characters, expected a number and its unit in at most 64")]
    TooLong { length: usize },
    /// The text does not begin with a number.
    #[error("found `{found}`, expected a number in decimal digits{}", and_unit(*expected))]
    NotANumber {
        found: String,
        expected: Option<Dimension>,
    },
    /// `1,000` is one to some and one thousand to others.
    #[error("found `{found}`, which may mean {decimal} or {thousands}: write {decimal} or {thousands}")]
    Ambiguous {
        found: String,
        decimal: String,
        thousands: String,
    },
    /// The number is NaN, infinite or too large to hold.
    #[error("found `{found}`, expected a finite number")]
    NotFinite { found: String },
    /// No such wire size.
    #[error("found {found} AWG, expected a wire size from 4/0 AWG to 56 AWG")]
    NoSuchGauge { found: String },
    /// The letters after the number are no unit.
    #[error("found the unit `{found}`, expected {}", known_units(*expected))]
    UnknownUnit {
        found: String,
        expected: Option<Dimension>,
    },
    /// A unit of something else.
    #[error("found {found}, expected {}", expected.with_units())]
    WrongDimension { found: String, expected: Dimension },
}

fn and_unit(expected: Option<Dimension>) -> String {
    expected.map_or(String::new(), |dimension| format!(", {}", dimension.with_units()))
}

fn known_units(expected: Option<Dimension>) -> String {
    match expected {
        Some(dimension) => dimension.with_units(),
        None => "a unit such as V, A, Ω, mm, mm², AWG, °C, s, bar, kPa, psi, ml/min, g/s or rpm".to_string(),
    }
}
