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

use super::{CalcError, Given, Mark, Source};

/// Where the equation and its constants stand.
pub(super) const LEMMON_SPAN: Source = Source::new(
    "Lemmon and Span 2006",
    "J. Chem. Eng. Data 51, 785-850: short equation for nitrous oxide, coefficients as CoolProp 8.0.0 carries them",
    Mark::SecondHand,
);

/// What is added to a gauge's reading: one standard atmosphere.
pub(super) const STANDARD_AIR_PA: f64 = 101_325.0;

/// Why the equation gives no state.
#[derive(Clone, Copy, PartialEq, Debug, thiserror::Error)]
pub enum StateError {
    #[error("{found_k:.2} K lies outside {lowest_k} K to {highest_k} K, {bounds}")]
    Temperature {
        found_k: f64,
        lowest_k: f64,
        highest_k: f64,
        bounds: &'static str,
    },
    #[error("{found_pa:.0} Pa lies outside {lowest_pa:.0} Pa to {highest_pa:.0} Pa, {bounds}")]
    Pressure {
        found_pa: f64,
        lowest_pa: f64,
        highest_pa: f64,
        bounds: &'static str,
    },
    #[error("{found_kg_m3:.1} kg/m³ is no density of nitrous oxide at this temperature: expected {bounds}")]
    Density { found_kg_m3: f64, bounds: &'static str },
    #[error("no state was found that satisfies the equation")]
    NotConverged,
}

impl StateError {
    /// The same as a refusal of the input `name`.
    pub(super) fn refuse(self, given: &Given, name: &'static str) -> CalcError {
        given.refuse(name, self.to_string())
    }
}

/// Whether `value` lies from `low` to `high`, forgiving what rounding alone may add at an end.
fn within(value: f64, low: f64, high: f64) -> bool {
    let slack = 1e-12 * high.abs();
    (low - slack..=high + slack).contains(&value)
}
