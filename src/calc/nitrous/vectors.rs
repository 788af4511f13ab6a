//! The equation against `tests/vectors/nitrous/vectors.csv`, which CoolProp computed with the same equation by its
//! own means, and against the rows that NIST prints.
use super::flux::{Upstream, WhenChoked};
use super::helmholtz::{Isotherm, MOLAR_MASS_KG_MOL};
use super::saturation::{self, Pair};
use super::state;

const VECTORS: &str = include_str!("../../../tests/vectors/nitrous/vectors.csv");

fn rows<const N: usize>(kind: &str) -> Vec<[f64; N]> {
    let of_kind = VECTORS
        .lines()
        .filter_map(|line| line.strip_prefix(kind)?.strip_prefix(','));
    let rows: Vec<[f64; N]> = of_kind
        .map(|line| {
            let numbers: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            numbers
                .try_into()
                .unwrap_or_else(|_| panic!("{kind} {line}: not {N} numbers"))
        })
        .collect();
    assert!(rows.len() >= 8, "only {} rows of {kind}", rows.len());
    rows
}

#[track_caller]
fn near(what: &str, found: f64, expected: f64, relative: f64) {
    let off = (found / expected - 1.0).abs();
    assert!(
        off <= relative,
        "{what}: found {found}, CoolProp {expected}, off by {off:.2e}"
    );
}

fn upstream(kelvin: f64, pa: f64) -> Upstream {
    let found = if pa == 0.0 {
        Upstream::saturated(kelvin)
    } else {
        Upstream::pressed(kelvin, pa)
    };
    found.unwrap_or_else(|error| panic!("{kelvin} K, {pa} Pa: {error}"))
}

#[test]
fn the_vectors_say_who_computed_them() {
    assert!(VECTORS.starts_with("# CoolProp 8.0.0, HEOS, N2O"));
}

#[test]
fn single_phases() {
    for [kelvin, mol_m3, pa, h, s, cv, w] in rows("point") {
        let phase = Isotherm::new(kelvin).phase(mol_m3 * MOLAR_MASS_KG_MOL);
        let at = format!("{kelvin} K, {mol_m3} mol/m³");
        near(&format!("p at {at}"), phase.pressure_pa, pa, 1e-9);
        near(
            &format!("h at {at}"),
            phase.enthalpy_j_kg * MOLAR_MASS_KG_MOL,
            h,
            1e-9,
        );
        near(
            &format!("s at {at}"),
            phase.entropy_j_kg_k * MOLAR_MASS_KG_MOL,
            s,
            1e-9,
        );
        near(
            &format!("cv at {at}"),
            phase.heat_capacity_j_kg_k * MOLAR_MASS_KG_MOL,
            cv,
            1e-9,
        );
        near(&format!("w at {at}"), phase.sound_squared(kelvin).sqrt(), w, 1e-6);
    }
}

#[test]
fn saturated_phases() {
    for [kelvin, pa, liquid, vapour, h_l, h_v, s_l, s_v] in rows("saturation") {
        let pair = Pair::at_temperature(kelvin).unwrap();
        near(&format!("p at {kelvin} K"), pair.pressure_pa, pa, 1e-9);
        near(
            &format!("liquid at {kelvin} K"),
            pair.liquid.density_kg_m3,
            liquid,
            1e-8,
        );
        near(
            &format!("vapour at {kelvin} K"),
            pair.vapour.density_kg_m3,
            vapour,
            1e-8,
        );
        let enthalpy_off = (pair.liquid.enthalpy_j_kg - h_l)
            .abs()
            .max((pair.vapour.enthalpy_j_kg - h_v).abs());
        let entropy_off = (pair.liquid.entropy_j_kg_k - s_l)
            .abs()
            .max((pair.vapour.entropy_j_kg_k - s_v).abs());
        assert!(
            enthalpy_off < 0.01 && entropy_off < 1e-4,
            "{kelvin} K: {enthalpy_off} J/kg, {entropy_off} J/(kg·K)"
        );
        let back = saturation::at_pressure(pa).unwrap();
        assert!(
            (back.temperature_k - kelvin).abs() < 1e-6,
            "{pa} Pa: {} K, CoolProp {kelvin} K",
            back.temperature_k
        );
    }
}

#[test]
fn isochores() {
    for [kelvin, fill, pa, quality] in rows("isochore") {
        let vessel = state::vessel(kelvin, fill).unwrap();
        near(&format!("{kelvin} K, {fill} kg/m³"), vessel.pressure_pa, pa, 1e-8);
        if quality >= 0.0 {
            let share = vessel.liquid_mass_share.unwrap();
            assert!(
                (1.0 - share - quality).abs() < 1e-7,
                "{kelvin} K, {fill} kg/m³: {share}"
            );
            assert_eq!(vessel.content, state::Content::TwoPhase);
        } else {
            assert_ne!(
                vessel.content,
                state::Content::TwoPhase,
                "{kelvin} K, {fill} kg/m³"
            );
        }
    }
}

#[test]
fn liquid_full_temperatures() {
    for [fill, kelvin] in rows("full") {
        let found = state::full_at_k(fill).unwrap().unwrap();
        assert!(
            (found - kelvin).abs() < 1e-7,
            "{fill} kg/m³: {found} K, CoolProp {kelvin} K"
        );
    }
    for dry in [100.0, 450.0, 1300.0] {
        assert_eq!(state::full_at_k(dry), Ok(None));
    }
}

#[test]
fn pressed_liquids() {
    for [kelvin, pa, density] in rows("pressed") {
        near(
            &format!("{kelvin} K, {pa} Pa"),
            state::liquid_kg_m3(kelvin, pa).unwrap(),
            density,
            1e-8,
        );
    }
}

#[test]
fn critical_fluxes() {
    for [kelvin, pa, flux, throat_pa, on_line] in rows("critical") {
        let found = upstream(kelvin, pa).critical().unwrap();
        near(
            &format!("flux from {kelvin} K, {pa} Pa"),
            found.flux_kg_m2_s,
            flux,
            1e-7,
        );
        near(
            &format!("throat from {kelvin} K, {pa} Pa"),
            found.pressure_pa,
            throat_pa,
            1e-4,
        );
        assert_eq!(
            f64::from(u8::from(found.at_saturation)),
            on_line,
            "from {kelvin} K, {pa} Pa"
        );
    }
}

#[test]
fn fluxes_to_a_back_pressure() {
    for [kelvin, pa, back_pa, spi, hem, dyer] in rows("flux") {
        let (before, at) = (
            upstream(kelvin, pa),
            format!("{kelvin} K, {pa} Pa to {back_pa} Pa"),
        );
        near(&format!("SPI {at}"), before.incompressible(back_pa), spi, 1e-7);
        near(
            &format!("HEM {at}"),
            before.equilibrium(back_pa).unwrap(),
            hem,
            1e-6,
        );
        near(
            &format!("Dyer {at}"),
            before.dyer(back_pa, WhenChoked::Falling).unwrap(),
            dyer,
            1e-6,
        );
    }
}

/// NIST Chemistry WebBook, fluid properties, saturation of nitrous oxide, as another project's table of 100 to 1000
/// psia carries it: psia, °C, liquid and vapour kg/m³. Each holds to half its last digit.
#[test]
fn nist_prints_the_same() {
    let printed = [
        ("30", "-75.566", "1191.8", "5.7942"),
        ("100", "-48.375", "1104.1", "18.065"),
        ("200", "-28.578", "1032.3", "35.660"),
        ("300", "-15.190", "977.82", "54.136"),
        ("400", "-4.7561", "930.53", "73.976"),
        ("500", "3.9164", "886.59", "95.679"),
        ("600", "11.394", "843.73", "119.92"),
        ("700", "17.992", "800.01", "147.77"),
        ("740", "20.431", "781.78", "160.31"),
        ("780", "22.770", "762.80", "173.92"),
    ];
    let half =
        |text: &str| 0.5 * 0.1_f64.powi(text.split_once('.').map_or(0, |(_, digits)| digits.len() as i32));
    for (psia, celsius, liquid, vapour) in printed {
        let found = saturation::at_pressure(psia.parse::<f64>().unwrap() * 6_894.757_293_168).unwrap();
        let columns = [
            (found.temperature_k - 273.15, celsius),
            (found.liquid_kg_m3, liquid),
            (found.vapour_kg_m3, vapour),
        ];
        for (value, text) in columns {
            let off = (value - text.parse::<f64>().unwrap()).abs();
            assert!(
                off <= half(text) * 1.01,
                "{psia} psia: {value}, NIST prints {text}"
            );
        }
    }
}

/// Every hundredth of a kelvin the search ends, and both conditions of equilibrium hold.
#[test]
fn saturation_is_an_equilibrium_everywhere() {
    let mut last = 0.0;
    for step in 0..=12_719 {
        let kelvin = (182.33 + 0.01 * f64::from(step)).min(309.52);
        let pair = Pair::at_temperature(kelvin).unwrap_or_else(|error| panic!("{kelvin} K: {error}"));
        let gibbs = |phase: &super::helmholtz::Phase| phase.enthalpy_j_kg - kelvin * phase.entropy_j_kg_k;
        let unequal = (gibbs(&pair.liquid) - gibbs(&pair.vapour)).abs();
        assert!(
            unequal < 1e-6,
            "{kelvin} K: the Gibbs energies differ by {unequal} J/kg"
        );
        near(
            &format!("liquid at {kelvin} K"),
            pair.liquid.pressure_pa,
            pair.pressure_pa,
            1e-8,
        );
        near(
            &format!("vapour at {kelvin} K"),
            pair.vapour.pressure_pa,
            pair.pressure_pa,
            1e-11,
        );
        assert!(pair.liquid.density_kg_m3 > pair.vapour.density_kg_m3 && pair.pressure_pa > last);
        last = pair.pressure_pa;
    }
}

/// Liquid stays slower than its own sound up to the saturation line, which `critical` relies on.
#[test]
fn liquid_does_not_choke_before_it_boils() {
    for kelvin in (200..=305).step_by(5).chain([307, 308, 309]).map(f64::from) {
        let lowest_pa = saturation::at_temperature(kelvin).unwrap().pressure_pa;
        for share in [0.001, 0.01, 0.05, 0.2, 0.5, 1.0] {
            let pa = lowest_pa + share * (50e6 - lowest_pa);
            let before = upstream(kelvin, pa);
            let Ok(line) = saturation::at_pressure(before.boils_pa()) else {
                continue;
            };
            let pair = Pair::at_temperature(line.temperature_k).unwrap();
            let speed_squared = 2.0 * (before.liquid.enthalpy_j_kg - pair.liquid.enthalpy_j_kg);
            let sound_squared = pair.liquid.sound_squared(line.temperature_k);
            assert!(
                speed_squared < sound_squared,
                "{kelvin} K, {pa} Pa: {speed_squared} {sound_squared}"
            );
        }
    }
}

/// The saturation line is a candidate: no flux anywhere on the expansion exceeds the greatest.
#[test]
fn nothing_passes_more_than_the_critical_flux() {
    let mut on_line = 0;
    for kelvin in [
        225.0, 253.15, 273.15, 283.15, 293.15, 303.15, 308.15, 309.0, 309.5, 309.52,
    ] {
        let lowest_pa = saturation::at_temperature(kelvin).unwrap().pressure_pa;
        for beyond_pa in [0.0, 1.0, 1e3, 1e5, 3e5, 1e6, 3e6, 1e7, 4e7] {
            let before = upstream(
                kelvin,
                if beyond_pa == 0.0 {
                    0.0
                } else {
                    lowest_pa + beyond_pa
                },
            );
            let found = before
                .critical()
                .unwrap_or_else(|error| panic!("{kelvin} K, {beyond_pa} Pa: {error}"));
            on_line += usize::from(found.at_saturation);
            for step in 1..=200 {
                let back_pa = (before.pressure_pa * f64::from(step) / 200.0).max(saturation::LOWEST_PA);
                let flux = before
                    .equilibrium(back_pa)
                    .unwrap_or_else(|error| panic!("{kelvin} K to {back_pa} Pa: {error}"));
                assert!(
                    flux <= found.flux_kg_m2_s * (1.0 + 1e-7),
                    "{kelvin} K, {beyond_pa} Pa to {back_pa} Pa: {flux} over {found:?}"
                );
            }
            let reached = before.equilibrium(found.pressure_pa).unwrap();
            assert!(
                (reached / found.flux_kg_m2_s - 1.0).abs() < 1e-5,
                "{kelvin} K, {beyond_pa} Pa: {reached}, {found:?}"
            );
        }
    }
    assert!(on_line > 20, "only {on_line} stand on the line");
}

#[test]
fn outside_the_equation_is_refused() {
    for kelvin in [182.32, 309.521, -1.0, f64::NAN, f64::INFINITY] {
        assert!(saturation::at_temperature(kelvin).is_err(), "{kelvin}");
        assert!(Upstream::saturated(kelvin).is_err(), "{kelvin}");
    }
    for pa in [87_000.0, 7_245_000.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(saturation::at_pressure(pa).is_err(), "{pa}");
    }
    for (kelvin, fill) in [
        (300.0, 0.0),
        (300.0, f64::NAN),
        (525.1, 10.0),
        (182.0, 10.0),
        (300.0, 1300.0),
        (300.0, 1e9),
    ] {
        assert!(state::vessel(kelvin, fill).is_err(), "{kelvin} {fill}");
    }
    for (kelvin, pa) in [
        (293.15, 50e5),
        (293.15, 50.1e6),
        (320.0, 100e5),
        (293.15, f64::NAN),
    ] {
        assert!(state::liquid_kg_m3(kelvin, pa).is_err(), "{kelvin} {pa}");
        assert!(Upstream::pressed(kelvin, pa).is_err(), "{kelvin} {pa}");
    }
    for kelvin in [182.33, 309.52] {
        let line = saturation::at_temperature(kelvin).unwrap();
        assert!((saturation::at_pressure(line.pressure_pa).unwrap().temperature_k - kelvin).abs() < 1e-6);
    }
}
