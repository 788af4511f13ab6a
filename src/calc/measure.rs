//! How far the figures lie from recomputation by other means, in the worst case and where: printed, not judged.
//!
//! `cargo test --no-default-features --lib calc::measure -- --ignored --nocapture`. The limits are held by the tests
//! beside the equation and in `hose_drop.rs`.
use super::hose_drop::friction_factor;
use super::nitrous::flux::Upstream;
use super::nitrous::helmholtz::{Isotherm, MOLAR_MASS_KG_MOL};
use super::nitrous::{saturation, state};

const VECTORS: &str = include_str!("../../tests/vectors/nitrous/vectors.csv");

fn rows(kind: &'static str) -> impl Iterator<Item = Vec<f64>> {
    VECTORS.lines().filter_map(move |line| {
        let cells = line.strip_prefix(kind)?.strip_prefix(',')?;
        Some(cells.split(',').map(|cell| cell.parse().unwrap()).collect())
    })
}

/// The worst relative difference, and where it stands.
#[derive(Default)]
struct Worst {
    off: f64,
    place: String,
    count: usize,
}

impl Worst {
    fn see(&mut self, found: f64, expected: f64, place: String) {
        let off = (found / expected - 1.0).abs();
        self.count += 1;
        if off >= self.off {
            (self.off, self.place) = (off, place);
        }
    }

    fn tell(&self, what: &str, target: &str) {
        let Worst { off, place, count } = self;
        println!("{what:<34} {count:>5} points  target {target:<8} worst {off:.1e} at {place}");
    }
}

#[test]
#[ignore = "prints a table"]
fn nitrous_oxide() {
    let mut check_points = Worst::default();
    for row in rows("point") {
        let found = Isotherm::new(row[0])
            .phase(row[1] * MOLAR_MASS_KG_MOL)
            .pressure_pa;
        check_points.see(found, row[2], format!("{} K, {} mol/m³", row[0], row[1]));
    }
    check_points.tell("pressure at the check points", "1e-9");
    let (mut pressure, mut liquid, mut vapour) = (Worst::default(), Worst::default(), Worst::default());
    for row in rows("saturation").filter(|row| (193.15..=309.02).contains(&row[0])) {
        let found = saturation::at_temperature(row[0]).unwrap();
        let place = format!("{:.2} °C", row[0] - 273.15);
        pressure.see(found.pressure_pa, row[1], place.clone());
        liquid.see(found.liquid_kg_m3, row[2], place.clone());
        vapour.see(found.vapour_kg_m3, row[3], place);
    }
    pressure.tell("saturation pressure", "1e-6");
    liquid.tell("saturated liquid density", "1e-5");
    vapour.tell("saturated vapour density", "1e-5");
    let mut isochores = Worst::default();
    for row in rows("isochore").filter(|row| row[0] <= 338.15) {
        let found = state::vessel(row[0], row[1]).unwrap().pressure_pa;
        isochores.see(
            found,
            row[2],
            format!("{:.2} °C, {} kg/m³", row[0] - 273.15, row[1]),
        );
    }
    isochores.tell("isochores to 65 °C", "1e-6");
    let mut fluxes = Worst::default();
    for row in rows("critical") {
        let upstream = match row[1] {
            0.0 => Upstream::saturated(row[0]),
            pa => Upstream::pressed(row[0], pa),
        };
        let found = upstream.unwrap().critical().unwrap().flux_kg_m2_s;
        fluxes.see(found, row[2], format!("{:.2} °C, {} Pa", row[0] - 273.15, row[1]));
    }
    fluxes.tell("critical HEM flux", "5e-4");
}

/// The Colebrook equation solved by halving, which cannot miss.
fn halved(reynolds: f64, roughness: f64) -> f64 {
    let left = |f: f64| 1.0 / f.sqrt() + 2.0 * (roughness / 3.7 + 2.51 / (reynolds * f.sqrt())).log10();
    let (mut low, mut high) = (1e-4, 1.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if left(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[test]
#[ignore = "prints a table"]
fn friction() {
    let mut worst = Worst::default();
    for exponent in 0..=60 {
        let reynolds = 2301.0 * 10_f64.powf(f64::from(exponent) / 10.0);
        for roughness in [0.0, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 0.05] {
            let (found, expected) = (friction_factor(reynolds, roughness), halved(reynolds, roughness));
            worst.see(found, expected, format!("Re {reynolds:.0}, ε/d {roughness}"));
        }
    }
    worst.tell("friction factor", "1e-8");
}
