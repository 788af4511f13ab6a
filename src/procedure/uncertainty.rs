//! How far an instrument can be trusted: its expanded uncertainty at a value, with coverage factor 2.
//!
//! The register states it as the calibration certificate does: a quantity, a share of the reading with a
//! quantity beside it, and the coverage factor where that is not 2. Where the register states none, the
//! resolution's own share is taken: half a step to either side, evenly spread, has the standard uncertainty
//! half a step / √3, so that U = step / √3 with k = 2 (JCGM 100:2008, 4.3.7 and F.2.2.1, from memory). That is
//! the least that any instrument can have, and less than it really has; the record therefore says which it was.

use super::model::Instrument;
use super::operand::{is_step_of, tidied};
use crate::quantity::{Dimension, Quantity, Unit};

/// The coverage factor of every uncertainty that judges a reading.
pub const COVERAGE: f64 = 2.0;

/// What a certificate states of an instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertainty {
    /// The part that grows with the reading, as a ratio: 0.005 for 0.5 %.
    pub of_reading: f64,
    /// The part that is always there.
    pub plus: Option<Quantity>,
    /// The coverage factor that it is stated with, 1 to 4.
    pub coverage: f64,
}

impl Instrument {
    /// The expanded uncertainty (k = 2) at a value, as a difference in the value's unit; never less than what
    /// the resolution alone gives. None for a wire gauge number, between which there are no differences.
    #[must_use]
    pub fn expanded_at(&self, value: Quantity) -> Option<Quantity> {
        let unit = step_unit(value.unit())?;
        let least = resolution_share(self);
        let stated = self.uncertainty.as_ref().map(|stated| stated.expanded_si(value));
        let si = stated.map_or(least, |stated| stated.max(least));
        let quantity = Quantity::from_si(si, unit).ok()?;
        Quantity::new(tidied(quantity.value()), unit).ok()
    }

    /// What the register says of the uncertainty, in words.
    #[must_use]
    pub fn uncertainty_said(&self) -> String {
        match &self.uncertainty {
            Some(stated) => stated.in_words(),
            None => format!("none stated, its resolution of {} alone", self.resolution),
        }
    }
}

impl Uncertainty {
    /// At a value, with coverage factor 2, in the SI unit of a difference.
    fn expanded_si(&self, value: Quantity) -> f64 {
        let plus = self.plus.map_or(0.0, Quantity::difference_si);
        (self.of_reading * value.si().abs() + plus) * COVERAGE / self.coverage
    }

    /// What does not fit what is measured, and what would: it is above nothing, and no share of a temperature,
    /// whose zero is arbitrary.
    pub(super) fn misfit(&self, measured: Dimension) -> Option<(String, String)> {
        let wrong = |plus: &Quantity| !is_step_of(plus.dimension(), measured) || plus.difference_si() <= 0.0;
        if let Some(plus) = self.plus.filter(wrong) {
            let expected = format!("{} above 0, as the range is", measured.name());
            return Some((plus.to_string(), expected));
        }
        let shared = self.of_reading > 0.0 && measured == Dimension::Temperature;
        shared.then(|| {
            let expected = "no share of a reading that is a temperature";
            (self.in_words(), expected.to_owned())
        })
    }

    /// `0.5 % of the reading + 0.02 V, k = 2`
    #[must_use]
    pub fn in_words(&self) -> String {
        let share =
            (self.of_reading > 0.0).then(|| format!("{} % of the reading", tidied(self.of_reading * 100.0)));
        let parts: Vec<String> = share
            .into_iter()
            .chain(self.plus.map(|plus| plus.to_string()))
            .collect();
        format!("{}, k = {}", parts.join(" + "), self.coverage)
    }
}

/// The expanded uncertainty of the resolution alone, in the SI unit of a difference.
fn resolution_share(instrument: &Instrument) -> f64 {
    instrument.resolution.difference_si() / 3_f64.sqrt()
}

/// The unit of a difference between two values in `unit`.
pub(super) fn step_unit(unit: Unit) -> Option<Unit> {
    match (unit.dimension(), unit.symbol()) {
        (Dimension::Temperature, "°F") => Unit::find("Δ°F"),
        (Dimension::Temperature, _) => Unit::find("ΔK"),
        _ if unit.is_gauge() => None,
        _ => Some(unit),
    }
}
