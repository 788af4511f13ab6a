//! A bottle's state against CoolProp, at its knee, and what its pressure does not tell.
use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused, run_typed};

const COOLPROP: &str = "CoolProp 8.0.0 HEOS at constant density";

#[test]
pub(in crate::calc) fn rows() {
    let pressure = |inputs, bar| {
        number(
            inputs,
            "pressure",
            (bar * 100.0, "kPa"),
            0.051,
            Kind::Independent,
            COOLPROP,
        )
    };
    let full = |inputs, celsius| {
        number(
            inputs,
            "full_at",
            (celsius, "°C"),
            5e-4,
            Kind::Independent,
            COOLPROP,
        )
    };
    let phase = |inputs, word| exact(inputs, "phase", Text(word), Kind::Independent, COOLPROP);
    let rows: &[Row] = &[
        pressure("temperature=25 °C; fill=0.68 kg/L", 56.518),
        pressure("temperature=35 °C; fill=0.68 kg/L", 78.196),
        pressure("temperature=40 °C; fill=680 g/L", 94.680),
        pressure("temperature=131 °F; fill=0.68 kg/L", 145.253),
        pressure("temperature=65 °C; fill=0.68 kg/L", 179.575),
        pressure("temperature=55 °C; fill=0.75 kg/L", 186.752),
        pressure("temperature=60 °C; fill=0.667 kg/L", 156.400),
        full("temperature=20 °C; fill=0.68 kg/L", 30.598),
        full("temperature=20 °C; fill=0.75 kg/L", 24.232),
        full("temperature=20 °C; fill=0.80 kg/L", 17.994),
        phase("temperature=20 °C; fill=0.68 kg/L", "two-phase"),
        phase("temperature=35 °C; fill=0.68 kg/L", "liquid"),
        phase("temperature=40 °C; fill=0.68 kg/L", "supercritical"),
        phase("temperature=35 °C; fill=0.2 kg/L", "vapour"),
        number(
            "temperature=20 °C; fill=0.68 kg/L",
            "liquid_share",
            (0.961062, "1"),
            1e-5,
            Kind::Independent,
            "1 - quality, CoolProp 8.0.0",
        ),
        number(
            "temperature=20 °C; fill=0.68 kg/L",
            "liquid_volume_share",
            (0.832404, "1"),
            1e-5,
            Kind::Independent,
            "lever rule on CoolProp 8.0.0 densities",
        ),
        number(
            "pressure_gauge=4951.184 kPa; fill=0.68 kg/L",
            "temperature",
            (20.0, "°C"),
            1e-5,
            Kind::Independent,
            COOLPROP,
        ),
        number(
            "pressure=5052.50906 kPa; fill=0.68 kg/L",
            "temperature",
            (20.0, "°C"),
            1e-5,
            Kind::Independent,
            COOLPROP,
        ),
        number(
            "temperature=35 °C; fill=0.68 kg/L",
            "liquid_share",
            (1.0, "1"),
            1e-15,
            Kind::Property,
            "liquid-full",
        ),
    ];
    check("bottle-state", rows);
}

/// Warmer is never lower, more is never lower; at the full temperature the shares reach 1 and the pressure is
/// that of saturation from both sides.
#[test]
fn rises_and_joins() {
    let value = |inputs: String, output| {
        let outcome = run_typed("bottle-state", &inputs).unwrap_or_else(|error| panic!("{inputs}: {error}"));
        outcome
            .output(output)
            .and_then(crate::calc::Value::quantity)
            .unwrap()
            .value()
    };
    let mut last = 0.0;
    for celsius in -40..=65 {
        let pressure = value(format!("temperature={celsius} °C; fill=0.68 kg/L"), "pressure");
        let fuller = value(format!("temperature={celsius} °C; fill=0.70 kg/L"), "pressure");
        assert!(
            pressure > last && fuller >= pressure * (1.0 - 1e-12),
            "{celsius} °C"
        );
        last = pressure;
    }
    for fill in [0.5, 0.6, 0.68, 0.75, 0.9] {
        let full = value(format!("temperature=0 °C; fill={fill} kg/L"), "full_at");
        let at = |kelvin: f64, output| {
            value(
                format!("temperature={} °C; fill={fill} kg/L", full + kelvin),
                output,
            )
        };
        assert!((at(-1e-6, "liquid_share") - 1.0).abs() < 1e-5, "{fill}");
        assert!(
            (at(1e-6, "pressure") / at(-1e-6, "pressure") - 1.0).abs() < 1e-6,
            "{fill}"
        );
    }
}

#[test]
fn refusals() {
    refused(
        "bottle-state",
        &[
            (
                "pressure_gauge=65 bar; fill=0.68 kg/L",
                "`pressure_gauge`: found 65 bar, more than 62.89 bar at 30.6 °C, where this filling fills the bottle: the bottle is liquid-full, not warm, and no temperature can be read from its pressure",
            ),
            (
                "pressure=66 bar; fill=0.68 kg/L",
                "`pressure`: found 66 bar, more than 63.9 bar at 30.6 °C, where this filling fills the bottle: the bottle is liquid-full",
            ),
            (
                "pressure=73 bar; fill=0.68 kg/L",
                "`pressure`: found 73 bar, valid from 87.84 kPa to 7244.7 kPa (triple point to critical point; above it a bottle is liquid-full",
            ),
            (
                "pressure=50 bar; pressure_gauge=49 bar; fill=0.68 kg/L",
                "`pressure_gauge`: found 49 bar, beside a pressure: give one of them",
            ),
            (
                "pressure_gauge=60 bar; fill=0.1 kg/L",
                "`pressure_gauge`: found 60 bar, more than saturation before this filling boils dry",
            ),
            (
                "pressure_gauge=90 bar; fill=0.68 kg/L",
                "`pressure_gauge`: found 90 bar, valid",
            ),
            (
                "pressure_gauge=50 bar; temperature=20 °C; fill=0.68 kg/L",
                "`pressure_gauge`: found 50 bar, beside a temperature",
            ),
            (
                "temperature=252 °C; fill=0.1 kg/L",
                "`temperature`: found 252 °C, valid from -90.82 °C to 251.85 °C",
            ),
            ("temperature=65 °C; fill=1.1 kg/L", "`fill`: found 1.1 kg/L, "),
            (
                "temperature=20 °C; fill=1.3 kg/L",
                "`fill`: found 1.3 kg/L, valid",
            ),
            ("fill=0.68 kg/L", "`bottle-state` needs `temperature`"),
        ],
    );
}
