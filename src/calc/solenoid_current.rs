//! What the solenoids draw, cold and hot.
use super::copper::{IACS, temperature_factor};
use super::wire_drop::SUPPLY;
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::quantity::Quantity;
use crate::table::Tables;

const COIL: Range = Range::new("ohm", 0.2, 50.0, "solenoids of a quarter to 60 A at 12 V");
const TEMPERATURE: Range = Range::new("°C", -40.0, 180.0, "from a winter night to class H windings");

/// Coils and temperatures to amperes.
pub static SPEC: Spec = Spec {
    id: "solenoid-current",
    revision: 1,
    title: "Current of the solenoids, cold and hot",
    equation: "I(T) = U / R(T), R(T) = R · (1 + 0.00393/K · (T − 20 °C)) / (1 + 0.00393/K · (T_measured − 20 °C))",
    inputs: &[
        SUPPLY,
        InputSpec::number(
            "nitrous_coil",
            "Nitrous coil resistance",
            "R_n",
            "as measured",
            COIL,
            Need::Required,
        ),
        InputSpec::number(
            "fuel_coil",
            "Fuel coil resistance",
            "R_f",
            "as measured",
            COIL,
            Need::Required,
        ),
        InputSpec::number(
            "coil_temperature",
            "Coil temperature when measured",
            "T_measured",
            "the coils' when they were measured",
            TEMPERATURE,
            Need::Required,
        ),
        InputSpec::number(
            "cold_temperature",
            "Coldest coil temperature",
            "T_cold",
            "the coldest the coils will be switched on",
            TEMPERATURE,
            Need::Default("-20 °C"),
        ),
        InputSpec::number(
            "hot_temperature",
            "Hottest coil temperature",
            "T_hot",
            "the hottest the coils will be",
            TEMPERATURE,
            Need::Default("80 °C"),
        ),
        InputSpec::number(
            "purge_coil",
            "Purge coil resistance",
            "R_p",
            "as measured; on its own switch and fuse",
            COIL,
            Need::Optional,
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "cold",
            "Cold current",
            "I_cold",
            "of both solenoids together, the load to size wire, fuse and relay for",
            "A",
        ),
        OutputSpec::new("hot", "Hot current", "I_hot", "of both solenoids together", "A"),
        OutputSpec::new(
            "purge_cold",
            "Cold purge current",
            "",
            "of the purge circuit alone, where a purge coil is given",
            "A",
        ),
    ],
    assumptions: &[
        "The supply is held at the coils: no drop in wires, fuse or relay.",
        "Steady direct current; the coils are copper.",
        "Cold is -20 °C and hot is 80 °C unless given (common practice, no source).",
    ],
    sources: &[
        IACS,
        Source::new(
            "copper temperature factors",
            "AC 43.13-1B paragraph 11-66 form",
            Mark::Seen,
        ),
    ],
    example: &[
        ("supply", "14.4 V"),
        ("nitrous_coil", "0.9 ohm"),
        ("fuel_coil", "3.2 ohm"),
        ("coil_temperature", "20 °C"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`coil_current_a`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub supply_v: f64,
    /// At `measured_c`.
    pub coil_ohm: f64,
    pub measured_c: f64,
    pub coil_c: f64,
}

/// The current of one copper coil at another temperature than that of its measurement, in A.
///
/// I(T) = U / (R · (1 + α · (T − 20 °C)) / (1 + α · (T_measured − 20 °C)))
///
/// # Inputs
/// Supply in V (6 to 32), coil in Ω (0.2 to 50), both temperatures in °C (-40 to 180).
///
/// # Result
/// A, steady.
///
/// # Assumptions
/// Copper of 0.00393/K referred to 20 °C; the supply is held at the coil.
///
/// # Source
/// IEC 60028 (from memory); the inferred-zero form of AC 43.13-1B paragraph 11-66 agrees.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::solenoid_current::{Inputs, coil_current_a};
/// let cold = Inputs { supply_v: 12.0, coil_ohm: 1.0, measured_c: 20.0, coil_c: 80.0 };
/// assert!((coil_current_a(cold) - 12.0 / 1.2358).abs() < 1e-9);
/// ```
pub fn coil_current_a(inputs: Inputs) -> f64 {
    let rise = temperature_factor(inputs.coil_c) / temperature_factor(inputs.measured_c);
    inputs.supply_v / (inputs.coil_ohm * rise)
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let (cold_c, hot_c) = (
        given.celsius("cold_temperature")?,
        given.celsius("hot_temperature")?,
    );
    if cold_c > hot_c {
        return Err(given.refuse(
            "cold_temperature",
            note!("expected no more than the hot one, {hot} °C", hot = hot_c),
        ));
    }
    let (supply_v, measured_c) = (given.si("supply")?, given.celsius("coil_temperature")?);
    let (nitrous_ohm, fuel_ohm) = (given.si("nitrous_coil")?, given.si("fuel_coil")?);
    let draw_a = |coil_ohm, coil_c| {
        coil_current_a(Inputs {
            supply_v,
            coil_ohm,
            measured_c,
            coil_c,
        })
    };
    let both_a = |coil_c| draw_a(nitrous_ohm, coil_c) + draw_a(fuel_ohm, coil_c);
    let found = Found::new().si("cold", both_a(cold_c)).si("hot", both_a(hot_c));
    Ok(match given.optional("purge_coil").map(Quantity::si) {
        Some(purge_ohm) => found
            .si("purge_cold", draw_a(purge_ohm, cold_c))
            .note("The purge is on its own switch and fuse and is not part of the other figures."),
        None => found,
    })
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    #[test]
    pub(in crate::calc) fn rows() {
        const PYTHON: &str = "ohm's law in Python, copper factors 0.84280 at -20 °C and 1.23580 at 80 °C";
        let kit = "supply=14.4 V; nitrous_coil=0.9 ohm; fuel_coil=3.2 ohm; coil_temperature=20 °C";
        let warm = "supply=14.4 V; nitrous_coil=1.11222 ohm; fuel_coil=3.95456 ohm; coil_temperature=80 °C";
        let purge = "supply=14.4 V; nitrous_coil=0.9 ohm; fuel_coil=3.2 ohm; coil_temperature=20 °C; \
                     cold_temperature=20 °C; purge_coil=1.2 ohm";
        let rows: &[Row] = &[
            number(kit, "cold", (20.5 / 0.8428, "A"), 1e-9, Kind::Independent, PYTHON),
            number(kit, "hot", (20.5 / 1.2358, "A"), 1e-9, Kind::Independent, PYTHON),
            number(
                warm,
                "hot",
                (20.5 / 1.2358, "A"),
                1e-9,
                Kind::Property,
                "the same coils, measured warm",
            ),
            number(
                purge,
                "cold",
                (20.5, "A"),
                1e-9,
                Kind::Property,
                "at the temperature of measurement U/R",
            ),
            number(
                purge,
                "purge_cold",
                (12.0, "A"),
                1e-9,
                Kind::Property,
                "at the temperature of measurement U/R",
            ),
        ];
        check("solenoid-current", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "solenoid-current",
            &[
                (
                    "supply=14.4 V; nitrous_coil=0.9 ohm; fuel_coil=3.2 ohm; coil_temperature=20 °C; cold_temperature=90 °C",
                    "`cold_temperature`: found 90 °C, expected no more than the hot one, 80 °C",
                ),
                (
                    "supply=14.4 V; nitrous_coil=0 ohm; fuel_coil=3.2 ohm; coil_temperature=20 °C",
                    "`nitrous_coil`: found 0 Ω, valid from 0.2 Ω to 50 Ω",
                ),
            ],
        );
    }
}
