//! Bands: what a value must lie in, with this car's figures filled in, and the judgement.
//!
//! A value exactly on a limit is in. Values in one unit are compared as they stand, so `35 psi` meets
//! `35 psi` to the bit; values in different units are compared in SI, where a limit missed by rounding
//! alone counts as met.

use super::model::{Band, Operand, Reference, Tolerance};
use super::operand::tidied;
use crate::calc::Value;
use crate::quantity::{Dimension, Quantity, Unit};
use crate::say;
use crate::words::Words;
use std::cmp::Ordering;

/// A band whose references are filled in.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// The strictest lower limit; itself allowed.
    pub low: Option<Quantity>,
    /// The strictest upper limit; itself allowed.
    pub high: Option<Quantity>,
    /// The words allowed, `yes` and `no` for a yes/no value.
    pub one_of: Option<Vec<String>>,
    /// Where the limits came from, in words.
    pub origin: String,
}

/// How a value lies to its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    In,
    /// In, but nearer to a limit than the instrument can tell: see [`super::guard_band`].
    Undecided,
    Below,
    Above,
    /// Not one of the words allowed, or of another kind than the band judges.
    NotAmong,
}

/// Why an operand or a band has no value now.
#[derive(Clone, Debug, PartialEq)]
pub enum BandError {
    Unknown(Reference),
    NotAQuantity {
        of: String,
        found: String,
    },
    Dimension {
        of: String,
        found: Dimension,
        expected: Dimension,
    },
    NotFinite {
        of: String,
    },
}

impl BandError {
    /// The sentence in a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::Unknown(of) => say!(words, "{name} is not known yet", name = of),
            Self::NotAQuantity { of, found } => {
                say!(
                    words,
                    "{name} is {found}, and a quantity is needed",
                    name = of,
                    found = found
                )
            }
            Self::Dimension { of, found, expected } => say!(
                words,
                "{name} is {found}, and {expected} is needed",
                name = of,
                found = found.name(),
                expected = expected.name()
            ),
            Self::NotFinite { of } => say!(words, "{name} gives no finite value", name = of),
        }
    }
}

impl std::fmt::Display for BandError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl std::error::Error for BandError {}

impl Band {
    /// Whether all that it allows stands in it as it is, its quantities in the unit where one is shown, so that to
    /// name where the limits come from would only say them again.
    #[must_use]
    pub fn says_itself(&self, unit: Option<Unit>) -> bool {
        let as_shown = |operand: &Operand| match operand {
            Operand::Fixed(Value::Quantity(bound)) => unit.is_none_or(|unit| unit == bound.unit()),
            Operand::Fixed(_) => true,
            Operand::Refer(_) | Operand::Shifted { .. } => false,
        };
        let mut operands = self.at_least.iter().chain(&self.at_most).chain(&self.equals);
        self.around.is_none() && operands.all(as_shown)
    }
}

/// Fills in what a band refers to.
///
/// # Errors
/// A reference without a value, a value that is no quantity, two limits of different dimensions, or a
/// limit that is not finite.
pub fn resolve(band: &Band, lookup: &dyn Fn(&Reference) -> Option<Value>) -> Result<Limits, BandError> {
    resolve_in(band, lookup, &Words::english())
}

/// Fills in what a band refers to, and says where the limits came from in a language.
///
/// # Errors
/// As [`resolve`].
pub fn resolve_in(
    band: &Band,
    lookup: &dyn Fn(&Reference) -> Option<Value>,
    say_in: &Words,
) -> Result<Limits, BandError> {
    let mut limits = Limits {
        low: None,
        high: None,
        one_of: None,
        origin: String::new(),
    };
    let mut origin = Vec::new();
    for operand in &band.at_least {
        let bound = operand.quantity(lookup)?;
        origin.push(say!(say_in, "at least {limit}", limit = said(operand, bound)));
        limits.low = Some(stricter(limits.low, bound, Ordering::Greater)?);
    }
    for operand in &band.at_most {
        let bound = operand.quantity(lookup)?;
        origin.push(say!(say_in, "at most {limit}", limit = said(operand, bound)));
        limits.high = Some(stricter(limits.high, bound, Ordering::Less)?);
    }
    if let Some((middle, within)) = &band.around {
        let bound = middle.quantity(lookup)?;
        origin.push(format!("{} ± {}", said(middle, bound), tolerance_said(within)));
        let (low, high) = around(bound, within, middle)?;
        limits.low = Some(stricter(limits.low, low, Ordering::Greater)?);
        limits.high = Some(stricter(limits.high, high, Ordering::Less)?);
    }
    limits.one_of = words(band, lookup, &mut origin, say_in)?;
    limits.origin = origin.join("; ");
    Ok(limits)
}

/// The words that `equals` and `one_of` both allow.
fn words(
    band: &Band,
    lookup: &dyn Fn(&Reference) -> Option<Value>,
    origin: &mut Vec<String>,
    say_in: &Words,
) -> Result<Option<Vec<String>>, BandError> {
    let listed = (!band.one_of.is_empty()).then(|| band.one_of.clone());
    if let Some(listed) = &listed {
        origin.push(say!(say_in, "one of {choices}", choices = listed.join(", ")));
    }
    let Some(operand) = &band.equals else {
        return Ok(listed);
    };
    let word = operand.value(lookup)?.to_string();
    origin.push(match operand.reference() {
        Some(reference) => say!(say_in, "{name}, which is {value}", name = reference, value = word),
        None => word.clone(),
    });
    let allowed = listed.is_none_or(|listed| listed.contains(&word));
    Ok(Some(if allowed { vec![word] } else { Vec::new() }))
}

fn said(operand: &Operand, bound: Quantity) -> String {
    match operand {
        Operand::Fixed(_) => bound.to_string(),
        _ => format!("{operand} ({})", bound.shown(4)),
    }
}

fn tolerance_said(within: &Tolerance) -> String {
    match within {
        Tolerance::Absolute(quantity) => quantity.to_string(),
        Tolerance::Share(share) => format!("{} %", tidied(share * 100.0)),
    }
}

fn stricter(kept: Option<Quantity>, new: Quantity, wanted: Ordering) -> Result<Quantity, BandError> {
    match kept {
        None => Ok(new),
        Some(kept) if kept.dimension() != new.dimension() => Err(BandError::Dimension {
            of: new.to_string(),
            found: new.dimension(),
            expected: kept.dimension(),
        }),
        Some(kept) => Ok(if compare(new, kept) == wanted { new } else { kept }),
    }
}

/// The limits around a middle, in its unit.
fn around(
    middle: Quantity,
    within: &Tolerance,
    operand: &Operand,
) -> Result<(Quantity, Quantity), BandError> {
    let of = || operand.to_string();
    let end = |sign: f64| match within {
        Tolerance::Share(share) => super::operand::scaled(middle, 1.0 + sign * share),
        Tolerance::Absolute(width) => super::operand::moved(middle, *width, sign),
    };
    if let Tolerance::Absolute(width) = within
        && !super::operand::is_step_of(width.dimension(), middle.dimension())
    {
        let (found, expected) = (width.dimension(), middle.dimension());
        return Err(BandError::Dimension {
            of: width.to_string(),
            found,
            expected,
        });
    }
    match (end(-1.0), end(1.0)) {
        (Some(one), Some(other)) if compare(one, other) == Ordering::Greater => Ok((other, one)),
        (Some(one), Some(other)) => Ok((one, other)),
        _ => Err(BandError::NotFinite { of: of() }),
    }
}

/// Orders two quantities of one dimension. The wire gauge is ordered by the area that it names.
#[must_use]
pub fn compare(a: Quantity, b: Quantity) -> Ordering {
    if a.unit() == b.unit() && !a.unit().is_gauge() {
        return a.value().total_cmp(&b.value());
    }
    let (a, b) = (a.si(), b.si());
    let slack = 1e-12 * a.abs().max(b.abs());
    if (a - b).abs() <= slack {
        Ordering::Equal
    } else {
        a.total_cmp(&b)
    }
}

impl Limits {
    /// Judges a value. A value of another kind or dimension than the limits is never in.
    #[must_use]
    pub fn judge(&self, value: &Value) -> Verdict {
        if let Some(allowed) = &self.one_of
            && !allowed.contains(&value.to_string())
        {
            return Verdict::NotAmong;
        }
        match value {
            Value::Quantity(found) => self.judge_quantity(*found),
            _ if self.low.is_some() || self.high.is_some() => Verdict::NotAmong,
            _ => Verdict::In,
        }
    }

    fn judge_quantity(&self, found: Quantity) -> Verdict {
        let other = |limit: &Quantity| limit.dimension() != found.dimension();
        if self.low.iter().chain(&self.high).any(other) {
            Verdict::NotAmong
        } else if self.low.is_some_and(|low| compare(found, low) == Ordering::Less) {
            Verdict::Below
        } else if self
            .high
            .is_some_and(|high| compare(found, high) == Ordering::Greater)
        {
            Verdict::Above
        } else {
            Verdict::In
        }
    }
}
