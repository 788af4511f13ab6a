//! The resistance of a length of copper wire.
use super::copper::{self, B258, CONDUCTOR_TEMPERATURE, GAUGE, IACS, STRANDED};
use super::{CalcError, Calculator, Found, Given, InputKind, InputSpec, Need, OutputSpec, Range, Spec};
use crate::note;
use crate::table::Tables;

/// Length, size and temperature to ohms.
pub static SPEC: Spec = Spec {
    id: "wire-resistance",
    revision: 1,
    title: "Resistance of a copper wire",
    equation: "R = ρ · L / A · (1 + 0.00393/K · (T − 20 °C)), ρ = 17.241 mΩ·mm²/m",
    inputs: &[
        GAUGE,
        InputSpec::new(
            "length",
            "Conductor length",
            "L",
            "the length of the conductor itself",
            InputKind::Number(Range::new("m", 0.001, 1000.0, "lengths of a vehicle's wiring")),
            Need::Required,
        ),
        InputSpec::new(
            "temperature",
            "Conductor temperature",
            "T",
            "the temperature of the conductor",
            InputKind::Number(CONDUCTOR_TEMPERATURE),
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "resistance",
            "Resistance",
            "R",
            "of solid copper of this size",
            "mΩ",
        ),
        OutputSpec::new("area", "Conductor area", "A", "the conductor's area", "mm²"),
    ],
    assumptions: &[
        "Solid annealed copper of 100 % IACS and of the size's nominal area, which is all that a gauge defines.",
        "Tables of stranded wire contradict it by up to 27 %, since strands hold less copper: the note gives the worst that is sold, and the safe side is to judge by that.",
    ],
    sources: &[B258, IACS, STRANDED],
    example: &[("gauge", "12 AWG"), ("length", "1 km"), ("temperature", "20 °C")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`wire_resistance`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub area_m2: f64,
    pub length_m: f64,
    pub temperature_c: f64,
}

/// The resistance of a copper wire, in Ω.
///
/// R = ρ · L / A · (1 + α · (T − 20 °C))
///
/// # Inputs
/// The conductor's area in m², its length in m (0.001 to 1000), its temperature in °C (-40 to 200).
///
/// # Result
/// Ω, of solid copper of exactly this area.
///
/// # Assumptions
/// 100 % IACS, ρ = 1.7241e-8 Ω·m, α = 0.00393/K. Stranded wire is up to 27 % worse for its name.
///
/// # Source
/// ASTM B258 for the area behind a gauge, IEC 60028 for the copper (both from memory; the ohms per length
/// agree with printed tables). Stranded: AC 43.13-1B table 11-9.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::wire_resistance::{Inputs, wire_resistance};
/// let ohm = wire_resistance(Inputs { area_m2: 3.3088e-6, length_m: 1000.0, temperature_c: 20.0 });
/// assert!((ohm - 5.2107).abs() < 5e-4);
/// ```
pub fn wire_resistance(inputs: Inputs) -> f64 {
    copper::resistance_ohm(inputs.area_m2, inputs.length_m, inputs.temperature_c)
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let inputs = Inputs {
        area_m2: copper::area_m2(given)?,
        length_m: given.si("length")?,
        temperature_c: given.celsius("temperature")?,
    };
    let found = Found::new()
        .si("resistance", wire_resistance(inputs))
        .si("area", inputs.area_m2);
    let gauge = given.quantity("gauge")?;
    let Some(wire) = tables.wire(gauge) else {
        return Ok(found.note(copper::NO_STRANDED_ROW));
    };
    let factor = copper::temperature_factor(inputs.temperature_c);
    let most_mohm = wire.most_resistance.si() * inputs.length_m * factor * 1e3;
    let origin = &wire.origin;
    Ok(found.note(
        note!(
            "Stranded wire sold as {gauge} may reach {most} mΩ over this length ({source}).",
            gauge = gauge,
            most = format!("{most_mohm:.3}")
        )
        .with("source", vec![origin.parts()]),
    ))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    const PYTHON: &str = "ASTM B258 and IACS copper in Python, Ω/km to four decimals";
    const REPRINT: &str =
        "a wire table reprinted at cirris.com/wire-resistance-calculator, Ω/ft to its last digit";

    #[test]
    pub(in crate::calc) fn rows() {
        let km = |inputs, ohm: f64| {
            number(
                inputs,
                "resistance",
                (ohm * 1e3, "mΩ"),
                0.05,
                Kind::Independent,
                PYTHON,
            )
        };
        let printed = |inputs, mohm_per_ft: f64, within| {
            number(
                inputs,
                "resistance",
                (mohm_per_ft, "mΩ"),
                within,
                Kind::Published,
                REPRINT,
            )
        };
        let rows: &[Row] = &[
            km("gauge=10AWG; length=1 km; temperature=20degC", 3.2770),
            km("gauge=12; length=1000; temperature=20", 5.2107),
            km("gauge=AWG 14; length=1 km; temperature=20 °C", 8.2853),
            km("gauge=18AWG; length=1 km; temperature=105 °C", 27.9454),
            km("gauge=20AWG; length=1 km; temperature=80 °C", 41.1624),
            km("gauge=2.5 mm2; length=1 km; temperature=68F", 6.8964),
            printed("gauge=12AWG; length=1 ft; temperature=20 °C", 1.588, 5e-4),
            printed("gauge=14AWG; length=1 ft; temperature=20 °C", 2.525, 5e-4),
            printed("gauge=16AWG; length=1 ft; temperature=20 °C", 4.02, 5e-3),
            printed("gauge=20AWG; length=1 ft; temperature=20 °C", 10.15, 5e-3),
            number(
                "gauge=12AWG; length=1 m; temperature=20 °C",
                "area",
                (3.3088, "mm²"),
                5e-5,
                Kind::Independent,
                PYTHON,
            ),
        ];
        check("wire-resistance", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "wire-resistance",
            &[
                (
                    "gauge=12.5 AWG; length=1 m; temperature=20 °C",
                    "`gauge`: found 12.5 AWG, expected a whole gauge number",
                ),
                (
                    "gauge=500 mm2; length=1 m; temperature=20 °C",
                    "`gauge`: found 500 mm², valid from 24 AWG to 4/0 AWG",
                ),
                (
                    "gauge=12 AWG; length=3 V; temperature=20 °C",
                    "`length`: found 3 V, expected a length: mm, cm, m",
                ),
            ],
        );
    }
}
