//! A number with a unit known at run time: parse, convert, print.
//!
//! ```
//! use witnessmark::quantity::{Quantity, Unit};
//!
//! let bar = Unit::find("bar").unwrap();
//! let reading = Quantity::parse("43,5 psi", Some(bar)).unwrap();
//! assert_eq!(reading.to(bar).unwrap().shown(3), "3 bar");
//! ```
mod error;
#[cfg(test)]
mod tests;
mod text;
mod unit;
mod units;

use std::fmt;

pub use error::QuantityError;
pub use unit::{Dimension, Unit};

/// A finite number in a unit, kept as it was given: `52 psi` stays 52 and psi.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Quantity {
    value: f64,
    unit: Unit,
}

impl Quantity {
    /// A quantity of `value` in `unit`.
    ///
    /// # Errors
    /// `NotFinite` for a NaN or an infinity; `NoSuchGauge` for an AWG number outside -3 (4/0) to 56,
    /// the sizes that ASTM B258 defines (from memory).
    pub fn new(value: f64, unit: Unit) -> Result<Quantity, QuantityError> {
        unit.check(value)?;
        // A value that overflows in SI could be neither compared nor converted.
        if !value.is_finite() || !unit.to_si(value).is_finite() {
            return Err(QuantityError::NotFinite {
                found: with_symbol(&shortest(value), unit),
            });
        }
        // Adding zero turns a negative zero into a plain one, which prints without its sign.
        Ok(Quantity {
            value: value + 0.0,
            unit,
        })
    }

    /// Reads what a person typed: `52psi`, `3,6 bar`, `1 000 psi`, `12AWG`, `AWG 12`, `4/0 AWG`, `0000 AWG`, `-5 °C`, `68F`.
    ///
    /// A bare number takes the `default` unit, or is a plain number where there is none. Where a default
    /// is given, a unit of another dimension is refused.
    ///
    /// # Errors
    /// What was found and what is allowed: empty or overlong text, no number, an ambiguous `1,000`,
    /// an unknown unit, or a unit of the wrong dimension.
    pub fn parse(text: &str, default: Option<Unit>) -> Result<Quantity, QuantityError> {
        let quantity = text::parse(text, default)?;
        match default {
            Some(unit) => quantity.expect_dimension(unit.dimension()),
            None => Ok(quantity),
        }
    }

    /// A quantity in `unit` from a value in the SI unit of its dimension.
    ///
    /// # Errors
    /// As [`Quantity::new`].
    pub fn from_si(si: f64, unit: Unit) -> Result<Quantity, QuantityError> {
        Quantity::new(unit.of_si(si), unit)
    }

    /// The number, in [`Quantity::unit`].
    pub fn value(self) -> f64 {
        self.value
    }

    /// The unit that the number was given in.
    pub fn unit(self) -> Unit {
        self.unit
    }

    /// What kind of thing is measured.
    pub fn dimension(self) -> Dimension {
        self.unit.dimension()
    }

    /// The value in the coherent SI unit: K, Pa, m², m³/s, kg/m³ and so on; a percentage as its ratio.
    pub fn si(self) -> f64 {
        self.unit.to_si(self.value)
    }

    /// The value as a difference, in the SI unit: `2 °C` is 2 K, not 275.15 K. For tolerances.
    pub fn difference_si(self) -> f64 {
        self.unit.difference_to_si(self.value)
    }

    /// The same quantity in another unit of its dimension; in its own unit it is unchanged to the bit.
    ///
    /// # Errors
    /// `WrongDimension` when `unit` measures something else.
    pub fn to(self, unit: Unit) -> Result<Quantity, QuantityError> {
        let quantity = self.expect_dimension(unit.dimension())?;
        if quantity.unit == unit {
            Ok(quantity)
        } else {
            Quantity::from_si(quantity.si(), unit)
        }
    }

    /// This quantity, when it measures a `dimension`.
    ///
    /// # Errors
    /// `WrongDimension`, which lists the units of the expected dimension.
    pub fn expect_dimension(self, dimension: Dimension) -> Result<Quantity, QuantityError> {
        if self.dimension() == dimension {
            Ok(self)
        } else {
            Err(QuantityError::WrongDimension {
                found: self.to_string(),
                expected: dimension,
            })
        }
    }

    /// The quantity rounded for a person: `digits` significant digits, digits before the point always
    /// kept (rounding 2095 to 2100 could carry a value over a limit), no trailing zeros, then the symbol.
    pub fn shown(self, digits: usize) -> String {
        let whole = self.value.round();
        // What rounding left of a whole gauge would hide its name, as in 1e-16 for 1/0.
        let value = if self.unit.is_gauge() && (self.value - whole).abs() < 1e-6 {
            whole + 0.0
        } else {
            self.value
        };
        with_symbol(&rounded(value, digits.clamp(1, 17)), self.unit)
    }
}

/// The shortest number that reads back as the same, a space, the symbol.
impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&with_symbol(&shortest(self.value), self.unit))
    }
}

fn with_symbol(number: &str, unit: Unit) -> String {
    if unit.is_plain() {
        number.to_string()
    } else if unit.is_gauge() {
        format!("{} {}", gauge_name(number), unit.symbol())
    } else {
        format!("{number} {}", unit.symbol())
    }
}

/// The sizes thicker than 1 AWG bear names, since nobody writes the numbers behind them.
fn gauge_name(number: &str) -> &str {
    match number {
        "0" => "1/0",
        "-1" => "2/0",
        "-2" => "3/0",
        "-3" => "4/0",
        other => other,
    }
}

/// Outside this span a plain decimal is a row of zeros that nobody reads.
fn wants_exponent(value: f64) -> bool {
    value != 0.0 && !(1e-5..1e15).contains(&value.abs())
}

fn shortest(value: f64) -> String {
    if wants_exponent(value) {
        format!("{value:e}")
    } else {
        format!("{value}")
    }
}

fn rounded(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_string();
    }
    let scientific = format!("{value:.*e}", digits - 1);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    if wants_exponent(value) {
        return format!("{}e{exponent}", without_trailing_zeros(mantissa));
    }
    let exponent: i64 = exponent.parse().unwrap_or(0);
    let decimals = usize::try_from(digits as i64 - 1 - exponent).unwrap_or(0);
    without_trailing_zeros(&format!("{value:.decimals$}")).to_string()
}

fn without_trailing_zeros(number: &str) -> &str {
    if number.contains('.') {
        number.trim_end_matches('0').trim_end_matches('.')
    } else {
        number
    }
}
