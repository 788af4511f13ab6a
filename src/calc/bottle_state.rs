//! What stands in a closed bottle of nitrous oxide: pressure, phase, and when the liquid fills it.
use super::nitrous::state::{Content, Vessel, full_at_k, vessel};
use super::nitrous::{LEMMON_SPAN, StateError, saturation};
use super::nitrous_saturation::{AMBIENT, GAUGE};
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::table::Tables;

/// Temperature and filling to the state of a bottle.
pub static SPEC: Spec = Spec {
    id: "bottle-state",
    revision: 1,
    title: "State of a nitrous-oxide bottle",
    equation: "p = p_sat(T) while ρ''(T) < fill < ρ'(T), else p = ρ·R·T·(1 + δ·∂αʳ/∂δ) at ρ = fill; full at ρ'(T) = fill",
    inputs: &[
        InputSpec::number(
            "temperature",
            "Bottle temperature",
            "T",
            "of the bottle all through",
            Range::new(
                "°C",
                -90.82,
                251.85,
                "triple point to 525 K of Lemmon and Span 2006",
            ),
            Need::Optional,
        ),
        InputSpec::number(
            "fill",
            "Filling ratio",
            "ρ",
            "mass for the bottle's water capacity",
            Range::new(
                "kg/L",
                0.001,
                1.2,
                "from thin gas to the liquid near its triple point",
            ),
            Need::Required,
        ),
        GAUGE,
        AMBIENT,
    ],
    outputs: &[
        OutputSpec::new("pressure", "Pressure, absolute", "p", "absolute", "kPa"),
        OutputSpec::new(
            "pressure_gauge",
            "Gauge pressure",
            "p_g",
            "what a gauge reads",
            "kPa",
        ),
        OutputSpec::new(
            "temperature",
            "Temperature",
            "T",
            "as given, or as the gauge tells it",
            "°C",
        ),
        OutputSpec::words(
            "phase",
            "Phase",
            "two-phase, liquid, vapour or supercritical",
            &["two-phase", "liquid", "vapour", "supercritical"],
        ),
        OutputSpec::new(
            "liquid_share",
            "Liquid, of the mass",
            "",
            "the liquid's share of the mass; not given where liquid and vapour are one",
            "1",
        ),
        OutputSpec::new(
            "liquid_volume_share",
            "Liquid, of the volume",
            "",
            "the liquid's share of the room",
            "1",
        ),
        OutputSpec::new(
            "full_at",
            "Liquid-full at",
            "",
            "where the liquid fills the bottle; not given for a filling that never does",
            "°C",
        ),
    ],
    assumptions: &[
        "Pure nitrous oxide without air, one temperature throughout, a bottle that does not stretch.",
        "A temperature is read from a gauge only while liquid and vapour stand together.",
        "The relief disc may open before the pressure that is given.",
    ],
    sources: &[
        LEMMON_SPAN,
        Source::new("CoolProp 8.0.0", "HEOS backend, the check rows", Mark::Computed),
    ],
    example: &[("temperature", "20 °C"), ("fill", "0.68 kg/L")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`bottle_state`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub temperature_k: f64,
    pub fill_kg_m3: f64,
}

/// The state of a closed bottle.
///
/// p = p_sat(T) while ρ''(T) < fill < ρ'(T), else p(T, ρ = fill)
///
/// # Inputs
/// Temperature in K (182.33 to 525), filling in kg/m³ (1 to 1200).
///
/// # Result
/// Absolute pressure in Pa, the phase, and the liquid's shares of mass and room.
///
/// # Assumptions
/// Pure nitrous oxide in a rigid bottle of one temperature.
///
/// # Source
/// Lemmon and Span 2006; rows computed with CoolProp 8.0.0.
///
/// # Errors
/// Outside the equation's range, above all a pressure above 50 MPa.
///
/// # Example
/// ```
/// use witnessmark::calc::bottle_state::{Inputs, bottle_state};
/// let found = bottle_state(Inputs { temperature_k: 328.15, fill_kg_m3: 680.0 }).unwrap();
/// assert!((found.pressure_pa - 14_525_300.0).abs() < 100.0);
/// ```
pub fn bottle_state(inputs: Inputs) -> Result<Vessel, StateError> {
    vessel(inputs.temperature_k, inputs.fill_kg_m3)
}

/// The temperature that the gauge tells, refused where it tells none.
fn told_by_gauge_k(given: &Given, fill_kg_m3: f64) -> Result<f64, CalcError> {
    let refuse = |error: StateError| error.refuse(given, "pressure_gauge");
    let pressure_pa = given.si("pressure_gauge")? + given.si("ambient_pressure")?;
    let line = saturation::at_pressure(pressure_pa).map_err(refuse)?;
    if fill_kg_m3 >= line.liquid_kg_m3 {
        return Err(given.refuse(
            "pressure_gauge",
            "more than saturation before this filling fills the bottle: the bottle is liquid-full, not warm, and no temperature can be read from its gauge. Keep away, let it cool, weigh it",
        ));
    }
    if fill_kg_m3 <= line.vapour_kg_m3 {
        return Err(given.refuse(
            "pressure_gauge",
            "more than saturation before this filling boils dry: no liquid is left, and no temperature is read from the gauge",
        ));
    }
    Ok(line.temperature_k)
}

fn temperature_k(given: &Given, fill_kg_m3: f64) -> Result<f64, CalcError> {
    match (given.optional("temperature"), given.optional("pressure_gauge")) {
        (Some(_), Some(_)) => Err(given.refuse("pressure_gauge", "beside a temperature: give one of them")),
        (None, Some(_)) => told_by_gauge_k(given, fill_kg_m3),
        _ => given.si("temperature"),
    }
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let fill_kg_m3 = given.si("fill")?;
    let temperature_k = temperature_k(given, fill_kg_m3)?;
    let refuse = |error: StateError| error.refuse(given, "fill");
    let state = bottle_state(Inputs {
        temperature_k,
        fill_kg_m3,
    })
    .map_err(refuse)?;
    let mut found = Found::new()
        .si("pressure", state.pressure_pa)
        .si(
            "pressure_gauge",
            state.pressure_pa - given.si("ambient_pressure")?,
        )
        .si("temperature", temperature_k)
        .text("phase", state.content.word());
    if let (Some(of_mass), Some(of_room)) = (state.liquid_mass_share, state.liquid_volume_share) {
        found = found
            .si("liquid_share", of_mass)
            .si("liquid_volume_share", of_room);
    }
    let full = full_at_k(fill_kg_m3).map_err(refuse)?;
    if let Some(kelvin) = full {
        found = found.si("full_at", kelvin);
    }
    Ok(noted(found, &state, fill_kg_m3, full.is_some()))
}

fn noted(found: Found, state: &Vessel, fill_kg_m3: f64, fills: bool) -> Found {
    found
        .note_if(
            state.content == Content::Liquid,
            "The bottle is liquid-full: its pressure is far above saturation and climbs by bars for each degree. Keep away, let it cool, then have it weighed and put right.",
        )
        .note_if(
            state.content == Content::Supercritical,
            "Above 36.4 °C there is no liquid and no vapour, and the pressure follows the filling.",
        )
        .note_if(
            fill_kg_m3 > 680.0 * (1.0 + 1e-9),
            "More than the 0.68 kg/L that 49 CFR 173.304a allows (second-hand).",
        )
        .note_if(!fills, "This filling never fills the bottle with liquid: warmed, it boils dry or passes the critical point.")
}

#[cfg(test)]
pub(super) mod tests {
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
            let outcome =
                run_typed("bottle-state", &inputs).unwrap_or_else(|error| panic!("{inputs}: {error}"));
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
                    "`pressure_gauge`: found 65 bar, more than saturation before this filling fills the bottle: the bottle is liquid-full, not warm",
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
}
