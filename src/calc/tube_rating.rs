//! What a polyamide tube may bear.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::table::Tables;

/// Diameter, wall and heat to a pressure.
pub static SPEC: Spec = Spec {
    id: "tube-rating",
    revision: 1,
    title: "Working pressure of a polyamide tube",
    equation: "p = 2 · σ · s / (D − s) / 3 · k(T), σ = 20 MPa at 20 °C",
    inputs: &[
        InputSpec::number(
            "outside",
            "Outside diameter",
            "D",
            "outside diameter",
            Range::new("mm", 3.0, 16.0, "DIN 73378 sizes for vehicles, from memory"),
            Need::Required,
        ),
        InputSpec::number(
            "wall",
            "Wall thickness",
            "s",
            "its thickness",
            Range::new("mm", 0.5, 3.0, "DIN 73378 sizes for vehicles, from memory"),
            Need::Required,
        ),
        InputSpec::number(
            "temperature",
            "Hottest temperature",
            "T",
            "the hottest the tube will be",
            Range::new("°C", -40.0, 100.0, "where the derating is known"),
            Need::Required,
        ),
    ],
    outputs: &[OutputSpec::new(
        "working",
        "Working pressure",
        "p",
        "advice: what is printed on the tube comes first",
        "kPa",
    )],
    assumptions: &[
        "A thin wall, at most a quarter of the diameter; a hoop strength of 20 MPa and a safety of 3 (from memory of DIN 73378).",
        "A maker's sheet bursts 6 x 1 tube at 100 bar where this gives 80, and 0.80 at 40 °C where this takes 0.72: of contradicting figures the lesser counts, the safe side.",
        "A pneumatic rating is not a fuel rating: the tube must be marked for fuel.",
    ],
    sources: &[
        Source::new(
            "DIN 73378",
            "strength, safety and derating of PA 11 and PA 12",
            Mark::Memory,
        ),
        Source::new(
            "a tube maker's pneumatic sheet",
            "burst of PA 12 tube at 23 °C, 40 °C and 100 °C (colexint.com)",
            Mark::Seen,
        ),
    ],
    example: &[("outside", "8 mm"), ("wall", "1.5 mm"), ("temperature", "80 °C")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// Hoop strength of plasticised PA 12 at 20 °C, in Pa (from memory).
const STRENGTH_PA: f64 = 20e6;
/// Burst over working pressure (from memory).
const SAFETY: f64 = 3.0;
/// The thickest wall that still counts as thin, of the diameter.
const THICKEST: f64 = 0.25;

/// What [`tube_rating_pa`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub outside_m: f64,
    pub wall_m: f64,
    /// What is left of the strength at the temperature, 1 at 20 °C.
    pub derating: f64,
}

/// The working pressure of a polyamide tube, in Pa. Advice.
///
/// p = 2 · σ · s / (D − s) / 3 · k(T)
///
/// # Inputs
/// Diameter in m (0.003 to 0.016), wall in m (at most a quarter of it), derating (0.37 to 1).
///
/// # Result
/// Pa, gauge.
///
/// # Assumptions
/// Thin wall, 20 MPa, safety 3 (all from memory of DIN 73378).
///
/// # Source
/// DIN 73378 (from memory); a tube maker's burst pressures lie above it.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::tube_rating::{Inputs, tube_rating_pa};
/// let working_pa = tube_rating_pa(Inputs { outside_m: 8e-3, wall_m: 1.5e-3, derating: 1.0 });
/// assert!((working_pa - 30.8e5).abs() < 0.05e5);
/// ```
pub fn tube_rating_pa(inputs: Inputs) -> f64 {
    2.0 * STRENGTH_PA * inputs.wall_m / (inputs.outside_m - inputs.wall_m) / SAFETY * inputs.derating
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let (outside_m, wall_m) = (given.si("outside")?, given.si("wall")?);
    if wall_m > THICKEST * outside_m * (1.0 + 1e-12) {
        return Err(given.refuse(
            "wall",
            "expected at most a quarter of the outside diameter, where the thin-wall form ends",
        ));
    }
    let derating = tables.tube_derating(given.celsius("temperature")?)?;
    Ok(Found::new()
        .si("working", tube_rating_pa(Inputs { outside_m, wall_m, derating }))
        .note("Advice from a thin-wall model whose strength is from memory: the pressure and the fuel printed on the tube decide."))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    #[test]
    pub(in crate::calc) fn rows() {
        const PYTHON: &str =
            "the thin-wall form in Python, bar to one decimal (strength and factors from memory)";
        let bar = |inputs, bar: f64| {
            number(
                inputs,
                "working",
                (bar * 100.0, "kPa"),
                5.0,
                Kind::Independent,
                PYTHON,
            )
        };
        let rows: &[Row] = &[
            bar("outside=5 mm; wall=1 mm; temperature=20 °C", 33.3),
            bar("outside=6 mm; wall=1 mm; temperature=20 °C", 26.7),
            bar("outside=6 mm; wall=1 mm; temperature=60 °C", 15.2),
            bar("outside=7 mm; wall=1 mm; temperature=80 °C", 10.4),
            bar("outside=8 mm; wall=1.5 mm; temperature=80 °C", 14.5),
            bar("outside=0.25 in; wall=1 mm; temperature=30 °C", 20.7),
        ];
        check("tube-rating", rows);
    }

    /// The model's burst pressure at each temperature stays below what a maker's sheet prints for 6 x 1 PA 12.
    #[test]
    fn the_model_is_below_a_makers_burst_pressures() {
        for (temperature, psi) in [("23 °C", 1450.0), ("40 °C", 1160.0), ("100 °C", 535.0)] {
            let inputs = format!("outside=6 mm; wall=1 mm; temperature={temperature}");
            let outcome = crate::calc::check::run_typed("tube-rating", &inputs).unwrap();
            let burst_pa = 3.0 * outcome.output("working").unwrap().quantity().unwrap().si();
            assert!(
                burst_pa < psi * 6894.757,
                "{temperature}: {burst_pa} Pa against {psi} psi"
            );
        }
    }

    #[test]
    fn refusals() {
        refused(
            "tube-rating",
            &[
                (
                    "outside=8 mm; wall=2.5 mm; temperature=20 °C",
                    "`wall`: found 2.5 mm, expected at most a quarter",
                ),
                (
                    "outside=8 mm; wall=1 mm; temperature=120 °C",
                    "`temperature`: found 120 °C, valid from -40 °C to 100 °C",
                ),
            ],
        );
    }
}
