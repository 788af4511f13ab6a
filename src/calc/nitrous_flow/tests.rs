//! The three models against CoolProp, in order and at their limits.
use crate::calc::check::{Expected::Flag, Kind, Row, check, exact, number, refused, run_typed};

const COOLPROP: &str = "CoolProp 8.0.0 HEOS and scipy's bounded search, for a bore of 1 m² in proportion";

/// 1/√(π/4) m would be a bore of 1 m²; 2 mm have π·1e-6 m².
const A2: f64 = std::f64::consts::PI * 1e-6;

#[test]
pub(in crate::calc) fn rows() {
    let flow = |inputs, output, flux: f64| {
        number(
            inputs,
            output,
            (flux * A2, "kg/s"),
            5e-4 * flux * A2,
            Kind::Independent,
            COOLPROP,
        )
    };
    let close = |inputs, output, flux: f64| {
        number(
            inputs,
            output,
            (flux * A2, "kg/s"),
            2e-6 * flux * A2,
            Kind::Independent,
            COOLPROP,
        )
    };
    let at =
        "diameter=2 mm; coefficient=1; temperature=20 °C; pressure=saturated; back_pressure=35.36756 bar";
    let falling = "diameter=2 mm; coefficient=1; temperature=20 °C; pressure=saturated; back_pressure=35.36756 bar; when_choked=falling";
    let pressed =
        "diameter=2 mm; coefficient=1; temperature=10 °C; pressure=60 bar; back_pressure=28.0084 bar";
    let rows: &[Row] = &[
        close(at, "spi", 48785.7),
        close(at, "hem", 29123.857),
        close(at, "dyer", 38954.8),
        close(falling, "dyer", 38938.3),
        flow(
            "diameter=2 mm; coefficient=1; temperature=0 °C; pressure=saturated; back_pressure=1 bar",
            "hem",
            21869.19,
        ),
        flow(
            "diameter=2 mm; coefficient=1; temperature=30 °C; pressure=saturated; back_pressure=1 bar",
            "hem",
            32293.10,
        ),
        flow(pressed, "spi", 74749.1),
        flow(pressed, "hem", 61582.1),
        flow(pressed, "dyer", 69747.5),
        number(
            at,
            "throat_pressure",
            (3628.40, "kPa"),
            0.01,
            Kind::Independent,
            COOLPROP,
        ),
        exact(at, "choked", Flag(true), Kind::Independent, COOLPROP),
        exact(
            "diameter=2 mm; coefficient=1; temperature=20 °C; pressure=saturated; back_pressure=40 bar",
            "choked",
            Flag(false),
            Kind::Independent,
            COOLPROP,
        ),
        number(
            "diameter=1.5 mm; coefficient=0.75; temperature=0 °C; pressure=saturated; back_pressure=2.56 bar",
            "hem",
            (0.028973, "kg/s"),
            0.0003,
            Kind::Published,
            "Waxman's thesis, figure 2.20, its plateau as digitised by others to about 1 % (second-hand)",
        ),
    ];
    check("nitrous-flow", rows);
}

fn value(inputs: &str, output: &str) -> f64 {
    let outcome = run_typed("nitrous-flow", inputs).unwrap_or_else(|error| panic!("{inputs}: {error}"));
    outcome
        .output(output)
        .and_then(crate::calc::Value::quantity)
        .unwrap()
        .value()
}

/// Held, the flow never falls as the back pressure falls; HEM ≤ Dyer ≤ SPI; flow goes with the bore's area; and
/// towards equal pressures all three vanish.
#[test]
fn order_and_limits() {
    let liquid = "diameter=1 mm; coefficient=0.75; temperature=25 °C; pressure=saturated";
    let mut last = (0.0, 0.0, 0.0);
    for bar in (0..=56).rev() {
        let inputs = format!("{liquid}; back_pressure={bar} bar");
        let now = (
            value(&inputs, "spi"),
            value(&inputs, "hem"),
            value(&inputs, "dyer"),
        );
        assert!(
            now.0 > last.0 && now.1 >= last.1 && now.2 > last.2,
            "{inputs}: {now:?} after {last:?}"
        );
        assert!(now.1 <= now.2 && now.2 <= now.0, "{inputs}: {now:?}");
        last = now;
    }
    let twice = value(
        &format!("{}; back_pressure=0 bar", liquid.replace("1 mm", "2 mm")),
        "dyer",
    );
    assert!((twice / last.2 - 4.0).abs() < 1e-12);
    assert!(value(&format!("{liquid}; back_pressure=5651.79 kPa"), "dyer") < 0.01 * last.2);
    // A liquid pressed so little that it is all but saturated passes what the saturated one does.
    let pressed = value(
        "diameter=1 mm; coefficient=0.75; temperature=25 °C; pressure=5651.80 kPa; back_pressure=0 bar",
        "dyer",
    );
    assert!((pressed / last.2 - 1.0).abs() < 1e-3, "{pressed} {}", last.2);
}

#[test]
fn refusals() {
    refused(
        "nitrous-flow",
        &[
            (
                "diameter=1 mm; coefficient=0.75; temperature=40 °C; pressure=saturated; back_pressure=1 bar",
                "`temperature`: found 40 °C, valid from -89.5 °C to 36.37 °C",
            ),
            (
                "diameter=1 mm; coefficient=0.75; temperature=20 °C; pressure=45 bar; back_pressure=1 bar",
                "`pressure`: found 45 bar, 4500000 Pa lies outside 5052509 Pa to 50000000 Pa",
            ),
            (
                "diameter=1 mm; coefficient=0.75; temperature=20 °C; pressure=60 bar; back_pressure=60 bar",
                "`back_pressure`: found 60 bar, not below the 6000.0 kPa before the jet",
            ),
            (
                "diameter=1 mm; coefficient=0.75; temperature=-90 °C; pressure=saturated; back_pressure=0 bar",
                "`temperature`: found -90 °C, valid from -89.5 °C to 36.37 °C",
            ),
            (
                "diameter=1 mm; coefficient=0.75; temperature=-85 °C; pressure=500 bar; back_pressure=0 bar",
                "`temperature`: found -85 °C, from which a liquid at this pressure expands to 179.0 K",
            ),
            (
                "diameter=1 mm; coefficient=0.75; temperature=20 °C; pressure=saturated; back_pressure=0.5 bar; when_choked=falling",
                "`back_pressure`: found 0.5 bar, 50000 Pa lies outside",
            ),
            (
                "diameter=1 mm; coefficient=0.75; temperature=20 °C; pressure=wet; back_pressure=1 bar",
                "`pressure`: ",
            ),
            (
                "diameter=6 mm; coefficient=0.75; temperature=20 °C; pressure=saturated; back_pressure=1 bar",
                "`diameter`: found 6 mm, valid",
            ),
        ],
    );
}
