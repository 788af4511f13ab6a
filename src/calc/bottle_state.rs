//! What stands in a closed bottle of nitrous oxide: pressure, phase, and when the liquid fills it.
use super::nitrous::state::{Content, Vessel, full_at_k, vessel};
use super::nitrous::{LEMMON_SPAN, StateError, saturation};
use super::nitrous_saturation::{AMBIENT, GAUGE, PRESSURE};
use super::{
    CalcError, Calculator, Found, Given, InputSpec, Mark, Need, Note, OutputSpec, Range, Source, Spec,
};
use crate::note;
use crate::quantity::Quantity;
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
            "of the bottle all through; a pressure instead tells it only while liquid and vapour stand together",
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
        PRESSURE,
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
        "A temperature is read from a pressure only while liquid and vapour stand together: a liquid-full bottle's pressure is far above saturation, and would read as a warmth that is not there.",
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

/// The temperature that the pressure given as `name` tells, refused where it tells none.
fn told_by_k(given: &Given, name: &'static str, fill_kg_m3: f64) -> Result<f64, CalcError> {
    let refuse = |error: StateError| error.refuse(given, name);
    let air_pa = match name {
        "pressure_gauge" => given.si("ambient_pressure")?,
        _ => 0.0,
    };
    let line = saturation::at_pressure(given.si(name)? + air_pa).map_err(refuse)?;
    if fill_kg_m3 >= line.liquid_kg_m3 {
        return Err(given.refuse(name, liquid_full(given, name, fill_kg_m3, air_pa)?));
    }
    if fill_kg_m3 <= line.vapour_kg_m3 {
        return Err(given.refuse(
            name,
            "more than saturation before this filling boils dry: no liquid is left, and no temperature is read from its pressure",
        ));
    }
    Ok(line.temperature_k)
}

/// Why a liquid-full bottle's pressure tells no temperature, with the pressure at which the liquid fills it.
fn liquid_full(given: &Given, name: &'static str, fill_kg_m3: f64, air_pa: f64) -> Result<Note, CalcError> {
    let refuse = |error: StateError| error.refuse(given, name);
    let knee = match full_at_k(fill_kg_m3).map_err(refuse)? {
        Some(kelvin) => Some((kelvin, saturation::at_temperature(kelvin).map_err(refuse)?)),
        None => None,
    };
    let unit = given.quantity(name)?.unit();
    let at = knee.and_then(|(kelvin, line)| {
        let pressure = Quantity::from_si(line.pressure_pa - air_pa, unit).ok()?;
        Some((pressure.shown(4), format!("{:.1}", kelvin - 273.15)))
    });
    Ok(match at {
        Some((pressure, celsius)) => note!(
            "more than {pressure} at {temperature} °C, where this filling fills the bottle: the bottle is liquid-full, not warm, and no temperature can be read from its pressure. Keep away, let it cool, weigh it",
            pressure = pressure,
            temperature = celsius
        ),
        None => note!(
            "more than saturation before this filling fills the bottle: the bottle is liquid-full, not warm, and no temperature can be read from its pressure. Keep away, let it cool, weigh it"
        ),
    })
}

/// The temperature given, or told by the one pressure that was given instead.
fn temperature_k(given: &Given, fill_kg_m3: f64) -> Result<f64, CalcError> {
    let first = given.one_of(["temperature", "pressure", "pressure_gauge"])?;
    match first {
        "temperature" => given.si(first),
        pressure => told_by_k(given, pressure, fill_kg_m3),
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
pub(super) mod tests;
