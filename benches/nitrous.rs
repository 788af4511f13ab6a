//! What the equation of state costs: a saturation state, and the greatest two-phase flux from a liquid.
//!
//! `nitrous.py` beside this file measures the same through CoolProp in the same run, and prints the ratios.
use divan::{Bencher, black_box};
use witnessmark::calc::nitrous::flux::{Upstream, WhenChoked};
use witnessmark::calc::nitrous::saturation::{self, Pair};

fn main() {
    divan::main();
}

/// A hundred temperatures from -80 °C to 0.5 K below the critical point, so that no branch is learnt by heart.
fn temperatures_k() -> Vec<f64> {
    (0..100)
        .map(|step| 193.15 + f64::from(step) * (309.02 - 193.15) / 99.0)
        .collect()
}

/// Runs `call` once a temperature; the counter makes divan report the cost of each.
fn each(bencher: Bencher, from_k: f64, call: impl Fn(f64) -> f64 + Sync) {
    let temperatures: Vec<f64> = temperatures_k()
        .into_iter()
        .filter(|kelvin| *kelvin >= from_k)
        .collect();
    bencher
        .counter(divan::counter::ItemsCount::new(temperatures.len()))
        .bench(|| {
            temperatures
                .iter()
                .map(|kelvin| call(black_box(*kelvin)))
                .sum::<f64>()
        });
}

/// Pressure and both densities at a temperature.
#[divan::bench]
fn saturation_at_temperature(bencher: Bencher) {
    each(bencher, 0.0, |kelvin| {
        saturation::at_temperature(kelvin).map_or(f64::NAN, |found| found.liquid_kg_m3)
    });
}

/// The same with enthalpy, entropy and the derivatives of both phases.
#[divan::bench]
fn saturation_with_heat(bencher: Bencher) {
    each(bencher, 0.0, |kelvin| {
        Pair::at_temperature(kelvin).map_or(f64::NAN, |found| found.liquid.enthalpy_j_kg)
    });
}

/// Temperature and both densities at a pressure.
#[divan::bench]
fn saturation_at_pressure(bencher: Bencher) {
    let pressure = |kelvin| saturation::at_temperature(kelvin).map_or(f64::NAN, |found| found.pressure_pa);
    let pressures: Vec<f64> = temperatures_k().into_iter().map(pressure).collect();
    bencher
        .counter(divan::counter::ItemsCount::new(pressures.len()))
        .bench(|| {
            let one = |pa: &f64| {
                saturation::at_pressure(black_box(*pa)).map_or(f64::NAN, |found| found.temperature_k)
            };
            pressures.iter().map(one).sum::<f64>()
        });
}

/// From a saturated liquid: the state before the bore and the greatest flux, 0 °C to 0.5 K below the critical point.
#[divan::bench]
fn critical_flux(bencher: Bencher) {
    each(bencher, 273.15, |kelvin| {
        let greatest = Upstream::saturated(kelvin).and_then(|upstream| upstream.critical());
        greatest.map_or(f64::NAN, |found| found.flux_kg_m2_s)
    });
}

/// The same from a liquid pressed to 80 bar, and Dyer's mean with it.
#[divan::bench]
fn dyer_flux_of_a_pressed_liquid(bencher: Bencher) {
    each(bencher, 273.15, |kelvin| {
        let upstream = Upstream::pressed(kelvin, 80e5);
        upstream
            .and_then(|upstream| upstream.dyer(1e5, WhenChoked::Held))
            .unwrap_or(f64::NAN)
    });
}
