//! Values that were worked out again, held against those that stand.

use crate::calc::Value;
use crate::player::fact::LimitsShown;
use crate::procedure::GuardBand;
use crate::quantity::Quantity;

/// The share by which a figure may differ: powers and logarithms end in other digits on other machines.
const TOLERANCE: f64 = 1e-12;

/// Whether two quantities are the same: in one unit, and equal but for the last digits.
pub(super) fn same(a: Quantity, b: Quantity) -> bool {
    let (x, y) = (a.value(), b.value());
    a.unit() == b.unit() && (x - y).abs() <= x.abs().max(y.abs()) * TOLERANCE
}

/// Whether two values are the same.
pub(super) fn same_value(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Quantity(a), Value::Quantity(b)) => same(*a, *b),
        _ => a == b,
    }
}

/// Whether two lists name the same values in the same order.
pub(super) fn same_values(a: &[(String, Value)], b: &[(String, Value)]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.0 == b.0 && same_value(&a.1, &b.1))
}

/// Whether two quantities that may not be there are the same.
pub(super) fn same_ends(a: Option<Quantity>, b: Option<Quantity>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => same(a, b),
        (a, b) => a.is_none() && b.is_none(),
    }
}

/// Whether two bands are the same, with where they come from.
pub(super) fn same_limits(a: &LimitsShown, b: &LimitsShown) -> bool {
    same_ends(a.low, b.low)
        && same_ends(a.high, b.high)
        && (&a.one_of, &a.origin, &a.because, &a.no_concession)
            == (&b.one_of, &b.origin, &b.because, &b.no_concession)
}

/// Values in words.
pub(super) fn in_words(values: &[(String, Value)]) -> String {
    let words: Vec<String> = values
        .iter()
        .map(|(name, value)| format!("{name} {}", said(value)))
        .collect();
    words.join(", ")
}

/// A value in words, with all its digits.
pub(super) fn said(value: &Value) -> String {
    match value {
        Value::Quantity(quantity) => quantity.to_string(),
        other => crate::player::state::show(other),
    }
}

/// A guard band in words.
pub(super) fn guarded(guard_band: &GuardBand) -> String {
    let ends: Vec<String> = ends(guard_band.low, guard_band.high).collect();
    format!("{}, accepting {}", guard_band.width, ends.join(" "))
}

fn ends(low: Option<Quantity>, high: Option<Quantity>) -> impl Iterator<Item = String> {
    let ends = [("from", low), ("to", high)];
    ends.into_iter()
        .filter_map(|(word, end)| Some(format!("{word} {}", end?)))
}

/// A band in words.
pub(super) fn band(limits: &LimitsShown) -> String {
    let ends = ends(limits.low, limits.high);
    let choices = limits
        .one_of
        .iter()
        .map(|choices| format!("one of {}", choices.join(", ")));
    let parts: Vec<String> = ends.chain(choices).collect();
    format!("{} ({})", parts.join(" "), limits.origin)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quantity(text: &str) -> Quantity {
        Quantity::parse(text, None).expect("a quantity")
    }

    #[test]
    fn only_the_last_digits_may_differ() {
        for (a, b, equal) in [
            ("1 bar", "1 bar", true),
            ("1 bar", "1.0000000000001 bar", true),
            ("1 bar", "1.00000000001 bar", false),
            ("1 bar", "100 kPa", false),
            ("0 V", "0 V", true),
            ("0 V", "0.000001 V", false),
            ("-5 °C", "5 °C", false),
        ] {
            assert_eq!(same(quantity(a), quantity(b)), equal, "{a}, {b}");
        }
    }
}
