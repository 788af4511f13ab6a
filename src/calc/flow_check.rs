//! A flow caught in a can, against the flow expected.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::table::Tables;

/// Volume and time to a flow and its error.
pub static SPEC: Spec = Spec {
    id: "flow-check",
    revision: 1,
    title: "Caught flow against the expected flow",
    equation: "V' = V / t; error = (V' − V'_expected) / V'_expected",
    inputs: &[
        InputSpec::number(
            "volume",
            "Volume caught",
            "V",
            "caught",
            Range::new("ml", 1.0, 20_000.0, "cans and measuring cylinders"),
            Need::Required,
        ),
        InputSpec::number(
            "time",
            "Catching time",
            "t",
            "of catching",
            Range::new("s", 1.0, 3600.0, "a stopwatch in the hand"),
            Need::Required,
        ),
        InputSpec::number(
            "expected",
            "Expected flow",
            "V'_expected",
            "the flow that the jet should pass",
            Range::new("ml/min", 1.0, 20_000.0, "fuel systems of cars"),
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::new("flow", "Caught flow", "V'", "that was caught", "ml/min"),
        OutputSpec::new(
            "error_percent",
            "Flow error",
            "",
            "of the caught flow against the expected, negative when less was caught",
            "%",
        ),
    ],
    assumptions: &["The flow was steady over the whole time, and all of it was caught."],
    sources: &[Source::new(
        "definition of a mean flow",
        "volume over time",
        Mark::Computed,
    )],
    example: &[
        ("volume", "520 ml"),
        ("time", "30 s"),
        ("expected", "1070 ml/min"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`flow_check`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub volume_m3: f64,
    pub time_s: f64,
    pub expected_m3_s: f64,
}

/// The caught flow in m³/s, and its error as a share of the expected one.
///
/// V' = V / t; error = (V' − V'_expected) / V'_expected
///
/// # Inputs
/// Volume in m³ (1e-6 to 0.02), time in s (1 to 3600), expected flow in m³/s.
///
/// # Result
/// m³/s and a ratio, negative when less was caught.
///
/// # Assumptions
/// Steady flow, all of it caught.
///
/// # Source
/// The definition of a mean flow.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::flow_check::{Inputs, flow_check};
/// let (flow_m3_s, error) = flow_check(Inputs { volume_m3: 0.5e-3, time_s: 30.0, expected_m3_s: 1e-3 / 60.0 });
/// assert_eq!((flow_m3_s * 6e7, error), (1000.0, 0.0));
/// ```
pub fn flow_check(inputs: Inputs) -> (f64, f64) {
    let flow_m3_s = inputs.volume_m3 / inputs.time_s;
    (
        flow_m3_s,
        (flow_m3_s - inputs.expected_m3_s) / inputs.expected_m3_s,
    )
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let (flow_m3_s, error) = flow_check(Inputs {
        volume_m3: given.si("volume")?,
        time_s: given.si("time")?,
        expected_m3_s: given.si("expected")?,
    });
    Ok(Found::new().si("flow", flow_m3_s).si("error_percent", error))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    #[test]
    pub(in crate::calc) fn rows() {
        const BY_HAND: &str = "520 ml in 30 s is 1040 ml/min, 30 below 1070";
        const JET: &str =
            "a 1.0 mm jet of 1069.86 ml/min (m = C · A · √(2 ρ Δp) in Python) caught for a minute";
        let inputs = "volume=520 ml; time=30 s; expected=1070 ml/min";
        let jet = "volume=1,06986 L; time=1 min; expected=64.19 l/h";
        let rows: &[Row] = &[
            number(
                inputs,
                "flow",
                (1040.0, "ml/min"),
                1e-9,
                Kind::Independent,
                BY_HAND,
            ),
            number(
                inputs,
                "error_percent",
                (-100.0 * 30.0 / 1070.0, "%"),
                1e-9,
                Kind::Independent,
                BY_HAND,
            ),
            number(jet, "error_percent", (0.0, "%"), 0.01, Kind::Independent, JET),
        ];
        check("flow-check", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "flow-check",
            &[
                (
                    "volume=520 ml; time=0 s; expected=1070 ml/min",
                    "`time`: found 0 s, valid from 1 s to 3600 s",
                ),
                (
                    "volume=520 ml; time=30 s; expected=3 g/s",
                    "`expected`: found 3 g/s, expected a volume flow: ml/min",
                ),
            ],
        );
    }
}
