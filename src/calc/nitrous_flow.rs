//! What a jet passes of liquid nitrous oxide, by three models.
use super::jet_flow::{COEFFICIENT, DIAMETER};
use super::nitrous::flux::{Upstream, WhenChoked};
use super::nitrous::{LEMMON_SPAN, StateError};
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::table::Tables;
use crate::to_say;

/// Bore, liquid and back pressure to a flow.
pub static SPEC: Spec = Spec {
    id: "nitrous-flow",
    revision: 1,
    title: "Flow of liquid nitrous oxide through a jet",
    equation: "SPI = C·A·√(2·ρ1·(p1 − p2)); HEM = C·A·ρ2·√(2·(h1 − h2)) at s2 = s1, greatest over p ≥ p2; Dyer = (κ·SPI + HEM)/(1 + κ), κ = √((p1 − p2)/(p_sat − p2))",
    inputs: &[
        DIAMETER,
        COEFFICIENT,
        InputSpec::number(
            "temperature",
            "Liquid temperature",
            "T1",
            "of the liquid before the jet",
            Range::new(
                "°C",
                -89.5,
                36.37,
                "from where a saturated liquid still chokes above the triple point to the critical point of Lemmon and Span 2006",
            ),
            Need::Required,
        ),
        InputSpec::new(
            "pressure",
            "Pressure before the jet, absolute",
            "p1",
            "of the liquid before the jet, absolute; `saturated` straight from a bottle",
            super::InputKind::NumberOrChoice(
                Range::new(
                    "kPa",
                    95.22,
                    50_000.0,
                    "saturation at the lowest temperature to the highest pressure of Lemmon and Span 2006",
                ),
                &["saturated"],
            ),
            Need::Required,
        ),
        InputSpec::number(
            "back_pressure",
            "Back pressure, absolute",
            "p2",
            "behind the jet, absolute",
            Range::new("kPa", 0.0, 7244.7, "from a vacuum to the critical point"),
            Need::Required,
        ),
        InputSpec::choice(
            "when_choked",
            "Dyer part once choked",
            "what the HEM part of Dyer's mean does once the flow is choked: it is held at its greatest, or falls along its curve as the model was first printed",
            &["held", "falling"],
            Need::Default("held"),
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "spi",
            "Flow without boiling (SPI)",
            "",
            "as a liquid that does not boil: too much",
            "kg/s",
        ),
        OutputSpec::new(
            "hem",
            "Flow in equilibrium (HEM)",
            "",
            "in equilibrium all the way, held once choked: the least",
            "kg/s",
        ),
        OutputSpec::new(
            "dyer",
            "Estimated flow (Dyer)",
            "",
            "Dyer's mean of the two: the estimate",
            "kg/s",
        ),
        OutputSpec::flag(
            "choked",
            "Choked",
            "yes where a lower back pressure would pass no more by HEM",
        ),
        OutputSpec::new(
            "throat_pressure",
            "Choking pressure, absolute",
            "",
            "where HEM chokes, absolute",
            "kPa",
        ),
    ],
    assumptions: &[
        "Pure liquid nitrous oxide at rest before the jet, no vapour in it, no heat on the way.",
        "Dyer's HEM part is held at its greatest once choked, unless `falling` is chosen; SPI goes on rising, so that Dyer's mean is on the high side far below the choking pressure.",
        "Printings contradict one another on Dyer's weights: an older one has κ on the wrong side. The corrected form is used, from memory; it never gives the lesser flow, which is the safe side for the petrol that must meet it.",
        "Discharge coefficients of real jets scatter by 15 to 30 %: an estimate, never a measurement.",
    ],
    sources: &[
        LEMMON_SPAN,
        Source::new(
            "Dyer and others 2007",
            "AIAA 2007-5702; corrected form as public code prints it",
            Mark::SecondHand,
        ),
        Source::new(
            "Waxman and others 2013",
            "AIAA 2013-3636, comparison of the three",
            Mark::Memory,
        ),
        Source::new("CoolProp 8.0.0", "HEOS backend, the check rows", Mark::Computed),
    ],
    example: &[
        ("diameter", "1.0 mm"),
        ("coefficient", "0.75"),
        ("temperature", "20 °C"),
        ("pressure", "saturated"),
        ("back_pressure", "100 kPa"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`nitrous_flow`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub upstream: Upstream,
    pub diameter_m: f64,
    pub coefficient: f64,
    pub back_pa: f64,
    pub when_choked: WhenChoked,
}

/// What [`nitrous_flow`] finds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Flow {
    pub spi_kg_s: f64,
    pub hem_kg_s: f64,
    pub dyer_kg_s: f64,
    pub choked: bool,
    pub throat_pa: f64,
}

/// The flow of liquid nitrous oxide through a bore by SPI, HEM and Dyer.
///
/// SPI = C·A·√(2·ρ₁·(p₁ − p₂)), HEM = C·A·ρ₂·√(2·(h₁ − h₂)) at s₂ = s₁ and its greatest over p ≥ p₂,
/// Dyer = (κ·SPI + HEM)/(1 + κ)
///
/// # Inputs
/// The liquid before the bore, diameter in m (2e-4 to 5e-3), discharge coefficient (0.3 to 1), back pressure in Pa,
/// absolute and below that before the bore.
///
/// # Result
/// kg/s, whether HEM is choked, and the pressure in Pa at which it chokes.
///
/// # Assumptions
/// Liquid at rest before the bore, no heat, no friction beyond the coefficient.
///
/// # Source
/// Dyer and others, AIAA 2007-5702, in the corrected form (second-hand); rows computed with CoolProp 8.0.0.
///
/// # Errors
/// Where the expansion would leave the equation's range.
///
/// # Example
/// ```
/// use witnessmark::calc::nitrous::flux::{Upstream, WhenChoked};
/// use witnessmark::calc::nitrous_flow::{Inputs, nitrous_flow};
/// let upstream = Upstream::saturated(273.15).unwrap();
/// let inputs = Inputs {
///     upstream, diameter_m: 1.5e-3, coefficient: 0.75, back_pa: 1e5, when_choked: WhenChoked::Held,
/// };
/// let found = nitrous_flow(inputs).unwrap();
/// assert!((found.hem_kg_s - 0.028985).abs() < 5e-7);
/// ```
pub fn nitrous_flow(inputs: Inputs) -> Result<Flow, StateError> {
    let area_m2 = std::f64::consts::PI * inputs.diameter_m * inputs.diameter_m / 4.0;
    let effective_m2 = inputs.coefficient * area_m2;
    let critical = inputs.upstream.critical()?;
    Ok(Flow {
        spi_kg_s: effective_m2 * inputs.upstream.incompressible(inputs.back_pa),
        hem_kg_s: effective_m2 * inputs.upstream.held(inputs.back_pa)?,
        dyer_kg_s: effective_m2 * inputs.upstream.dyer(inputs.back_pa, inputs.when_choked)?,
        choked: inputs.back_pa <= critical.pressure_pa,
        throat_pa: critical.pressure_pa,
    })
}

fn upstream(given: &Given) -> Result<Upstream, CalcError> {
    let temperature_k = given.si("temperature")?;
    let found = match given.optional("pressure") {
        Some(pressure) => Upstream::pressed(temperature_k, pressure.si()),
        None => Upstream::saturated(temperature_k),
    };
    found.map_err(|error| match error {
        StateError::Pressure { .. } => error.refuse(given, "pressure"),
        StateError::Temperature { found_k, .. } => given.refuse(
            "temperature",
            note!(
                "from which a liquid at this pressure expands to {found} K before it boils, colder than the triple point, where the equation ends",
                found = format!("{found_k:.1}")
            ),
        ),
        _ => error.refuse(given, "temperature"),
    })
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let upstream = upstream(given)?;
    let back_pa = given.si("back_pressure")?;
    if back_pa >= upstream.pressure_pa {
        return Err(given.refuse(
            "back_pressure",
            note!(
                "not below the {before} kPa before the jet: nothing flows",
                before = format!("{:.1}", upstream.pressure_pa / 1e3)
            ),
        ));
    }
    let when_choked = if given.is("when_choked", "falling") {
        WhenChoked::Falling
    } else {
        WhenChoked::Held
    };
    let inputs = Inputs {
        upstream,
        diameter_m: given.si("diameter")?,
        coefficient: given.si("coefficient")?,
        back_pa,
        when_choked,
    };
    let flow = nitrous_flow(inputs).map_err(|error| match error {
        StateError::Pressure { .. } => error.refuse(given, "back_pressure"),
        _ => error.refuse(given, "temperature"),
    })?;
    Ok(Found::new()
        .si("spi", flow.spi_kg_s)
        .si("hem", flow.hem_kg_s)
        .si("dyer", flow.dyer_kg_s)
        .flag("choked", flow.choked)
        .si("throat_pressure", flow.throat_pa)
        .note("An estimate: real discharge coefficients scatter by 15 to 30 %, and vapour in the line passes far less. The kit maker's table stands.")
        .note(match when_choked {
            WhenChoked::Held => to_say!("Dyer's mean: its HEM part is held at its greatest once choked."),
            WhenChoked::Falling => to_say!("Dyer's mean: its HEM part falls along its curve below the choking pressure."),
        }))
}

#[cfg(test)]
pub(super) mod tests;
