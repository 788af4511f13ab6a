//! A gauge: a scale, the band on it, and the reading on that, all in one unit.

use crate::player::fact::LimitsShown;
use crate::procedure::GuardBand;
use crate::quantity::{Quantity, Unit};
use crate::words::Words;

/// A scale with a band and, once it is taken, a reading. All numbers are in `unit`.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauge {
    pub unit: &'static str,
    pub from: f64,
    pub to: f64,
    /// Absent where the band is open on that side.
    pub low: Option<f64>,
    pub high: Option<f64>,
    pub value: Option<f64>,
    /// The acceptance limits inside the band: between these and its ends the instrument cannot tell in from out.
    /// Absent where nothing guards that end.
    pub accept_low: Option<f64>,
    pub accept_high: Option<f64>,
    /// Where the scale is numbered.
    pub ticks: Vec<f64>,
    /// The band in words, e.g. `33 psi to 37 psi`.
    pub band: String,
}

impl Gauge {
    /// A gauge that shows the band with room around it, and the reading wherever it lies.
    #[must_use]
    pub fn new(limits: &LimitsShown, unit: Unit, value: Option<Quantity>) -> Option<Self> {
        let number = |quantity: Quantity| quantity.to(unit).ok().map(Quantity::value);
        let (low, high) = (limits.low.and_then(number), limits.high.and_then(number));
        let value = value.and_then(number);
        let (from, to) = span(low, high, value)?;
        let ticks = ticks(from, to);
        Some(Self {
            unit: unit.symbol(),
            from,
            to,
            low,
            high,
            value,
            accept_low: None,
            accept_high: None,
            ticks,
            band: limits.in_words(),
        })
    }

    /// The same with its band in the words of a language.
    #[must_use]
    pub fn said(self, limits: &LimitsShown, words: &Words) -> Self {
        let band = limits.say(words);
        Self { band, ..self }
    }

    /// The same with the guard band that an instrument's uncertainty sets inside the limits.
    #[must_use]
    pub fn guarded(mut self, guard_band: Option<&GuardBand>) -> Self {
        let unit = Unit::find(self.unit);
        let number = |end: Quantity| end.to(unit?).ok().map(Quantity::value);
        if let Some(guard_band) = guard_band {
            self.accept_low = guard_band.low.and_then(number);
            self.accept_high = guard_band.high.and_then(number);
        }
        self
    }

    /// The zones in which nothing is decided, each as a pair of numbers; they never reach beyond the band.
    #[must_use]
    pub fn guard_zones(&self) -> Vec<(f64, f64)> {
        let low = self.low.zip(self.accept_low);
        let low = low.map(|(low, accept)| (low, self.high.map_or(accept, |high| accept.min(high))));
        let high = self.high.zip(self.accept_high);
        let high = high.map(|(high, accept)| (self.low.map_or(accept, |low| accept.max(low)), high));
        low.into_iter().chain(high).collect()
    }

    /// Where a number stands on the scale: 0 at its start, 1 at its end.
    #[must_use]
    pub fn place(&self, number: f64) -> f64 {
        ((number - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }
}

fn span(low: Option<f64>, high: Option<f64>, value: Option<f64>) -> Option<(f64, f64)> {
    let (start, end) = match (low, high) {
        (Some(low), Some(high)) => (low, high),
        (Some(low), None) => (low, low + low.abs().max(1e-9)),
        (None, Some(high)) => (high - high.abs().max(1e-9), high),
        (None, None) => return None,
    };
    let (start, end) = (start.min(value.unwrap_or(start)), end.max(value.unwrap_or(end)));
    let width = (end - start).max(start.abs().max(end.abs()) * 1e-6).max(1e-9);
    // A quantity that cannot be negative gets no scale below zero.
    let from = if start >= 0.0 {
        (start - 0.4 * width).max(0.0)
    } else {
        start - 0.4 * width
    };
    Some((from, end + 0.4 * width))
}

/// About five round numbers on the scale.
fn ticks(from: f64, to: f64) -> Vec<f64> {
    let rough = (to - from) / 5.0;
    let magnitude = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * magnitude)
        .find(|step| *step >= rough)
        .unwrap_or(rough);
    let first = (from / step).ceil() as i64;
    let last = (to / step).floor() as i64;
    (first..=last).take(12).map(|k| k as f64 * step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limits(low: Option<&str>, high: Option<&str>) -> LimitsShown {
        let parse = |text: &str| Quantity::parse(text, None).unwrap();
        LimitsShown {
            low: low.map(parse),
            high: high.map(parse),
            one_of: None,
            origin: String::new(),
            because: None,
            no_concession: None,
        }
    }

    #[test]
    fn the_guard_lies_inside_the_band_in_the_gauges_unit() {
        let bar = Unit::find("bar").unwrap();
        let parse = |text: &str| Quantity::parse(text, None).unwrap();
        let gauge = Gauge::new(&limits(Some("2 bar"), Some("3 bar")), bar, None).unwrap();
        assert!(gauge.guard_zones().is_empty());
        let guard_band = GuardBand {
            width: parse("10 kPa"),
            low: Some(parse("210 kPa")),
            high: Some(parse("290 kPa")),
        };
        let zones = gauge.clone().guarded(Some(&guard_band)).guard_zones();
        assert_eq!(zones, [(2.0, 2.1), (2.9, 3.0)]);
        let wide = GuardBand {
            low: Some(parse("4 bar")),
            high: Some(parse("1 bar")),
            ..guard_band
        };
        assert_eq!(gauge.guarded(Some(&wide)).guard_zones(), [(2.0, 3.0), (2.0, 3.0)]);
    }

    #[test]
    fn the_reading_is_on_the_scale_wherever_it_lies() {
        let psi = Unit::find("psi").unwrap();
        for value in ["1 psi", "35 psi", "400 psi", "2.4 bar"] {
            let value = Quantity::parse(value, None).unwrap();
            let gauge = Gauge::new(&limits(Some("33 psi"), Some("37 psi")), psi, Some(value)).unwrap();
            let number = gauge.value.unwrap();
            assert!(gauge.from <= number && number <= gauge.to, "{gauge:?}");
            assert!(gauge.from < 33.0 && gauge.to > 37.0, "{gauge:?}");
            assert!((2..=12).contains(&gauge.ticks.len()), "{gauge:?}");
        }
    }

    #[test]
    fn a_band_open_on_one_side_has_a_scale() {
        let volt = Unit::find("V").unwrap();
        let gauge = Gauge::new(&limits(Some("11.5 V"), None), volt, None).unwrap();
        assert!(gauge.from < 11.5 && gauge.to > 11.5 && gauge.high.is_none());
        let at_zero = Gauge::new(&limits(None, Some("0 V")), volt, None).unwrap();
        assert!(at_zero.from < at_zero.to, "{at_zero:?}");
        assert!(Gauge::new(&limits(None, None), volt, None).is_none());
    }
}
