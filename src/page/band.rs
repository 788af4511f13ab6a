//! A reading's band as a page shows it: limits that were worked out are rounded to what an instrument resolves,
//! always towards the inside, so that a page never promises more than the judgement grants. The record keeps them
//! as they are.

use super::gauge::Gauge;
use crate::calc::Value;
use crate::player::State;
use crate::player::fact::{LimitsShown, ReadingTaken};
use crate::procedure::{Band, Judged, Operand, Reading, ReadingKind};
use crate::quantity::Quantity;
use crate::say;
use crate::words::Words;

/// As many digits are shown of a limit, besides those before the point.
const DIGITS: i32 = 4;

/// The limits that judge a reading, as they are shown: those of the reading where it was taken, or as they stand now.
pub(super) fn limits(state: &State, reading: &Reading, taken: Option<&ReadingTaken>) -> Option<LimitsShown> {
    let judged = taken
        .and_then(|taken| taken.limits.clone())
        .or_else(|| now(state, reading))?;
    let rounded = rounded(&judged, step(state, reading));
    // A value between the two is told with the limit that it was held against.
    let tells_the_same = taken.is_none_or(|taken| lies(taken, &judged) == lies(taken, &rounded));
    Some(if tells_the_same { rounded } else { judged })
}

fn now(state: &State, reading: &Reading) -> Option<LimitsShown> {
    let Judged::Band(band) = &reading.judged else {
        return None;
    };
    let limits = state.limits(band).ok()?;
    Some(limits.for_kind(&reading.kind))
}

/// The finest step of an instrument of the reading's kind, in SI; nothing where the kind does not state it.
fn step(state: &State, reading: &Reading) -> Option<f64> {
    let sort = state.play().shared.instruments.get(reading.with.as_ref()?)?;
    Some(sort.finest.as_ref()?.resolution.difference_si())
}

/// Whether the value lies at or above the lower limit, and at or below the upper one.
fn lies(taken: &ReadingTaken, limits: &LimitsShown) -> (bool, bool) {
    let Value::Quantity(value) = &taken.value else {
        return (true, true);
    };
    let value = value.si();
    (
        limits.low.is_none_or(|low| low.si() <= value),
        limits.high.is_none_or(|high| value <= high.si()),
    )
}

/// The limits on the steps of an instrument. They stay as they are where that would leave nothing between them.
fn rounded(limits: &LimitsShown, step: Option<f64>) -> LimitsShown {
    let low = limits.low.map(|low| inward(low, step, f64::ceil));
    let high = limits.high.map(|high| inward(high, step, f64::floor));
    match (low, high) {
        (Some(low), Some(high)) if low.si() > high.si() => limits.clone(),
        _ => LimitsShown {
            low,
            high,
            ..limits.clone()
        },
    }
}

/// The limit on a decimal step no coarser than the instrument's, and with no more digits than are shown.
fn inward(limit: Quantity, step: Option<f64>, side: fn(f64) -> f64) -> Quantity {
    let unit = limit.unit();
    let one = Quantity::new(1.0, unit).map_or(0.0, Quantity::difference_si);
    let by_instrument = step
        .filter(|_| one > 0.0 && !unit.is_gauge())
        .map(|step| decimals(step / one));
    let by_digits = (DIGITS - 1).saturating_sub(exponent(limit.value())).max(0);
    let Some(decimals) = by_instrument.map(|decimals| decimals.min(by_digits)) else {
        return limit;
    };
    let scale = 10_f64.powi(decimals);
    let steps = limit.value() * scale;
    // What a unit's conversion left of a whole step is none.
    let whole = if (steps - steps.round()).abs() < 1e-6 {
        steps.round()
    } else {
        side(steps)
    };
    Quantity::new(whole / scale, unit).unwrap_or(limit)
}

/// How many decimals a step of this size needs: 2 for 0.01 and for 0.02, none for 1 and more.
fn decimals(step: f64) -> i32 {
    (-exponent(step * (1.0 + 1e-9))).max(0)
}

/// The power of ten at or below a number.
#[allow(clippy::cast_possible_truncation, reason = "a double's exponent is below 400")]
fn exponent(number: f64) -> i32 {
    if number == 0.0 {
        0
    } else {
        number.abs().log10().floor() as i32
    }
}

/// The scale of a reading that is a number.
pub(super) fn gauge(
    limits: &LimitsShown,
    reading: &Reading,
    taken: Option<&ReadingTaken>,
    words: &Words,
) -> Option<Gauge> {
    let ReadingKind::Number { unit, .. } = &reading.kind else {
        return None;
    };
    let value = taken.and_then(|taken| match &taken.value {
        Value::Quantity(quantity) => Some(*quantity),
        _ => None,
    });
    let guard_band = taken.and_then(|taken| taken.guard_band.as_ref());
    let gauge = Gauge::new(limits, *unit, value)?;
    Some(gauge.said(limits, words).guarded(guard_band))
}

/// The band in words, or why there is none.
pub(super) fn in_words(reading: &Reading, limits: Option<&LimitsShown>, words: &Words) -> String {
    match (&reading.judged, limits) {
        (Judged::Unjudged(reason), _) => reason.clone(),
        (Judged::Band(_), Some(limits)) => limits.say(words),
        (Judged::Band(_), None) => say!(words, "The band is known once the readings before it are taken."),
    }
}

/// Where the limits come from; nothing where that would only say the limits again. What a band takes over as it is
/// is named alone, since the band says the value.
pub(super) fn origin(state: &State, reading: &Reading, limits: LimitsShown) -> String {
    let unit = match &reading.kind {
        ReadingKind::Number { unit, .. } => Some(*unit),
        _ => None,
    };
    match &reading.judged {
        Judged::Band(band) if band.says_itself(unit) => String::new(),
        Judged::Band(Band {
            equals: Some(Operand::Refer(reference)),
            one_of,
            ..
        }) if one_of.is_empty() => {
            let name = state.play().name_of(reference, &|text| state.render(text));
            say!(state.words(), "from {name}", name = name)
        }
        _ => limits.origin,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn limits(low: Option<&str>, high: Option<&str>) -> LimitsShown {
        let read = |text: &str| Quantity::parse(text, None).expect("a quantity");
        LimitsShown {
            low: low.map(read),
            high: high.map(read),
            one_of: None,
            origin: String::new(),
            because: None,
            no_concession: None,
        }
    }

    fn said(low: Option<&str>, high: Option<&str>, step: &str) -> String {
        let step = Quantity::parse(step, None).expect("a quantity").difference_si();
        rounded(&limits(low, high), Some(step)).in_words()
    }

    #[test]
    fn limits_are_rounded_inward_to_what_the_instrument_resolves() {
        let rows = [
            (None, Some("0.8011 Ω"), "0.01 Ω", "at most 0.8 Ω"),
            (Some("0.2118 A"), None, "0.001 A", "at least 0.212 A"),
            (
                Some("-0.03488 V"),
                Some("1.343 V"),
                "0.001 V",
                "-0.034 V to 1.343 V",
            ),
            (Some("0.1697 V"), Some("0.5966 V"), "0.001 V", "0.17 V to 0.596 V"),
            // What was authored on the step stays to the bit, also where binary fractions do not meet it.
            (Some("12.3 V"), Some("14.8 V"), "0.001 V", "12.3 V to 14.8 V"),
            (None, Some("0.07 V"), "0.01 V", "at most 0.07 V"),
            // Another unit than the instrument's: a decimal step no coarser than its.
            (Some("33.333 psi"), None, "0.01 bar", "at least 33.4 psi"),
            (Some("50.27 °F"), None, "0.5 °C", "at least 50.3 °F"),
            // A step of 0.5 lies between the decimal ones.
            (Some("3.14 mm"), None, "0.5 mm", "at least 3.2 mm"),
            // More digits than are shown would be rounded to the nearest, which may lie outside.
            (None, Some("1034.86 kPa"), "0.1 kPa", "at most 1034 kPa"),
            // Nothing would be left between them.
            (Some("0.101 V"), Some("0.109 V"), "0.1 V", "0.101 V to 0.109 V"),
        ];
        for (low, high, step, expected) in rows {
            assert_eq!(said(low, high, step), expected, "{low:?} {high:?} by {step}");
        }
    }

    proptest! {
        #[test]
        fn a_value_that_the_instrument_can_show_lies_alike(limit in -5000.0..5000.0_f64, places in 0..4_i32, steps in -5000..5000_i32) {
            let volts = |value: f64| Quantity::new(value, crate::quantity::Unit::find("V").expect("a unit")).expect("finite");
            let scale = 10_f64.powi(places);
            let shown = inward(volts(limit), Some(1.0 / scale), f64::floor).value();
            prop_assert!(shown <= limit + 1e-6);
            let value = f64::from(steps) / scale;
            // Beyond four digits the page shows fewer steps than the instrument has.
            if limit.abs() * scale < 10_000.0 && (limit - value).abs() > 1e-6 {
                prop_assert_eq!(value <= limit, value <= shown + 1e-9, "{} against {} and {}", value, limit, shown);
            }
        }
    }
}
