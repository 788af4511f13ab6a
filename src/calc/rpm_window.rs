//! Between which engine speeds the nitrous may flow.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::table::Tables;
use crate::to_say;

/// Lowest speed and limiter to a window.
pub static SPEC: Spec = Spec {
    id: "rpm-window",
    revision: 1,
    title: "Window of engine speed",
    equation: "low = lowest; high = limiter − margin",
    inputs: &[
        InputSpec::number(
            "lowest",
            "Lowest speed",
            "n_low",
            "the lowest speed at which the nitrous may flow",
            Range::new("rpm", 1000.0, 15_000.0, "petrol engines of cars"),
            Need::Required,
        ),
        InputSpec::number(
            "limiter",
            "Limiter speed",
            "n_cut",
            "where limiter, shift or traction cut stops the fuel, the lowest of them",
            Range::new("rpm", 2000.0, 20_000.0, "petrol engines of cars"),
            Need::Required,
        ),
        InputSpec::number(
            "margin",
            "Margin below the limiter",
            "",
            "kept below the limiter",
            Range::new(
                "rpm",
                50.0,
                3000.0,
                "what a controller needs to switch off in time",
            ),
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::new("low", "Window begins at", "n_low", "nothing below", "rpm"),
        OutputSpec::new("high", "Window ends at", "n_high", "nothing above", "rpm"),
        OutputSpec::words(
            "verdict",
            "Window verdict",
            "fits, starts too low, or no window",
            &["fits", "starts too low", "no window"],
        ),
    ],
    assumptions: &[
        "Below about 3000 to 4000 rpm a stock engine's rods bear the pressure badly: 3000 is the least (common practice, no source).",
        "At the limiter fuel stops and nitrous would not: the window must end below it (common practice, no source).",
        "The tuner and the kit's maker decide.",
    ],
    sources: &[Source::new(
        "engine-speed window",
        "rule of the trade",
        Mark::Practice,
    )],
    example: &[
        ("lowest", "3500 rpm"),
        ("limiter", "6800 rpm"),
        ("margin", "300 rpm"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// The least speed of the trade, in rpm.
const LEAST_RPM: f64 = 3000.0;

/// What [`rpm_window`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub lowest_rpm: f64,
    pub limiter_rpm: f64,
    pub margin_rpm: f64,
}

/// Lower end and upper end in rpm, and whether they make a window.
///
/// low = lowest; high = limiter − margin
///
/// # Inputs
/// rpm: lowest 1000 to 15 000, limiter 2000 to 20 000, margin 50 to 3000.
///
/// # Result
/// rpm, and one of `fits`, `starts too low`, `no window`.
///
/// # Assumptions
/// A stock bottom end is not loaded below 3000 rpm.
///
/// # Source
/// Common practice, no source.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::rpm_window::{Inputs, rpm_window};
/// let found = rpm_window(Inputs { lowest_rpm: 3500.0, limiter_rpm: 6800.0, margin_rpm: 300.0 });
/// assert_eq!(found, (3500.0, 6500.0, "fits"));
/// ```
pub fn rpm_window(inputs: Inputs) -> (f64, f64, &'static str) {
    let high_rpm = inputs.limiter_rpm - inputs.margin_rpm;
    let verdict = if high_rpm <= inputs.lowest_rpm {
        "no window"
    } else if inputs.lowest_rpm < LEAST_RPM {
        "starts too low"
    } else {
        "fits"
    };
    (inputs.lowest_rpm, high_rpm, verdict)
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let inputs = Inputs {
        lowest_rpm: given.value_in("lowest", "rpm")?,
        limiter_rpm: given.value_in("limiter", "rpm")?,
        margin_rpm: given.value_in("margin", "rpm")?,
    };
    let (low_rpm, high_rpm, verdict) = rpm_window(inputs);
    let advice = match verdict {
        "no window" => to_say!("Nothing is left between the lowest speed and the limiter less its margin."),
        "starts too low" => {
            to_say!("Below 3000 rpm a stock bottom end is at risk (common practice, no source).")
        }
        _ => to_say!("The window is a rule of the trade: the tuner and the kit's maker decide."),
    };
    Ok(Found::new()
        .in_unit("low", low_rpm)
        .in_unit("high", high_rpm)
        .text("verdict", verdict)
        .note(advice))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused};

    const TRADE: &str = "not below about 3000 rpm, off before the limiter: common practice, no source";

    #[test]
    pub(in crate::calc) fn rows() {
        let verdict = |inputs, text| exact(inputs, "verdict", Text(text), Kind::Practice, TRADE);
        let rows: &[Row] = &[
            number(
                "lowest=3500; limiter=6800; margin=300",
                "low",
                (3500.0, "rpm"),
                1e-9,
                Kind::Practice,
                TRADE,
            ),
            number(
                "lowest=3500; limiter=6800; margin=300",
                "high",
                (6500.0, "rpm"),
                1e-9,
                Kind::Practice,
                TRADE,
            ),
            verdict("lowest=3500 rpm; limiter=6800 rpm; margin=300 rpm", "fits"),
            verdict("lowest=3000 rpm; limiter=6800 rpm; margin=300 rpm", "fits"),
            verdict(
                "lowest=2999 rpm; limiter=6800 rpm; margin=300 rpm",
                "starts too low",
            ),
            verdict("lowest=6500 rpm; limiter=6800 rpm; margin=300 rpm", "no window"),
        ];
        check("rpm-window", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "rpm-window",
            &[
                (
                    "lowest=3500; limiter=6800; margin=0",
                    "`margin`: found 0 rpm, valid from 50 rpm to 3000 rpm",
                ),
                (
                    "lowest=fast; limiter=6800; margin=300",
                    "`lowest`: found `fast`, expected a number in decimal digits, a rotational speed: rpm",
                ),
            ],
        );
    }
}
