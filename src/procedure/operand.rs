//! The value of an operand: fixed, referred to, or referred to and shifted once.

use super::band::BandError;
use super::model::{Operand, Reference, Shift};
use crate::calc::Value;
use crate::quantity::{Dimension, Quantity, Unit};
use std::fmt;

impl Operand {
    /// What the operand refers to, if it is not fixed.
    #[must_use]
    pub fn reference(&self) -> Option<&Reference> {
        match self {
            Self::Fixed(_) => None,
            Self::Refer(reference) | Self::Shifted { of: reference, .. } => Some(reference),
        }
    }

    /// The operand's value now.
    ///
    /// # Errors
    /// A reference without a value; for a shift also a value that is no quantity, a shift of another
    /// dimension, and a result that is not finite.
    pub fn value(&self, lookup: &dyn Fn(&Reference) -> Option<Value>) -> Result<Value, BandError> {
        let found = |of: &Reference| lookup(of).ok_or_else(|| BandError::Unknown(of.clone()));
        match self {
            Self::Fixed(value) => Ok(value.clone()),
            Self::Refer(of) => found(of),
            Self::Shifted { of, by } => {
                let start = as_quantity(&found(of)?, of)?;
                let shifted = by.apply(start, of)?;
                shifted
                    .map(Value::Quantity)
                    .ok_or_else(|| BandError::NotFinite { of: self.to_string() })
            }
        }
    }

    /// The operand's value now, which must be a quantity.
    ///
    /// # Errors
    /// As [`Operand::value`], and `NotAQuantity`.
    pub fn quantity(&self, lookup: &dyn Fn(&Reference) -> Option<Value>) -> Result<Quantity, BandError> {
        as_quantity(&self.value(lookup)?, self)
    }
}

fn as_quantity(value: &Value, of: &dyn fmt::Display) -> Result<Quantity, BandError> {
    let refusal = || BandError::NotAQuantity {
        of: of.to_string(),
        found: value.to_string(),
    };
    value.quantity().ok_or_else(refusal)
}

impl Shift {
    /// The shifted quantity, in the unit of `start`; `None` where it would not be finite.
    fn apply(&self, start: Quantity, of: &Reference) -> Result<Option<Quantity>, BandError> {
        let step = |by: &Quantity, sign| {
            if is_step_of(by.dimension(), start.dimension()) {
                return Ok(moved(start, *by, sign));
            }
            let (found, expected) = (by.dimension(), start.dimension());
            Err(BandError::Dimension {
                of: format!("the shift of {of}"),
                found,
                expected,
            })
        };
        match self {
            Self::Plus(by) => step(by, 1.0),
            Self::Minus(by) => step(by, -1.0),
            Self::Times(factor) => Ok(scaled(start, *factor)),
        }
    }
}

/// Whether a quantity of dimension `step` can be added to one of dimension `to`.
#[must_use]
pub fn is_step_of(step: Dimension, to: Dimension) -> bool {
    step == to || (step == Dimension::TemperatureDifference && to == Dimension::Temperature)
}

/// `start` plus or minus a step, in the unit of `start`.
pub(super) fn moved(start: Quantity, step: Quantity, sign: f64) -> Option<Quantity> {
    if start.unit() == step.unit() && !start.unit().is_gauge() {
        return Quantity::new(tidied(start.value() + sign * step.value()), start.unit()).ok();
    }
    let unit = plain_unit(start.unit())?;
    let end = Quantity::from_si(start.si() + sign * step.difference_si(), unit).ok()?;
    Quantity::new(tidied(end.value()), unit).ok()
}

/// `start` times a factor, in the unit of `start`.
pub(super) fn scaled(start: Quantity, factor: f64) -> Option<Quantity> {
    let start = start.to(plain_unit(start.unit())?).ok()?;
    Quantity::new(tidied(start.value() * factor), start.unit()).ok()
}

/// A gauge number can be neither added to nor multiplied; the area that it names can.
fn plain_unit(unit: Unit) -> Option<Unit> {
    if unit.is_gauge() {
        Unit::find("mm²")
    } else {
        Some(unit)
    }
}

/// The value to fifteen significant digits: `0.1 × 3` is 0.3 and not a hair above, so that a reading
/// exactly on a worked-out limit is in.
pub(super) fn tidied(value: f64) -> f64 {
    format!("{value:.14e}").parse().unwrap_or(value)
}

/// `card.power.fuse × 0.75`
impl fmt::Display for Operand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Fixed(value) => value.fmt(f),
            Self::Refer(of) => of.fmt(f),
            Self::Shifted {
                of,
                by: Shift::Plus(by),
            } => write!(f, "{of} + {by}"),
            Self::Shifted {
                of,
                by: Shift::Minus(by),
            } => write!(f, "{of} − {by}"),
            Self::Shifted {
                of,
                by: Shift::Times(factor),
            } => write!(f, "{of} × {factor}"),
        }
    }
}
