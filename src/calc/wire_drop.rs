//! The voltage that a wire run loses on its way to the load and back.
use super::copper::{self, B258, CONDUCTOR_TEMPERATURE, GAUGE, IACS, STRANDED};
use super::{
    CalcError, Calculator, Found, Given, InputKind, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec,
};
use crate::note;
use crate::table::Tables;

pub(super) const CURRENT: InputSpec = InputSpec::new(
    "current",
    "Current",
    "I",
    "the greatest current of the load",
    InputKind::Number(Range::new(
        "A",
        0.01,
        200.0,
        "loads that a vehicle's accessory wiring feeds",
    )),
    Need::Required,
);
pub(super) const LENGTH: InputSpec = InputSpec::new(
    "length",
    "Length one way",
    "L",
    "the run from the supply to the load, one way",
    InputKind::Number(Range::new("m", 0.01, 50.0, "lengths of a vehicle's wiring")),
    Need::Required,
);
pub(super) const SUPPLY: InputSpec = InputSpec::new(
    "supply",
    "Supply voltage",
    "U",
    "the voltage at the supply",
    InputKind::Number(Range::new(
        "V",
        6.0,
        32.0,
        "6 V systems to the 32 V of blade fuses, ISO 8820-3",
    )),
    Need::Required,
);
pub(super) const RETURN: InputSpec = InputSpec::new(
    "return",
    "Return path",
    "",
    "whether the current comes back through the chassis or a wire like the feed",
    InputKind::Choice(&["chassis", "wire"]),
    Need::Required,
);

/// Current, length and size to volts.
pub static SPEC: Spec = Spec {
    id: "wire-drop",
    revision: 1,
    title: "Voltage drop of a wire run",
    equation: "U_drop = I · (R_feed + R_return), R = ρ · L / A · (1 + 0.00393/K · (T − 20 °C))",
    inputs: &[
        CURRENT,
        LENGTH,
        GAUGE,
        RETURN,
        InputSpec::new(
            "temperature",
            "Conductor temperature",
            "T",
            "the temperature of the conductor",
            InputKind::Number(CONDUCTOR_TEMPERATURE),
            Need::Required,
        ),
        SUPPLY,
        InputSpec::new(
            "return_resistance",
            "Return resistance",
            "R_return",
            "the chassis return, if it was measured",
            InputKind::Number(Range::new(
                "mohm",
                0.0,
                1000.0,
                "a ground of 1 Ω is a fault, not a return",
            )),
            Need::Default("0 mohm"),
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "drop",
            "Voltage drop",
            "U_drop",
            "lost between supply and load",
            "V",
        ),
        OutputSpec::new(
            "drop_percent",
            "Voltage drop, of the supply",
            "",
            "of the supply",
            "%",
        ),
    ],
    assumptions: &[
        "Solid annealed copper of 100 % IACS and of the size's nominal area. Tables of stranded wire contradict it by up to 27 %: the note gives the worst that is sold, and the safe side is to judge by that.",
        "A chassis return counts as 0 Ω unless its resistance is given.",
        "Joints, fuse, relay and switches are not counted.",
        "Some boat charts take 0.0164 Ω·mm²/m. That is 5 % below pure copper, which no wire is, so 0.017241 is used: the safe side.",
    ],
    sources: &[
        B258,
        IACS,
        STRANDED,
        Source::new(
            "ISO 10133",
            "form of the drop, as printed at energy-solutions.co.uk/voltdrop-calc.html",
            Mark::SecondHand,
        ),
    ],
    example: &[
        ("current", "20 A"),
        ("length", "4 m"),
        ("gauge", "12 AWG"),
        ("return", "chassis"),
        ("temperature", "60 °C"),
        ("supply", "13.8 V"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`wire_drop`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub current_a: f64,
    /// One way.
    pub length_m: f64,
    pub area_m2: f64,
    pub temperature_c: f64,
    /// None where the return is a wire like the feed.
    pub chassis_ohm: Option<f64>,
}

/// The voltage lost in a wire run, in V.
///
/// U_drop = I · (R_feed + R_return)
///
/// # Inputs
/// Current in A (0.01 to 200), length one way in m (0.01 to 50), area in m², conductor temperature in °C
/// (-40 to 200), chassis resistance in Ω where the return is the chassis.
///
/// # Result
/// V lost in feed and return together.
///
/// # Assumptions
/// Solid copper of the nominal area, nothing lost in joints.
///
/// # Source
/// ASTM B258 and IEC 60028 (from memory). A boat form of ISO 10133 uses 0.0164 Ω·mm²/m; that is 5 % below
/// 100 % IACS, so the greater 0.017241 is used here: the safe side. Stranded tables (AC 43.13-1B) go up to 27 %
/// above solid copper; the outcome's note gives that drop too.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::wire_drop::{Inputs, wire_drop};
/// let inputs =
///     Inputs { current_a: 10.0, length_m: 3.2, area_m2: 2.5e-6, temperature_c: 20.0, chassis_ohm: None };
/// assert!((wire_drop(inputs) - 0.44137).abs() < 5e-6);
/// ```
pub fn wire_drop(inputs: Inputs) -> f64 {
    let wire_ohm = copper::resistance_ohm(inputs.area_m2, inputs.length_m, inputs.temperature_c);
    inputs.current_a * (wire_ohm + inputs.chassis_ohm.unwrap_or(wire_ohm))
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let inputs = read(given)?;
    let (drop_v, supply_v) = (wire_drop(inputs), given.si("supply")?);
    if drop_v >= supply_v {
        return Err(given.refuse(
            "current",
            "which such a wire cannot pass from this supply: it would lose it all",
        ));
    }
    let found = Found::new()
        .si("drop", drop_v)
        .si("drop_percent", drop_v / supply_v)
        .note_if(
            inputs.chassis_ohm == Some(0.0),
            "The chassis return is counted as 0 Ω: measure it.",
        )
        .idle_if(true, "return_resistance");
    let gauge = given.quantity("gauge")?;
    let Some(wire) = tables.wire(gauge) else {
        return Ok(found.note(copper::NO_STRANDED_ROW));
    };
    let worst_area_m2 = copper::RESISTIVITY_OHM_M / wire.most_resistance.si();
    let worst_v = wire_drop(Inputs {
        area_m2: worst_area_m2,
        ..inputs
    });
    Ok(found.note(
        note!(
            "With the worst stranded wire sold as {gauge} the drop is {drop} V ({source}).",
            gauge = gauge,
            drop = format!("{worst_v:.3}")
        )
        .with("source", vec![wire.origin.parts()]),
    ))
}

fn read(given: &Given) -> Result<Inputs, CalcError> {
    let chassis_ohm = given.si("return_resistance")?;
    let chassis = given.is("return", "chassis");
    if !chassis && chassis_ohm > 0.0 {
        return Err(given.refuse(
            "return_resistance",
            "but the return is a wire, which is worked out from its size",
        ));
    }
    Ok(Inputs {
        current_a: given.si("current")?,
        length_m: given.si("length")?,
        area_m2: copper::area_m2(given)?,
        temperature_c: given.celsius("temperature")?,
        chassis_ohm: chassis.then_some(chassis_ohm),
    })
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    const PYTHON: &str = "5.2107 Ω/km at 20 °C, 6.4394 at 80 °C (ASTM B258, IACS copper in Python)";
    const BOAT: &str = "the worked examples of energy-solutions.co.uk/voltdrop-calc.html with 0.0164 Ω·mm²/m, times 17.241/16.4 for pure copper";

    #[test]
    pub(in crate::calc) fn rows() {
        let python =
            |inputs, volts, within| number(inputs, "drop", (volts, "V"), within, Kind::Independent, PYTHON);
        let boat = |inputs, volts: f64| {
            number(
                inputs,
                "drop",
                (volts * 17.241 / 16.4, "V"),
                6e-5,
                Kind::Published,
                BOAT,
            )
        };
        let rows: &[Row] = &[
            python(
                "current=15 A; length=4 m; gauge=12 AWG; return=wire; temperature=20 °C; supply=13.8 V",
                15.0 * 8.0 * 5.2107e-3,
                6e-6,
            ),
            python(
                "current=15 A; length=4 m; gauge=12 AWG; return=chassis; temperature=80 °C; supply=13.8 V; \
                 return_resistance=5 mohm",
                15.0 * (4.0 * 6.4394e-3 + 5e-3),
                4e-6,
            ),
            boat(
                "current=10; length=3.2 m; gauge=2,5 mm2; return=wire; temperature=20 °C; supply=12 V",
                0.4198,
            ),
            boat(
                "current=20; length=5 m; gauge=6 mm2; return=wire; temperature=20 °C; supply=12 V",
                0.5467,
            ),
            boat(
                "current=5; length=2 m; gauge=1 mm2; return=wire; temperature=20 °C; supply=12 V",
                0.328,
            ),
            number(
                "current=20 A; length=1 m; gauge=12 AWG; return=chassis; temperature=20 °C; supply=12 V",
                "drop_percent",
                (100.0 * 20.0 * 5.2107e-3 / 12.0, "%"),
                1e-4,
                Kind::Independent,
                PYTHON,
            ),
        ];
        check("wire-drop", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "wire-drop",
            &[
                (
                    "current=9 A; length=50 m; gauge=24 AWG; return=wire; temperature=20 °C; supply=12 V",
                    "`current`: found 9 A, which such a wire cannot pass from this supply",
                ),
                (
                    "current=1 A; length=5 m; gauge=12 AWG; return=wire; temperature=20 °C; supply=12 V; \
                     return_resistance=5 mohm",
                    "`return_resistance`: found 5 mΩ, but the return is a wire",
                ),
                (
                    "current=1 A; length=5 m; gauge=12 AWG; return=water; temperature=20 °C; supply=12 V",
                    "`return`: found `water`, expected one of chassis, wire",
                ),
            ],
        );
    }
}
