//! Whether a nitrous-oxide bottle holds no more than it may.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::quantity::Quantity;
use crate::table::{Filling, Tables};

const WEIGHT: Range = Range::new("kg", 0.1, 150.0, "bottles that are carried in cars");

/// Weights and capacity to a filling ratio.
pub static SPEC: Spec = Spec {
    id: "bottle-fill",
    revision: 1,
    title: "Filling of a nitrous-oxide bottle",
    equation: "fill = (gross − tare) / capacity, against the greatest ratio for the test pressure",
    inputs: &[
        InputSpec::number(
            "tare",
            "m_0",
            "stamped: the empty bottle with its valve",
            WEIGHT,
            Need::Required,
        ),
        InputSpec::number(
            "gross",
            "m",
            "as weighed, with nothing but its valve on it",
            WEIGHT,
            Need::Required,
        ),
        InputSpec::number(
            "capacity",
            "V",
            "stamped: its water capacity",
            Range::new("L", 0.1, 100.0, "bottles that are carried in cars"),
            Need::Required,
        ),
        InputSpec::number(
            "test_pressure",
            "p_T",
            "stamped: its test pressure, gauge; for a United States 1800 psi bottle 3000 psi",
            Range::new("bar", 10.0, 500.0, "transportable gas bottles"),
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::new("fill", "", "mass for the water capacity", "kg/L"),
        OutputSpec::new("permitted", "", "the greatest for this test pressure", "kg/L"),
        OutputSpec::words("verdict", "permitted or overfilled"),
    ],
    assumptions: &[
        "The ratios are those of UN P200 for UN 1070, from memory; each was checked to keep the bottle below its test pressure at 65 °C.",
        "In the United States 0.68 kg/L is the limit whatever the test pressure.",
        "Only a scale tells the filling: a gauge shows the same pressure while any liquid is left.",
    ],
    sources: &[
        Source::new("UN P200", "row of UN 1070", Mark::Memory),
        Source::new(
            "49 CFR 173.304a",
            "filling density of 68 %, as AFMAN 24-604 table A6.1 prints it",
            Mark::SecondHand,
        ),
        Source::new(
            "CoolProp 8.0.0",
            "pressure at 65 °C by Lemmon and Span 2006",
            Mark::Computed,
        ),
    ],
    example: &[
        ("tare", "7.0 kg"),
        ("gross", "11.5 kg"),
        ("capacity", "6.7 L"),
        ("test_pressure", "207 bar"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`fill_kg_m3`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub tare_kg: f64,
    pub gross_kg: f64,
    pub capacity_m3: f64,
}

/// The filling ratio of a bottle, in kg/m³ (1000 of them are 1 kg/L).
///
/// fill = (gross − tare) / capacity
///
/// # Inputs
/// Weights in kg (0.1 to 150), water capacity in m³ (1e-4 to 0.1).
///
/// # Result
/// kg/m³, negative where the bottle weighs less than its tare.
///
/// # Assumptions
/// The tare is that of the bottle with its valve, and nothing else was weighed.
///
/// # Source
/// The definition of UN P200 and 49 CFR 173.304a (from memory, second-hand).
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::bottle_fill::{Inputs, fill_kg_m3};
/// let fill = fill_kg_m3(Inputs { tare_kg: 7.0, gross_kg: 11.5, capacity_m3: 6.7e-3 });
/// assert!((fill - 671.64).abs() < 5e-3);
/// ```
pub fn fill_kg_m3(inputs: Inputs) -> f64 {
    (inputs.gross_kg - inputs.tare_kg) / inputs.capacity_m3
}

/// The row of the greatest test pressure that the bottle's reaches.
fn permitted(tables: &Tables, test_pressure: Quantity) -> Option<&Filling> {
    let reached = |row: &&Filling| row.test_pressure.si() <= test_pressure.si() * (1.0 + 1e-9);
    tables
        .fillings
        .iter()
        .filter(reached)
        .max_by(|a, b| a.test_pressure.si().total_cmp(&b.test_pressure.si()))
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let (tare, gross) = (given.quantity("tare")?, given.quantity("gross")?);
    if gross.si() < tare.si() {
        return Err(given.refuse(
            "gross",
            format!("less than the tare, {tare}: read the stamp again"),
        ));
    }
    let too_weak = || {
        given.refuse(
            "test_pressure",
            "below the least that the table allows nitrous oxide for",
        )
    };
    let row = permitted(tables, given.quantity("test_pressure")?).ok_or_else(too_weak)?;
    let capacity_m3 = given.si("capacity")?;
    let fill_kg_m3 = fill_kg_m3(Inputs {
        tare_kg: tare.si(),
        gross_kg: gross.si(),
        capacity_m3,
    });
    let within = fill_kg_m3 <= row.ratio.si() * (1.0 + 1e-9);
    Ok(Found::new()
        .si("fill", fill_kg_m3)
        .quantity("permitted", row.ratio)
        .text("verdict", if within { "permitted" } else { "overfilled" })
        .note(format!("Permitted: {} ({}).", row.origin.source, row.origin.mark.in_words()))
        .note_if(row.ratio.si() > 680.0, "In the United States the limit is 0.68 kg/L whatever the test pressure (49 CFR 173.304a, second-hand).")
        .note_if(!within, "An overfilled bottle bursts its disc when it warms: keep it cool, away from people, and let its filler put it right."))
}

#[cfg(test)]
mod tests {
    use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused};

    const P200: &str = "UN P200, UN 1070: 0.68 for 180 bar, 0.74 for 225 bar, 0.75 for 250 bar (from memory)";

    #[test]
    fn rows() {
        let permitted =
            |inputs, ratio| number(inputs, "permitted", (ratio, "kg/L"), 1e-12, Kind::Published, P200);
        let verdict = |inputs, word| exact(inputs, "verdict", Text(word), Kind::Published, P200);
        let rows: &[Row] = &[
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=207 bar",
                0.68,
            ),
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=3000 psi",
                0.68,
            ),
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=180 bar",
                0.68,
            ),
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=225 bar",
                0.74,
            ),
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=250 bar",
                0.75,
            ),
            verdict(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=207 bar",
                "permitted",
            ),
            verdict(
                "tare=7 kg; gross=13.8 kg; capacity=10 L; test_pressure=207 bar",
                "permitted",
            ),
            verdict(
                "tare=7 kg; gross=13.81 kg; capacity=10 L; test_pressure=207 bar",
                "overfilled",
            ),
            number(
                "tare=10 lb; gross=20 lb; capacity=6.7 L; test_pressure=207 bar",
                "fill",
                (4.5359237 / 6.7, "kg/L"),
                1e-12,
                Kind::Independent,
                "10 lb are 4.5359237 kg by definition",
            ),
        ];
        check("bottle-fill", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "bottle-fill",
            &[
                (
                    "tare=12 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=207 bar",
                    "`gross`: found 11.5 kg, less than the tare, 12 kg",
                ),
                (
                    "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=124 bar",
                    "`test_pressure`: found 124 bar, below the least",
                ),
            ],
        );
    }
}
