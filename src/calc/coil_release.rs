//! The voltage peak of a coil that is switched off, and how long its current takes to die.
use super::wire_drop::SUPPLY;
use super::{
    CalcError, Calculator, Found, Given, InputKind, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec,
};
use crate::quantity::{Dimension, Quantity};
use crate::table::Tables;

/// Coil and suppression to a peak and a time.
pub static SPEC: Spec = Spec {
    id: "coil-release",
    revision: 1,
    title: "Peak and decay of a switched coil",
    equation: "t = L/(R + R_s) · ln((I0 · (R + R_s) + U_c) / (f · I0 · (R + R_s) + U_c)); peak = I0 · R_s + U_c; I0 = U/R",
    inputs: &[
        SUPPLY,
        InputSpec::number(
            "coil",
            "Coil resistance",
            "R",
            "the coil",
            Range::new("ohm", 0.2, 2000.0, "solenoids to relays of vehicles"),
            Need::Required,
        ),
        InputSpec::number(
            "inductance",
            "Coil inductance",
            "L",
            "the coil, its armature pulled in",
            Range::new("H", 1e-4, 5.0, "solenoids to relays of vehicles"),
            Need::Required,
        ),
        InputSpec::choice(
            "suppression",
            "Suppression",
            "what takes the current when the switch opens",
            &["diode", "resistor", "tvs", "none"],
            Need::Required,
        ),
        InputSpec::new(
            "value",
            "Suppressor value",
            "R_s, U_c",
            "the resistor's ohms, or the volts of the tvs or the diode; 0.7 V for a diode when left out",
            InputKind::Either(
                Range::new("ohm", 10.0, 10_000.0, "suppression resistors of vehicles"),
                Range::new("V", 0.2, 100.0, "diodes to clamps of vehicles"),
            ),
            Need::Optional,
        ),
        InputSpec::number(
            "final_fraction",
            "Final fraction",
            "f",
            "of the first current, at which the decay counts as done",
            Range::new(
                "1",
                0.01,
                0.9,
                "relays drop out above a tenth of their nominal voltage, a data sheet",
            ),
            Need::Default("0.1"),
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "peak",
            "Voltage peak",
            "",
            "across the coil, against the supply's sense",
            "V",
        ),
        OutputSpec::new(
            "current_decay",
            "Current decay",
            "t",
            "until the current is down to that fraction",
            "ms",
        ),
    ],
    assumptions: &[
        "One inductance and one resistance, both constant: an armature that moves changes the inductance and adds milliseconds.",
        "Without suppression the peak has no bound here, and 1000 to 1500 V were measured: it is refused.",
        "A diode across a coil keeps a solenoid or relay closed longer than a resistor does.",
    ],
    sources: &[
        Source::new(
            "first-order decay",
            "in Python, fixed illustrative inductance",
            Mark::Computed,
        ),
        Source::new(
            "a relay maker's application note",
            "kick of an unsuppressed coil (scribd.com 48948118)",
            Mark::Seen,
        ),
    ],
    example: &[
        ("supply", "13.5 V"),
        ("coil", "85 ohm"),
        ("inductance", "350 mH"),
        ("suppression", "resistor"),
        ("value", "680 ohm"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`coil_release`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub supply_v: f64,
    pub coil_ohm: f64,
    pub inductance_h: f64,
    /// 0 for a diode or a tvs.
    pub suppressor_ohm: f64,
    /// 0 for a resistor.
    pub clamp_v: f64,
    /// Of the first current.
    pub final_fraction: f64,
}

/// The peak across the coil in V, and the decay in s.
///
/// t = L/(R + R_s) · ln((I0 · (R + R_s) + U_c) / (f · I0 · (R + R_s) + U_c)); peak = I0 · R_s + U_c
///
/// # Inputs
/// Supply in V (6 to 32), coil in Ω (0.2 to 2000), inductance in H (1e-4 to 5), suppressor in Ω and V, final
/// fraction (0.01 to 0.9).
///
/// # Result
/// V and s.
///
/// # Assumptions
/// Constant inductance and resistance, an ideal switch, an ideal clamp.
///
/// # Source
/// First-order decay; rows computed in Python.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::coil_release::{Inputs, coil_release};
/// let (peak_v, decay_s) = coil_release(Inputs {
///     supply_v: 13.5, coil_ohm: 85.0, inductance_h: 0.35, suppressor_ohm: 680.0, clamp_v: 0.0,
///     final_fraction: 1.5 / 13.5,
/// });
/// assert!((peak_v - 108.0).abs() < 1e-9 && (decay_s - 1.005e-3).abs() < 5e-7);
/// ```
pub fn coil_release(inputs: Inputs) -> (f64, f64) {
    let first_a = inputs.supply_v / inputs.coil_ohm;
    let loop_ohm = inputs.coil_ohm + inputs.suppressor_ohm;
    let from_v = first_a * loop_ohm + inputs.clamp_v;
    let to_v = inputs.final_fraction * first_a * loop_ohm + inputs.clamp_v;
    let decay_s = inputs.inductance_h / loop_ohm * (from_v / to_v).ln();
    (first_a * inputs.suppressor_ohm + inputs.clamp_v, decay_s)
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let (suppressor_ohm, clamp_v) = suppressor(given)?;
    let (peak_v, decay_s) = coil_release(Inputs {
        supply_v: given.si("supply")?,
        coil_ohm: given.si("coil")?,
        inductance_h: given.si("inductance")?,
        suppressor_ohm,
        clamp_v,
        final_fraction: given.si("final_fraction")?,
    });
    Ok(Found::new()
        .si("peak", peak_v)
        .si("current_decay", decay_s)
        .note_if(
            given.is("suppression", "diode") && given.optional("value").is_none(),
            "A diode counts as 0.7 V where its own voltage is not given.",
        )
        .note("The current's decay alone: the armature's way and its changing inductance come on top."))
}

/// The suppressor as ohms and volts in series.
fn suppressor(given: &Given) -> Result<(f64, f64), CalcError> {
    let value = given.optional("value");
    let as_a = |dimension: Dimension| {
        value
            .filter(|value| value.dimension() == dimension)
            .map(Quantity::si)
    };
    let (ohm, volt) = (as_a(Dimension::Resistance), as_a(Dimension::Voltage));
    match (given.word("suppression").unwrap_or_default(), value, ohm, volt) {
        ("diode", None, ..) => Ok((0.0, 0.7)),
        ("diode" | "tvs", _, _, Some(volt)) => Ok((0.0, volt)),
        ("resistor", _, Some(ohm), _) => Ok((ohm, 0.0)),
        ("none", ..) => Err(given.refuse(
            "suppression",
            "whose peak has no bound here: fit a diode, a resistor or a tvs",
        )),
        ("resistor", ..) => Err(given.refuse("value", "expected the ohms of the resistor")),
        _ => Err(given.refuse("value", "expected the volts of the diode or tvs")),
    }
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    const PYTHON: &str = "first-order decay in Python, 0.35 H illustrative, released at 1.5 V of 13.5 V";

    #[test]
    pub(in crate::calc) fn rows() {
        let relay = |rest: &str| -> &'static str {
            let relay = "supply=13.5 V; coil=85 ohm; inductance=0.35 H; final_fraction=0.111111111111";
            Box::leak(format!("{relay}; {rest}").into_boxed_str())
        };
        let decay = |inputs, ms| {
            number(
                inputs,
                "current_decay",
                (ms, "ms"),
                5e-4,
                Kind::Independent,
                PYTHON,
            )
        };
        let peak = |inputs, volts| number(inputs, "peak", (volts, "V"), 1e-9, Kind::Independent, PYTHON);
        let bench = "supply=12 V; coil=120 ohm; inductance=0.35 H; suppression=resistor; value=680 ohm";
        let rows: &[Row] = &[
            decay(relay("suppression=diode"), 7.679),
            peak(relay("suppression=diode"), 0.7),
            decay(relay("suppression=resistor; value=680 ohm"), 1.005),
            peak(relay("suppression=resistor; value=680"), 108.0),
            decay(relay("suppression=tvs; value=24.7 V"), 1.553),
            decay(relay("suppression=TVS; value=30 V"), 1.329),
            peak(relay("suppression=tvs; value=30 V"), 30.0),
            number(
                bench,
                "peak",
                (65.0, "V"),
                3.1,
                Kind::Published,
                "a bench measurement of 65 V (electro-tech-online.com, thread 167257), printed without tolerance; the model gives 68 V",
            ),
        ];
        check("coil-release", rows);
    }

    #[test]
    fn refusals() {
        let relay = |rest: &str| -> &'static str {
            Box::leak(format!("supply=13.5 V; coil=85 ohm; inductance=0.35 H; {rest}").into_boxed_str())
        };
        refused(
            "coil-release",
            &[
                (
                    relay("suppression=none"),
                    "`suppression`: found none, whose peak has no bound here",
                ),
                (
                    relay("suppression=resistor"),
                    "`value`: found nothing, expected the ohms of the resistor",
                ),
                (
                    relay("suppression=tvs; value=680 ohm"),
                    "`value`: found 680 Ω, expected the volts of the diode or tvs",
                ),
                (
                    relay("suppression=resistor; value=3 bar"),
                    "`value`: found 3 bar, expected a resistance",
                ),
            ],
        );
    }
}
