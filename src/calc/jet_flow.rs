//! What a jet passes at a pressure drop.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::quantity::Quantity;
use crate::table::Tables;

pub(super) const DENSITY: InputSpec = InputSpec::number(
    "density",
    "Density",
    "ρ",
    "of the liquid",
    Range::new(
        "kg/m3",
        600.0,
        1100.0,
        "petrol of EN 228 is 720 to 775 kg/m³ at 15 °C; alcohols and water are denser",
    ),
    Need::Required,
);
pub(super) const DIAMETER: InputSpec = InputSpec::number(
    "diameter",
    "Jet bore",
    "d",
    "the bore of the jet",
    Range::new("mm", 0.2, 5.0, "jets of the trade; smaller ones clog"),
    Need::Required,
);
pub(super) const COEFFICIENT: InputSpec = InputSpec::number(
    "coefficient",
    "Discharge coefficient",
    "C",
    "the jet's discharge coefficient",
    Range::new(
        "1",
        0.3,
        1.0,
        "above 1 a jet would pass more than theory; handbooks give 0.60 to 0.85",
    ),
    Need::Required,
);

/// Bore and drop to a flow.
pub static SPEC: Spec = Spec {
    id: "jet-flow",
    revision: 1,
    title: "Flow of a jet",
    equation: "m = C · A · √(2 · ρ · Δp); with another bore in series 1/A² = 1/A_jet² + 1/A_series²",
    inputs: &[
        DIAMETER,
        COEFFICIENT,
        InputSpec::number(
            "drop",
            "Pressure drop",
            "Δp",
            "the pressure before it less the pressure behind it",
            Range::new("kPa", 1.0, 1000.0, "fuel systems to 10 bar"),
            Need::Required,
        ),
        DENSITY,
        InputSpec::number(
            "coefficient_scatter",
            "Scatter of the coefficient",
            "",
            "how far the coefficient may be off, either way",
            Range::new("1", 0.0, 0.3, "spread of handbook and measured coefficients"),
            Need::Default("7 %"),
        ),
        InputSpec::number(
            "series",
            "Bore in series",
            "d_s",
            "the bore of another restriction in line, a solenoid's seat, taken with the same coefficient",
            Range::new("mm", 0.2, 20.0, "seats and fittings of the trade"),
            Need::Optional,
        ),
    ],
    outputs: &[
        OutputSpec::new("mass_flow", "Mass flow", "m", "at the coefficient given", "g/s"),
        OutputSpec::new(
            "volume_flow",
            "Volume flow",
            "V",
            "at the coefficient given",
            "ml/min",
        ),
        OutputSpec::new(
            "mass_flow_low",
            "Mass flow, least",
            "",
            "with the coefficient at its least",
            "g/s",
        ),
        OutputSpec::new(
            "mass_flow_high",
            "Mass flow, greatest",
            "",
            "with the coefficient at its greatest",
            "g/s",
        ),
        OutputSpec::new(
            "volume_flow_low",
            "Volume flow, least",
            "",
            "with the coefficient at its least",
            "ml/min",
        ),
        OutputSpec::new(
            "volume_flow_high",
            "Volume flow, greatest",
            "",
            "with the coefficient at its greatest",
            "ml/min",
        ),
    ],
    assumptions: &[
        "A liquid that does not boil in the jet, and a line much wider than the bore.",
        "ISO 5167 begins at bores of 12.5 mm and pipes of 50 mm: it does not cover such jets, so the coefficient is the jet maker's, or measured.",
        "Sharp-edged jets have about 0.60 to 0.65, short tubes 0.75 to 0.85 (handbook practice, from memory); the 7 % spread is that of those figures.",
    ],
    sources: &[
        Source::new(
            "orifice equation",
            "Bernoulli with a discharge coefficient",
            Mark::Computed,
        ),
        Source::new(
            "ISO 5167-2",
            "limits of use, which leave small jets out",
            Mark::Memory,
        ),
        Source::new(
            "EN 228",
            "density of petrol at 15 °C, reprint of the 2012 table (scribd.com 442769984)",
            Mark::SecondHand,
        ),
    ],
    example: &[
        ("diameter", "1.0 mm"),
        ("coefficient", "0.80"),
        ("drop", "3 bar"),
        ("density", "745 kg/m3"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`jet_flow_kg_s`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub diameter_m: f64,
    pub coefficient: f64,
    pub drop_pa: f64,
    pub density_kg_m3: f64,
    /// The bore of another restriction in line.
    pub series_m: Option<f64>,
}

/// The mass flow of a jet, in kg/s.
///
/// m = C · A · √(2 · ρ · Δp)
///
/// # Inputs
/// Bore in m (0.0002 to 0.005), coefficient (0.3 to 1), drop in Pa (1e3 to 1e6), density in kg/m³ (600 to
/// 1100), bore of another restriction in m if there is one.
///
/// # Result
/// kg/s.
///
/// # Assumptions
/// No boiling; no velocity of approach; the second restriction has the same coefficient and recovers nothing.
///
/// # Source
/// The orifice equation; rows computed in Python and held against fluids 1.3.1. ISO 5167-2 does not cover
/// such small jets.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::jet_flow::{Inputs, jet_flow_kg_s};
/// let inputs = Inputs {
///     diameter_m: 1e-3, coefficient: 0.80, drop_pa: 3e5, density_kg_m3: 745.0, series_m: None,
/// };
/// assert!((jet_flow_kg_s(inputs) - 13.2841e-3).abs() < 5e-8);
/// ```
pub fn jet_flow_kg_s(inputs: Inputs) -> f64 {
    let area_m2 = |bore_m: f64| std::f64::consts::PI * bore_m * bore_m / 4.0;
    let jet_m2 = area_m2(inputs.diameter_m);
    let through_m2 = match inputs.series_m.map(area_m2) {
        Some(series_m2) => jet_m2 * series_m2 / jet_m2.hypot(series_m2),
        None => jet_m2,
    };
    inputs.coefficient * through_m2 * (2.0 * inputs.density_kg_m3 * inputs.drop_pa).sqrt()
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let inputs = Inputs {
        diameter_m: given.si("diameter")?,
        coefficient: given.si("coefficient")?,
        drop_pa: given.si("drop")?,
        density_kg_m3: given.si("density")?,
        series_m: given.optional("series").map(Quantity::si),
    };
    let scatter = given.si("coefficient_scatter")?;
    let mass_kg_s = jet_flow_kg_s(inputs);
    let (low_kg_s, high_kg_s) = (mass_kg_s * (1.0 - scatter), mass_kg_s * (1.0 + scatter));
    let volume_m3_s = |kg_s: f64| kg_s / inputs.density_kg_m3;
    Ok(Found::new()
        .si("mass_flow", mass_kg_s)
        .si("volume_flow", volume_m3_s(mass_kg_s))
        .si("mass_flow_low", low_kg_s)
        .si("mass_flow_high", high_kg_s)
        .si("volume_flow_low", volume_m3_s(low_kg_s))
        .si("volume_flow_high", volume_m3_s(high_kg_s))
        .note("ISO 5167 does not cover jets this small: the coefficient is the jet maker's or measured, and the flow is proved by catching it."))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    const PYTHON: &str = "m = C · A · √(2 ρ Δp) in Python, held against fluids 1.3.1";

    #[test]
    pub(in crate::calc) fn rows() {
        let grams = |inputs, value, within| {
            number(
                inputs,
                "mass_flow",
                (value, "g/s"),
                within,
                Kind::Independent,
                PYTHON,
            )
        };
        let millilitres = |inputs, output, value, within| {
            number(
                inputs,
                output,
                (value, "ml/min"),
                within,
                Kind::Independent,
                PYTHON,
            )
        };
        let one_mm = "diameter=1.0 mm; coefficient=0.80; drop=3 bar; density=745 kg/m3";
        let half_mm = "diameter=0.5 mm; coefficient=0.62; drop=3 bar; density=745 kg/m3";
        let rows: &[Row] = &[
            grams(half_mm, 2.5738, 5e-5),
            millilitres(half_mm, "volume_flow", 207.29, 5e-3),
            grams(
                "diameter=0.8 mm; coefficient=0.80; drop=3 bar; density=0.745 kg/L",
                8.5019,
                5e-5,
            ),
            grams(one_mm, 13.2841, 5e-5),
            millilitres(one_mm, "volume_flow", 1069.86, 5e-3),
            grams(
                "diameter=2.0 mm; coefficient=0.62; drop=0.4 bar; density=745",
                15.0371,
                5e-5,
            ),
            grams(
                "diameter=1.5 mm; coefficient=80 %; drop=40 kPa; density=745",
                10.9140,
                5e-5,
            ),
            millilitres(one_mm, "volume_flow_low", 1069.86 * 0.93, 5e-3),
            millilitres(one_mm, "volume_flow_high", 1069.86 * 1.07, 6e-3),
        ];
        check("jet-flow", rows);
    }

    #[test]
    pub(in crate::calc) fn another_restriction_takes_its_share() {
        let same = "diameter=1.0 mm; coefficient=0.80; drop=3 bar; density=745 kg/m3; series=1.0 mm";
        let wide = "diameter=1.0 mm; coefficient=0.80; drop=3 bar; density=745 kg/m3; series=20 mm";
        let halved = "two equal bores in line share the drop, so each passes 1/√2";
        check(
            "jet-flow",
            &[
                number(
                    same,
                    "mass_flow",
                    (13.2841 / 2_f64.sqrt(), "g/s"),
                    5e-5,
                    Kind::Property,
                    halved,
                ),
                number(
                    wide,
                    "mass_flow",
                    (13.2841, "g/s"),
                    1e-4,
                    Kind::Property,
                    "a wide bore changes nothing",
                ),
            ],
        );
    }

    #[test]
    fn refusals() {
        refused(
            "jet-flow",
            &[
                (
                    "diameter=1 mm; coefficient=1.2; drop=3 bar; density=745",
                    "`coefficient`: found 1.2, valid from 0.3 to 1",
                ),
                (
                    "diameter=1 mm; coefficient=0.8; drop=58 psi; density=13,6 g/cm3",
                    "`density`: found 13.6 g/cm³, valid from 600 kg/m³",
                ),
                (
                    "diameter=30 thou; coefficient=0.8; drop=3 bar; density=745",
                    "`diameter`: found the unit `thou`, expected a length",
                ),
            ],
        );
    }
}
