//! What a jet passes of liquid nitrous oxide, by three models.
use super::nitrous::flux::{Upstream, WhenChoked};
use super::nitrous::{LEMMON_SPAN, StateError};
use super::nitrous_saturation::SATURATED;
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::table::Tables;

/// Bore, liquid and back pressure to a flow.
pub static SPEC: Spec = Spec {
    id: "nitrous-flow",
    revision: 1,
    title: "Flow of liquid nitrous oxide through a jet",
    equation: "SPI = C·A·√(2·ρ1·(p1 − p2)); HEM = C·A·ρ2·√(2·(h1 − h2)) at s2 = s1, greatest over p ≥ p2; Dyer = (κ·SPI + HEM)/(1 + κ), κ = √((p1 − p2)/(p_sat − p2))",
    inputs: &[
        InputSpec::number(
            "diameter",
            "Jet bore",
            "d",
            "the bore of the jet",
            Range::new("mm", 0.2, 5.0, "jets of the trade; smaller ones clog"),
            Need::Required,
        ),
        InputSpec::number(
            "coefficient",
            "Discharge coefficient",
            "C",
            "its discharge coefficient",
            Range::new(
                "1",
                0.3,
                1.0,
                "above 1 a jet would pass more than theory; handbooks give 0.60 to 0.85",
            ),
            Need::Required,
        ),
        InputSpec::number(
            "temperature",
            "Liquid temperature",
            "T1",
            "of the liquid before the jet",
            SATURATED,
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
                    87.84,
                    50_000.0,
                    "triple point to the highest pressure of Lemmon and Span 2006",
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
        "The weights are those of the corrected form, from memory: an older printing has κ on the wrong side.",
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
        _ => error.refuse(given, "temperature"),
    })
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let upstream = upstream(given)?;
    let back_pa = given.si("back_pressure")?;
    if back_pa >= upstream.pressure_pa {
        return Err(given.refuse(
            "back_pressure",
            format!(
                "not below the {:.1} kPa before the jet: nothing flows",
                upstream.pressure_pa / 1e3
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
            WhenChoked::Held => "Dyer's mean: its HEM part is held at its greatest once choked.",
            WhenChoked::Falling => "Dyer's mean: its HEM part falls along its curve below the choking pressure.",
        }))
}

#[cfg(test)]
mod tests {
    use crate::calc::check::{Expected::Flag, Kind, Row, check, exact, number, refused, run_typed};

    const COOLPROP: &str = "CoolProp 8.0.0 HEOS and scipy's bounded search, for a bore of 1 m² in proportion";

    /// 1/√(π/4) m would be a bore of 1 m²; 2 mm have π·1e-6 m².
    const A2: f64 = std::f64::consts::PI * 1e-6;

    #[test]
    fn rows() {
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
                    "`temperature`: found 40 °C, valid from -90.82 °C to 36.37 °C",
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
                    "`temperature`: found -90 °C, 183.15 K lies outside",
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
}
