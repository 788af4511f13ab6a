//! Whatever the numbers, each function gives a finite answer or refuses.
use proptest::prelude::*;

use super::flux::{Upstream, WhenChoked};
use super::saturation::{self, Pair};
use super::{StateError, state};

/// Mostly within the equation, sometimes far outside, sometimes no number at all.
fn number(low: f64, high: f64) -> impl Strategy<Value = f64> {
    prop_oneof![8 => low..high, 1 => any::<f64>(), 1 => prop::sample::select(vec![0.0, low, high, f64::NAN, f64::INFINITY])]
}

fn finite(what: &str, found: Result<f64, StateError>) {
    if let Ok(value) = found {
        assert!(value.is_finite() && value >= 0.0, "{what}: {value}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn answers_are_finite_or_refused(
        kelvin in number(182.33, 309.52),
        hot_k in number(182.33, 525.0),
        pa in number(87_840.0, 7_244_700.0),
        pressed_pa in number(5e5, 50e6),
        back_pa in number(0.0, 7e6),
        fill in number(1.0, 1240.0),
    ) {
        finite("saturation", saturation::at_temperature(kelvin).map(|found| found.pressure_pa));
        finite("both phases", Pair::at_temperature(kelvin).map(|found| found.pressure_slope()));
        finite("temperature", saturation::at_pressure(pa).map(|found| found.temperature_k));
        finite("vessel", state::vessel(hot_k, fill).map(|found| found.pressure_pa));
        finite("full", state::full_at_k(fill).map(|found| found.unwrap_or(0.0)));
        for upstream in [Upstream::saturated(kelvin), Upstream::pressed(kelvin, pressed_pa)].into_iter().flatten() {
            finite("critical", upstream.critical().map(|found| found.flux_kg_m2_s));
            finite("HEM", upstream.held(back_pa));
            finite("Dyer", upstream.dyer(back_pa, WhenChoked::Held));
            finite("Dyer, falling", upstream.dyer(back_pa, WhenChoked::Falling));
        }
    }

    /// Within the range of jets in use nothing is refused for want of a solution.
    #[test]
    fn the_search_always_ends(kelvin in 200.0..309.52, beyond_pa in 0.0..40e6, share in 0.0..1.0) {
        let lowest_pa = saturation::at_temperature(kelvin).unwrap().pressure_pa;
        let fresh = Upstream::pressed(kelvin, lowest_pa + beyond_pa);
        prop_assert!(!matches!(fresh, Err(StateError::NotConverged)), "{kelvin} K, {beyond_pa} Pa beyond");
        for upstream in [Upstream::saturated(kelvin), fresh].into_iter().flatten() {
            let choked = upstream.critical();
            prop_assert!(!matches!(choked, Err(StateError::NotConverged)), "{kelvin} K, {beyond_pa} Pa");
            let back_pa = share * upstream.pressure_pa;
            let dyer = upstream.dyer(back_pa, WhenChoked::Held);
            prop_assert!(!matches!(dyer, Err(StateError::NotConverged)), "{kelvin} K, {beyond_pa} Pa to {back_pa} Pa");
        }
    }
}
