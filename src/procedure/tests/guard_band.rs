//! Guarded acceptance against published and worked-out rows, and its laws.

use crate::calc::Value;
use crate::procedure::band::{Limits, Verdict};
use crate::procedure::guard_band::{GuardBand, fit};
use crate::procedure::{Instrument, register};
use crate::quantity::{Quantity, Unit};
use proptest::prelude::*;

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text, None).expect("a quantity")
}

fn limits(low: Option<&str>, high: Option<&str>) -> Limits {
    Limits {
        low: low.map(quantity),
        high: high.map(quantity),
        one_of: None,
        origin: String::new(),
    }
}

fn guarded(limits: &Limits, value: Quantity, width: Quantity) -> Verdict {
    let value = Value::Quantity(value);
    match GuardBand::of(limits, width) {
        Some(guard_band) => limits.judge_guarded(&value, &guard_band),
        None => limits.judge(&value),
    }
}

/// The distribution function of the standard normal law, to 1e-7: Abramowitz and Stegun 7.1.26 (from memory).
fn phi(z: f64) -> f64 {
    let x = z.abs() / 2_f64.sqrt();
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let terms = [
        0.254_829_592,
        -0.284_496_736,
        1.421_413_741,
        -1.453_152_027,
        1.061_405_429,
    ];
    let sum = terms.iter().rev().fold(0.0, |sum, term| (sum + term) * t);
    let half = sum * (-x * x).exp() / 2.0;
    if z < 0.0 { half } else { 1.0 - half }
}

/// How likely a value lies in its limits: JCGM 106:2012, normal law.
fn conformity(y: f64, u: f64, low: Option<f64>, high: Option<f64>) -> f64 {
    let below = |limit: f64| phi((limit - y) / u);
    high.map_or(1.0, below) - low.map_or(0.0, below)
}

/// The two worked examples of JCGM 106:2012 (its data from memory; the limits of the second are those of SAE J300
/// grade 40), each with the probability of conformity that it prints, and what guarded acceptance makes of it.
#[test]
fn the_published_examples_are_not_sure_enough_to_accept() {
    // A breakdown voltage of -5.47 V with u = 0.05 V, at most -5.40 V: printed 0.92.
    let zener = conformity(-5.47, 0.05, None, Some(-5.40));
    assert!(
        (zener - 0.92).abs() < 5e-3 && (zener - 0.9192).abs() < 5e-5,
        "{zener}"
    );
    let band = limits(None, Some("-5.40 V"));
    assert_eq!(
        guarded(&band, quantity("-5.47 V"), quantity("0.10 V")),
        Verdict::Undecided
    );
    // A viscosity of 13.6 with u = 1.8, between 12.5 and 16.3: printed 0.66.
    let oil = conformity(13.6, 1.8, Some(12.5), Some(16.3));
    assert!((oil - 0.66).abs() < 5e-3 && (oil - 0.6626).abs() < 5e-5, "{oil}");
    // U = 3.6 is wider than half of the tolerance: no value could ever be accepted.
    let band = limits(Some("12.5"), Some("16.3"));
    for value in ["12.5", "13.6", "14.4", "16.3"] {
        assert_eq!(
            guarded(&band, quantity(value), quantity("3.6")),
            Verdict::Undecided,
            "{value}"
        );
    }
}

/// The four zones of ILAC-G8:09/2019 with w = U = 0.10 bar at a lower limit of 3.00 bar: the guide's passes are in,
/// its conditional passes undecided, its fails of both kinds out.
#[test]
fn the_zones_of_the_guide_are_told_apart() {
    let band = limits(Some("3.00 bar"), None);
    for (value, verdict) in [
        ("3.12 bar", Verdict::In),
        ("3.10 bar", Verdict::In),
        ("310 kPa", Verdict::In),
        ("3.0999 bar", Verdict::Undecided),
        ("3.05 bar", Verdict::Undecided),
        ("3.00 bar", Verdict::Undecided),
        ("2.95 bar", Verdict::Below),
        ("2.89 bar", Verdict::Below),
    ] {
        assert_eq!(
            guarded(&band, quantity(value), quantity("0.10 bar")),
            verdict,
            "{value}"
        );
    }
}

/// A sum that binary fractions miss by a hair still meets its acceptance limit: 0.1 + 0.2 is 0.3.
#[test]
fn a_reading_exactly_on_an_acceptance_limit_is_in() {
    for (low, width, value) in [
        ("0.1 V", "0.2 V", "0.3 V"),
        ("0.1 V", "0.2 V", "300 mV"),
        ("33 psi", "0.7 psi", "33.7 psi"),
        ("20 °C", "0.3 ΔK", "20.3 °C"),
        ("20 °C", "0.9 Δ°F", "68.9 °F"),
    ] {
        let band = limits(Some(low), None);
        assert_eq!(
            guarded(&band, quantity(value), quantity(width)),
            Verdict::In,
            "{value}"
        );
    }
}

fn instrument(more: &str) -> Instrument {
    let text = format!(
        "register:\n  - {{ id: a, kind: b, name: C, serial: d, range: {{ from: 0 V, to: 60 V }}, resolution: 0.01 V, calibrated: 2026-01-01, due: 2027-01-01{more} }}\n"
    );
    register(&text)
        .unwrap_or_else(|report| panic!("{}", report.render()))
        .remove(0)
}

#[test]
fn the_uncertainty_is_the_stated_one_at_the_reading() {
    for (more, at, expanded) in [
        (", uncertainty: 0.05 V", "12 V", "0.05 V"),
        (", uncertainty: 0.05 V", "12000 mV", "50 mV"),
        (
            ", uncertainty: { of_reading: 0.5 %, plus: 0.02 V }",
            "12 V",
            "0.08 V",
        ),
        (
            ", uncertainty: { of_reading: 0.5 %, plus: 0.02 V }",
            "-12 V",
            "0.08 V",
        ),
        (", uncertainty: { plus: 0.03 V, k: 3 }", "12 V", "0.02 V"),
        (", uncertainty: { plus: 0.01 V, k: 1 }", "12 V", "0.02 V"),
        // 0.01 V / √3, alone and as the least that a certificate can promise.
        ("", "12 V", "0.00577350269189626 V"),
        (", uncertainty: 0.001 V", "12 V", "0.00577350269189626 V"),
        (
            ", uncertainty: { of_reading: 0.5 % }",
            "0 V",
            "0.00577350269189626 V",
        ),
    ] {
        let found = instrument(more)
            .expanded_at(quantity(at))
            .expect("an uncertainty");
        assert_eq!(found.to_string(), expanded, "{more} at {at}");
    }
    assert_eq!(
        instrument(", uncertainty: { of_reading: 0.5 %, plus: 0.02 V }").uncertainty_said(),
        "0.5 % of the reading + 0.02 V, k = 2"
    );
    assert_eq!(
        instrument("").uncertainty_said(),
        "none stated, its resolution of 0.01 V alone"
    );
}

/// Half of the band at most goes to its guards: a quarter of the tolerance between two limits, half of the
/// room below one.
#[test]
fn an_instrument_is_fit_when_its_guards_leave_half_of_the_band() {
    for (low, high, uncertainty, needs) in [
        (Some("12 V"), Some("13 V"), "0.25 V", None),
        (Some("12 V"), Some("13 V"), "0.26 V", Some("0.25 V")),
        (None, Some("0.1 V"), "0.05 V", None),
        (None, Some("0.1 V"), "0.06 V", Some("0.05 V")),
        (Some("12 V"), None, "1 V", None),
        // The instrument ends at 60 V, and what is plausible at 18 V.
        (Some("17 V"), None, "0.5 V", None),
        (Some("17 V"), None, "0.6 V", Some("0.5 V")),
        // A limit beyond what can be read guards nothing.
        (Some("-5 V"), Some("18 V"), "9 V", None),
        (None, None, "50 V", None),
        (Some("13 V"), Some("12 V"), "5 V", None),
    ] {
        let instrument = instrument(&format!(", uncertainty: {uncertainty}"));
        let found = fit(
            &limits(low, high),
            (quantity("0 V"), quantity("18 V")),
            &instrument,
        );
        let told = found.err().map(|coarse| coarse.needs);
        let same = match (told, needs.map(quantity)) {
            (Some(a), Some(b)) => (a.si() - b.si()).abs() < 1e-12,
            (a, b) => a.is_none() && b.is_none(),
        };
        assert!(same, "{low:?} {high:?} {uncertainty}: {told:?}");
    }
}

fn volts() -> impl Strategy<Value = Quantity> {
    let symbols = prop::sample::select(vec!["V", "mV"]);
    // Whole hundredths, so that values meet limits exactly as often as they do on a meter.
    (-3000..3000_i32, symbols).prop_map(|(hundredths, symbol)| {
        let volt = Quantity::new(f64::from(hundredths) / 100.0, Unit::find("V").expect("a unit"));
        volt.and_then(|volt| volt.to(Unit::find(symbol).expect("a unit")))
            .expect("finite")
    })
}

fn widths() -> impl Strategy<Value = Quantity> {
    (0..500_i32)
        .prop_map(|n| Quantity::new(f64::from(n) / 100.0, Unit::find("V").expect("a unit")).expect("finite"))
}

fn bands() -> impl Strategy<Value = Limits> {
    (prop::option::of(volts()), prop::option::of(volts())).prop_map(|(low, high)| Limits {
        low,
        high,
        one_of: None,
        origin: String::new(),
    })
}

proptest! {
    #[test]
    fn guarded_acceptance_accepts_less_and_refuses_the_same(band in bands(), value in volts(), width in widths()) {
        let plain = band.judge(&Value::Quantity(value));
        let found = guarded(&band, value, width);
        prop_assert!(found == plain || (plain == Verdict::In && found == Verdict::Undecided), "{plain:?} {found:?}");
    }

    #[test]
    fn a_wider_guard_never_accepts_more(band in bands(), value in volts(), a in widths(), b in widths()) {
        let (narrow, wide) = if a.value() <= b.value() { (a, b) } else { (b, a) };
        if guarded(&band, value, wide) == Verdict::In {
            prop_assert_eq!(guarded(&band, value, narrow), Verdict::In);
        }
    }

    #[test]
    fn without_uncertainty_it_is_the_plain_rule(band in bands(), value in volts()) {
        let nothing = quantity("0 V");
        prop_assert_eq!(guarded(&band, value, nothing), band.judge(&Value::Quantity(value)));
    }

    #[test]
    fn what_is_in_is_in_with_more_than_97_7_percent(low in volts(), value in volts(), width in widths()) {
        let band = Limits { low: Some(low), high: None, one_of: None, origin: String::new() };
        if width.si() > 0.0 && guarded(&band, value, width) == Verdict::In {
            let sure = conformity(value.si(), width.si() / 2.0, Some(low.si()), None);
            prop_assert!(sure > 0.9772, "{sure}");
        }
    }

    #[test]
    fn an_instrument_that_is_fit_can_accept_something(low in volts(), high in volts(), width in 1..500_i32) {
        let instrument = instrument(&format!(", uncertainty: {} mV", width * 10));
        let band = Limits { low: Some(low), high: Some(high), one_of: None, origin: String::new() };
        let plausible = (quantity("-30 V"), quantity("60 V"));
        if low.si() < high.si() && low.si() >= 0.0 && fit(&band, plausible, &instrument).is_ok() {
            let middle = Quantity::new((low.si() + high.si()) / 2.0, Unit::find("V").expect("a unit")).expect("finite");
            let width = instrument.expanded_at(middle).expect("an uncertainty");
            prop_assert_eq!(guarded(&band, middle, width), Verdict::In);
        }
    }
}
