//! Whether a nitrous-oxide bottle holds no more than it may.
use super::nitrous::{LEMMON_SPAN, STANDARD_AIR_PA, state};
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::quantity::Quantity;
use crate::table::{Filling, Tables};

/// The filling density of 49 CFR 173.304a, whatever the bottle, in kg/m³.
const STRICTEST_KG_M3: f64 = 680.0;
/// The temperature that a filled bottle must stand, 65 °C, in K.
const HOTTEST_K: f64 = 338.15;
const WEIGHT: Range = Range::new("kg", 0.1, 150.0, "bottles that are carried in cars");

/// Weights and capacity to a filling ratio.
pub static SPEC: Spec = Spec {
    id: "bottle-fill",
    revision: 2,
    title: "Filling of a nitrous-oxide bottle",
    equation: "fill = (gross − tare) / capacity ≤ permitted, and p(65 °C, fill) ≤ test pressure",
    inputs: &[
        InputSpec::number(
            "tare",
            "Tare weight",
            "m_0",
            "stamped: the empty bottle with its valve",
            WEIGHT,
            Need::Required,
        ),
        InputSpec::number(
            "gross",
            "Gross weight",
            "m",
            "as weighed, with nothing but its valve on it",
            WEIGHT,
            Need::Required,
        ),
        InputSpec::number(
            "capacity",
            "Water capacity",
            "V",
            "stamped: its water capacity",
            Range::new("L", 0.1, 100.0, "bottles that are carried in cars"),
            Need::Required,
        ),
        InputSpec::number(
            "test_pressure",
            "Test pressure",
            "p_T",
            "stamped: its test pressure, gauge; for a United States 1800 psi bottle 3000 psi",
            Range::new(
                "bar",
                180.0,
                500.0,
                "from the least that UN P200 allows nitrous oxide for (from memory) to the strongest bottles that are carried",
            ),
            Need::Required,
        ),
        InputSpec::choice(
            "rule",
            "Filling rule",
            "whose limit: the strictest that is known, 0.68 kg/L, or the table of UN P200 by test pressure, which is from memory",
            &["strictest", "un-p200"],
            Need::Default("strictest"),
        ),
    ],
    outputs: &[
        OutputSpec::new("fill", "Filling ratio", "", "mass for the water capacity", "kg/L"),
        OutputSpec::new(
            "permitted",
            "Permitted filling ratio",
            "",
            "the greatest by the rule chosen",
            "kg/L",
        ),
        OutputSpec::new(
            "hot_pressure",
            "Gauge pressure at 65 °C",
            "",
            "of this filling at 65 °C, gauge; not given for an empty bottle or beyond 500 bar",
            "kPa",
        ),
        OutputSpec::words(
            "verdict",
            "Filling verdict",
            "permitted or overfilled",
            &["permitted", "overfilled"],
        ),
    ],
    assumptions: &[
        "The rules contradict one another: 49 CFR 173.304a gives 0.68 kg/L whatever the test pressure (second-hand), UN P200 up to 0.75 (from memory). Unless asked otherwise the strictest counts: the safe side.",
        "The rows of UN P200 for UN 1070 are from memory. Each was checked to keep the bottle below its test pressure at 65 °C.",
        "Whatever the rule, a filling that would pass the test pressure at 65 °C is overfilled. The local code and the filler's own rule come first.",
        "Only a scale tells the filling: a gauge shows the same pressure while any liquid is left.",
    ],
    sources: &[
        Source::new("UN P200", "row of UN 1070", Mark::Memory),
        Source::new(
            "49 CFR 173.304a",
            "filling density of 68 %, as AFMAN 24-604 table A6.1 prints it",
            Mark::SecondHand,
        ),
        LEMMON_SPAN,
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

/// What the filling would press at 65 °C, above the air outside; none where the equation does not reach.
fn hot_gauge_pa(fill_kg_m3: f64) -> Option<f64> {
    let vessel = state::vessel(HOTTEST_K, fill_kg_m3).ok()?;
    Some(vessel.pressure_pa - STANDARD_AIR_PA)
}

fn fill_of(given: &Given) -> Result<f64, CalcError> {
    let (tare, gross) = (given.quantity("tare")?, given.quantity("gross")?);
    if gross.si() < tare.si() {
        return Err(given.refuse(
            "gross",
            note!("less than the tare, {tare}: read the stamp again", tare = tare),
        ));
    }
    Ok(fill_kg_m3(Inputs {
        tare_kg: tare.si(),
        gross_kg: gross.si(),
        capacity_m3: given.si("capacity")?,
    }))
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let fill_kg_m3 = fill_of(given)?;
    let test_pressure = given.quantity("test_pressure")?;
    let too_weak = || {
        given.refuse(
            "test_pressure",
            "below the least that the table allows nitrous oxide for",
        )
    };
    let row = permitted(tables, test_pressure).ok_or_else(too_weak)?;
    let strictest = given.is("rule", "strictest");
    let permitted_kg_m3 = if strictest {
        row.ratio.si().min(STRICTEST_KG_M3)
    } else {
        row.ratio.si()
    };
    let hot_pa = hot_gauge_pa(fill_kg_m3);
    let stands_heat = fill_kg_m3 < STRICTEST_KG_M3 || hot_pa.is_some_and(|pa| pa <= test_pressure.si());
    let within = fill_kg_m3 <= permitted_kg_m3 * (1.0 + 1e-9) && stands_heat;
    let found = Found::new()
        .si("fill", fill_kg_m3)
        .si("permitted", permitted_kg_m3);
    let found = match hot_pa {
        Some(pa) => found.si("hot_pressure", pa),
        None => found,
    };
    Ok(found
        .text("verdict", if within { "permitted" } else { "overfilled" })
        .note_if(strictest, "Permitted: 0.68 kg/L, 49 CFR 173.304a (second-hand). The local code comes first.")
        .note_if(
            strictest && row.ratio.si() > STRICTEST_KG_M3,
            note!("Not used here: UN P200 would allow {ratio} at this test pressure, from memory.", ratio = row.ratio),
        )
        .note_if(
            !strictest,
            note!("Permitted: {source}. In the United States the limit is 0.68 kg/L whatever the test pressure (49 CFR 173.304a, second-hand). The local code comes first.").with("source", vec![row.origin.parts()]),
        )
        .note_if(!within, "An overfilled bottle bursts its disc when it warms: keep it cool, away from people, and let its filler put it right."))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused, run_typed};

    const P200: &str = "49 CFR 173.304a: 68 % (second-hand); UN P200, UN 1070: 0.68 for 180 bar, 0.74 for 225 bar, 0.75 for 250 bar (from memory)";

    #[test]
    pub(in crate::calc) fn rows() {
        let permitted =
            |inputs, ratio| number(inputs, "permitted", (ratio, "kg/L"), 1e-12, Kind::Published, P200);
        let verdict = |inputs, word| exact(inputs, "verdict", Text(word), Kind::Published, P200);
        let hot = |inputs, bar_abs: f64| {
            let gauge = (bar_abs * 100.0 - 101.325, "kPa");
            number(
                inputs,
                "hot_pressure",
                gauge,
                0.051,
                Kind::Independent,
                "CoolProp 8.0.0 at 65 °C",
            )
        };
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
                0.68,
            ),
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=225 bar; rule=un-p200",
                0.74,
            ),
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=250 bar",
                0.68,
            ),
            permitted(
                "tare=7 kg; gross=11.5 kg; capacity=6.7 L; test_pressure=250 bar; rule=un-p200",
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
            verdict(
                "tare=7 kg; gross=14.4 kg; capacity=10 L; test_pressure=225 bar",
                "overfilled",
            ),
            verdict(
                "tare=7 kg; gross=14.4 kg; capacity=10 L; test_pressure=225 bar; rule=un-p200",
                "permitted",
            ),
            hot(
                "tare=7 kg; gross=13.8 kg; capacity=10 L; test_pressure=207 bar",
                179.575,
            ),
            hot(
                "tare=7 kg; gross=14.4 kg; capacity=10 L; test_pressure=225 bar",
                221.187,
            ),
            hot(
                "tare=7 kg; gross=14.5 kg; capacity=10 L; test_pressure=250 bar",
                230.191,
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

    /// Both an empty bottle and one beyond the equation have a verdict, and only the fuller is overfilled.
    #[test]
    fn the_verdict_turns_once() {
        let mut overfilled = false;
        for tenths in 0..=130 {
            let inputs = format!(
                "tare=7 kg; gross={} kg; capacity=10 L; test_pressure=207 bar",
                7.0 + f64::from(tenths) / 10.0
            );
            let outcome = run_typed("bottle-fill", &inputs).unwrap();
            let now = outcome.output("verdict").unwrap().to_string() == "overfilled";
            assert!(now >= overfilled, "{inputs}");
            assert_eq!(now, tenths > 68, "{inputs}");
            overfilled = now;
        }
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
                    "`test_pressure`: found 124 bar, valid from 180 bar to 500 bar (from the least",
                ),
            ],
        );
    }
}
