//! Whether a relay's coil gets enough voltage to pull in.
use super::copper::{IACS, temperature_factor};
use super::wire_drop::SUPPLY;
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::quantity::Quantity;
use crate::table::Tables;

const COIL: Range = Range::new("ohm", 10.0, 2000.0, "coils of 6 V to 24 V vehicle relays");
pub(super) const COIL_TEMPERATURE: Range = Range::new(
    "°C",
    -40.0,
    155.0,
    "ambient of vehicle relays, and the coil's own heat",
);

/// Supply, coil and lead to a margin.
pub static SPEC: Spec = Spec {
    id: "relay-coil",
    revision: 1,
    title: "Coil current and pull-in margin of a relay",
    equation: "R = R_20 · (1 + 0.00393/K · (T − 20 °C)), with a resistor in parallel; I = U / (R_lead + R); margin = U − I · R_lead − U_pull-in · R/R_20",
    inputs: &[
        SUPPLY,
        InputSpec::number(
            "coil",
            "Coil resistance",
            "R_20",
            "the coil alone at 20 °C",
            COIL,
            Need::Required,
        ),
        InputSpec::number(
            "lead",
            "Lead resistance",
            "R_lead",
            "everything in series: wires, switches, ground",
            Range::new("ohm", 0.0, 100.0, "more than a lead has when it is whole"),
            Need::Required,
        ),
        InputSpec::number(
            "pull_in",
            "Pull-in voltage",
            "U_pull-in",
            "the coil voltage that surely pulls in at 20 °C",
            Range::new("V", 1.0, 24.0, "data sheets of vehicle relays"),
            Need::Default("8 V"),
        ),
        InputSpec::number(
            "temperature",
            "Coil temperature",
            "T",
            "of the coil",
            COIL_TEMPERATURE,
            Need::Default("20 °C"),
        ),
        InputSpec::number(
            "parallel",
            "Parallel resistor",
            "R_p",
            "a suppression resistor beside the coil",
            Range::new("ohm", 50.0, 10_000.0, "suppression resistors of vehicle relays"),
            Need::Optional,
        ),
    ],
    outputs: &[
        OutputSpec::new("current", "Supply current", "I", "drawn from the supply", "mA"),
        OutputSpec::new("coil_voltage", "Coil voltage", "U_coil", "across the coil", "V"),
        OutputSpec::new(
            "margin",
            "Margin over pull-in",
            "",
            "of the coil voltage over the pull-in voltage, negative when it falls short",
            "V",
        ),
    ],
    assumptions: &[
        "A coil pulls in at a current, so its pull-in voltage rises with its copper.",
        "The suppression resistor keeps its value.",
        "Data sheets of 12 V relays give 6.5 V to 8 V at 20 °C for the pull-in: the highest stands, which is the safe side. The relay's own sheet comes first.",
        "A coil that is warm from its own heat needs more: give its temperature where the bay or the coil is hot.",
    ],
    sources: &[
        Source::new(
            "data sheets of 12 V relays of the ISO 7588-1 shape",
            "coil data (xonelec.com 219040256, dtsheet.com 683074)",
            Mark::Seen,
        ),
        IACS,
    ],
    example: &[("supply", "12 V"), ("coil", "85 ohm"), ("lead", "0.5 ohm")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`relay_coil`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub supply_v: f64,
    pub coil_ohm: f64,
    pub lead_ohm: f64,
    pub pull_in_v: f64,
    pub temperature_c: f64,
    pub parallel_ohm: Option<f64>,
}

/// What [`relay_coil`] finds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Coil {
    pub current_a: f64,
    pub coil_v: f64,
    pub margin_v: f64,
}

/// Current, coil voltage and margin of a relay's coil.
///
/// R = R_20 · (1 + α · (T − 20 °C)); I = U / (R_lead + R ∥ R_p); margin = U − I · R_lead − U_pull-in · R/R_20
///
/// # Inputs
/// Supply in V (6 to 32), coil in Ω at 20 °C (10 to 2000), lead in Ω (0 to 100), pull-in in V at 20 °C
/// (1 to 24), coil temperature in °C (-40 to 155), parallel resistor in Ω (50 to 10 000) if there is one.
///
/// # Result
/// Current in A, coil voltage and margin in V; the margin is negative where the relay may not pull in.
///
/// # Assumptions
/// The pull-in current is constant. The resistor is not heated.
///
/// # Source
/// Ohm's law; coil data of relays of the ISO 7588-1 shape; copper as IEC 60028 (from memory).
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::relay_coil::{Inputs, relay_coil};
/// let found = relay_coil(Inputs {
///     supply_v: 12.0, coil_ohm: 85.0, lead_ohm: 0.0, pull_in_v: 8.0, temperature_c: 20.0, parallel_ohm: None,
/// });
/// assert!((found.current_a - 0.1412).abs() < 5e-5);
/// ```
pub fn relay_coil(inputs: Inputs) -> Coil {
    let factor = temperature_factor(inputs.temperature_c);
    let coil_ohm = inputs.coil_ohm * factor;
    let load_ohm = match inputs.parallel_ohm {
        Some(parallel_ohm) => coil_ohm * parallel_ohm / (coil_ohm + parallel_ohm),
        None => coil_ohm,
    };
    let current_a = inputs.supply_v / (inputs.lead_ohm + load_ohm);
    let coil_v = inputs.supply_v - current_a * inputs.lead_ohm;
    Coil {
        current_a,
        coil_v,
        margin_v: coil_v - inputs.pull_in_v * factor,
    }
}

/// Above it the system is one of 24 V, whose relays have another pull-in voltage than the default.
const TWELVE_VOLT_V: f64 = 16.0;

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let (supply_v, pull_in_v) = (given.si("supply")?, given.si("pull_in")?);
    let found = relay_coil(Inputs {
        supply_v,
        coil_ohm: given.si("coil")?,
        lead_ohm: given.si("lead")?,
        pull_in_v,
        temperature_c: given.celsius("temperature")?,
        parallel_ohm: given.optional("parallel").map(Quantity::si),
    });
    Ok(Found::new()
        .si("current", found.current_a)
        .si("coil_voltage", found.coil_v)
        .si("margin", found.margin_v)
        .note_if(
            supply_v > TWELVE_VOLT_V && pull_in_v == 8.0,
            "8 V is the pull-in of 12 V relays: give that of this relay.",
        )
        .note_if(
            found.margin_v < 0.0,
            "The coil voltage falls short of the pull-in voltage: the relay may not close.",
        ))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    #[test]
    pub(in crate::calc) fn rows() {
        const OHM: &str = "ohm's law on a data sheet's 85 Ω";
        const SHEET: &str = "a data sheet (xonelec.com): 76 Ω beside 680 Ω draws 176 mA at 12 V";
        const PYTHON: &str = "ohm's law in Python with copper at 80 °C, factor 1.2358";
        let rows: &[Row] = &[
            number(
                "supply=12 V; coil=85 ohm; lead=0",
                "current",
                (141.2, "mA"),
                0.05,
                Kind::Independent,
                OHM,
            ),
            number(
                "supply=13.5 V; coil=85 ohm; lead=0",
                "current",
                (158.8, "mA"),
                0.05,
                Kind::Independent,
                OHM,
            ),
            number(
                "supply=12 V; coil=76 ohm; lead=0; parallel=680 ohm",
                "current",
                (176.0, "mA"),
                0.5,
                Kind::Published,
                SHEET,
            ),
            number(
                "supply=12 V; coil=85 ohm; lead=0",
                "margin",
                (4.0, "V"),
                1e-9,
                Kind::Property,
                "12 V less 8 V",
            ),
            number(
                "supply=12 V; coil=90 ohm; lead=10 ohm",
                "coil_voltage",
                (10.8, "V"),
                1e-9,
                Kind::Property,
                "a divider of 9 to 1",
            ),
            number(
                "supply=12 V; coil=85 ohm; lead=5 ohm; temperature=80 °C; pull_in=8 V",
                "margin",
                (12.0 * 105.043 / 110.043 - 8.0 * 1.2358, "V"),
                1e-9,
                Kind::Independent,
                PYTHON,
            ),
        ];
        check("relay-coil", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "relay-coil",
            &[
                (
                    "supply=12 V; coil=5 ohm; lead=0",
                    "`coil`: found 5 Ω, valid from 10 Ω to 2000 Ω",
                ),
                (
                    "supply=12 V; coil=85 ohm",
                    "`relay-coil` needs `lead`: everything in series",
                ),
            ],
        );
    }
}
