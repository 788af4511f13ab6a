//! Guarded acceptance: a value too near to a limit for its instrument is neither in nor out.
//!
//! The decision rule is that of JCGM 106:2012 with a guard band w = r · U inside each limit, r = 1 and U with
//! coverage factor 2: the rule that ILAC-G8:09/2019 names w = U, under which a value on the acceptance limit
//! lies outside its band with a probability below 2.5 %. A value between acceptance limit and limit is undecided;
//! one outside its limit is out, however near.

use super::band::{Limits, Verdict, compare};
use super::model::Instrument;
use super::operand::moved;
use super::uncertainty::step_unit;
use crate::calc::Value;
use crate::quantity::{Quantity, Unit};
use std::cmp::Ordering;

/// The guard band as a multiple of the expanded uncertainty.
pub const RATIO: f64 = 1.0;

/// The most of a band that its guard bands may take together. An instrument that takes more is unfit for it.
///
/// Between two limits that is a measurement capability index T / (2 U) of at least 2 (the index of JCGM
/// 106:2012, from memory; its least value is common practice, no source).
pub const MOST_GUARDED: f64 = 0.5;

/// A guard band and the acceptance limits that it leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct GuardBand {
    /// The width, as a difference.
    pub width: Quantity,
    /// The lowest value that is accepted; itself accepted. None where the band has no lower limit.
    pub low: Option<Quantity>,
    /// The highest value that is accepted; itself accepted.
    pub high: Option<Quantity>,
}

impl GuardBand {
    /// The guard band inside these limits. None without a width or a limit, which is simple acceptance.
    #[must_use]
    pub fn of(limits: &Limits, width: Quantity) -> Option<Self> {
        if width.value() <= 0.0 || (limits.low.is_none() && limits.high.is_none()) {
            return None;
        }
        Some(Self {
            width,
            low: limits.low.and_then(|low| moved(low, width, RATIO)),
            high: limits.high.and_then(|high| moved(high, width, -RATIO)),
        })
    }

    fn accepts(&self, found: Quantity) -> bool {
        self.low.is_none_or(|low| compare(found, low) != Ordering::Less)
            && self
                .high
                .is_none_or(|high| compare(found, high) != Ordering::Greater)
    }
}

impl Limits {
    /// Judges a value by guarded acceptance: what [`Limits::judge`] calls in is undecided inside the guard.
    #[must_use]
    pub fn judge_guarded(&self, value: &Value, guard: &GuardBand) -> Verdict {
        match (self.judge(value), value) {
            (Verdict::In, Value::Quantity(found)) if !guard.accepts(*found) => Verdict::Undecided,
            (plain, _) => plain,
        }
    }
}

/// What a band asks of an instrument, and what the instrument has.
#[derive(Clone, Debug, PartialEq)]
pub struct TooCoarse {
    pub has: Quantity,
    pub needs: Quantity,
}

/// Whether an instrument is fit for a band: its guard bands leave at least half of the values that can be
/// read and may be accepted. `plausible` is the range in which a value is taken at all.
///
/// # Errors
/// The uncertainty that it has near the limits and the largest that would do, in the unit of the first limit.
pub fn fit(
    limits: &Limits,
    plausible: (Quantity, Quantity),
    instrument: &Instrument,
) -> Result<(), TooCoarse> {
    let start = end([Some(plausible.0), Some(instrument.from), limits.low], f64::max);
    let stop = end([Some(plausible.1), Some(instrument.to), limits.high], f64::min);
    // A limit beyond what can be read guards nothing.
    let low = limits.low.filter(|low| low.si() >= start);
    let high = limits.high.filter(|high| high.si() <= stop);
    let guarded: Vec<Quantity> = low.into_iter().chain(high).collect();
    let worst = guarded.iter().filter_map(|limit| instrument.expanded_at(*limit));
    let worst = worst.max_by(|a, b| compare(*a, *b));
    let (Some(has), false) = (worst, stop < start) else {
        return Ok(());
    };
    let needs = (stop - start) * MOST_GUARDED / guarded.len() as f64 / RATIO;
    // A limit that is met but for rounding is met, as everywhere.
    if has.difference_si() <= needs * (1.0 + 1e-12) {
        return Ok(());
    }
    let needs = Quantity::from_si(needs, has.unit()).unwrap_or(has);
    Err(TooCoarse { has, needs })
}

fn end(ends: [Option<Quantity>; 3], stricter: fn(f64, f64) -> f64) -> f64 {
    let ends = ends.into_iter().flatten().map(Quantity::si);
    ends.reduce(stricter).unwrap_or(0.0)
}

impl TooCoarse {
    /// The same as differences between values in a unit.
    #[must_use]
    pub fn in_unit(self, unit: Unit) -> Self {
        let step = step_unit(unit).unwrap_or(unit);
        let turn = |quantity: Quantity| quantity.to(step).unwrap_or(quantity);
        Self {
            has: turn(self.has),
            needs: turn(self.needs),
        }
    }
}
