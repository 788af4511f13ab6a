//! The equation of state of nitrous oxide and what follows from it: saturation, a closed vessel, the flow of a jet.
//!
//! Pure functions of SI values, without allocation. Pressures are absolute. Outside the range of the published
//! equation each of them refuses with the range; none clamps and none extrapolates.
pub mod flux;
pub mod helmholtz;
#[cfg(test)]
mod hostile;
pub mod saturation;
mod start;
pub mod state;
#[cfg(test)]
mod vectors;

pub use helmholtz::{CRITICAL_K, CRITICAL_KG_M3, HIGHEST_PA, HOTTEST_K, TRIPLE_K};

use super::{CalcError, Given, Mark, Note, Source};
use crate::note;

/// Where the equation and its constants stand.
pub(super) const LEMMON_SPAN: Source = Source::new(
    "Lemmon and Span 2006",
    "J. Chem. Eng. Data 51, 785-850: short equation for nitrous oxide, coefficients as CoolProp 8.0.0 carries them",
    Mark::SecondHand,
);

/// What is added to a gauge's reading: one standard atmosphere.
pub(super) const STANDARD_AIR_PA: f64 = 101_325.0;

/// Why the equation gives no state.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum StateError {
    Temperature {
        found_k: f64,
        lowest_k: f64,
        highest_k: f64,
        bounds: &'static str,
    },
    Pressure {
        found_pa: f64,
        lowest_pa: f64,
        highest_pa: f64,
        bounds: &'static str,
    },
    Density {
        found_kg_m3: f64,
        bounds: &'static str,
    },
    NotConverged,
}

impl StateError {
    /// The same as a refusal of the input `name`.
    pub(super) fn refuse(self, given: &Given, name: &'static str) -> CalcError {
        given.refuse(name, self.note())
    }

    /// The sentence, to be said in any language.
    fn note(self) -> Note {
        match self {
            Self::Temperature {
                found_k,
                lowest_k,
                highest_k,
                bounds,
            } => note!(
                "{found} K lies outside {lowest} K to {highest} K, {bounds}",
                found = format!("{found_k:.2}"),
                lowest = lowest_k,
                highest = highest_k,
                bounds = bounds
            ),
            Self::Pressure {
                found_pa,
                lowest_pa,
                highest_pa,
                bounds,
            } => note!(
                "{found} Pa lies outside {lowest} Pa to {highest} Pa, {bounds}",
                found = format!("{found_pa:.0}"),
                lowest = format!("{lowest_pa:.0}"),
                highest = format!("{highest_pa:.0}"),
                bounds = bounds
            ),
            Self::Density { found_kg_m3, bounds } => note!(
                "{found} kg/m³ is no density of nitrous oxide at this temperature: expected {bounds}",
                found = format!("{found_kg_m3:.1}"),
                bounds = bounds
            ),
            Self::NotConverged => note!("no state was found that satisfies the equation"),
        }
    }
}

impl std::fmt::Display for StateError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.note().fmt(f)
    }
}

impl std::error::Error for StateError {}

/// Whether `value` lies from `low` to `high`, forgiving what rounding alone may add at an end.
fn within(value: f64, low: f64, high: f64) -> bool {
    let slack = 1e-12 * high.abs();
    (low - slack..=high + slack).contains(&value)
}
