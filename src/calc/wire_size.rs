//! The thinnest wire that neither loses too much voltage nor gets too hot.
use super::ampacity::{self, Lay, ampacity_a};
use super::copper::{self, B258, IACS};
use super::wire_drop::{CURRENT, LENGTH, RETURN, SUPPLY};
use super::{
    CalcError, Calculator, Found, Given, InputKind, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec,
};
use crate::note;
use crate::quantity::Quantity;
use crate::table::{Tables, Wire};

/// Load and place to a gauge.
pub static SPEC: Spec = Spec {
    id: "wire-size",
    revision: 1,
    title: "Size a wire by voltage drop and ampacity",
    equation: "A ≥ ρ · I · L / U_allowed with A the least area sold, and I ≤ I_table · √((T_i − T_air)/(T_i − T_table)) · bundle factor",
    inputs: &[
        CURRENT,
        LENGTH,
        InputSpec::new(
            "allowed_drop",
            "Allowed drop",
            "U_allowed",
            "what may be lost, of the supply or in volts",
            InputKind::Either(
                Range::new(
                    "%",
                    0.1,
                    20.0,
                    "boat practice allows 3 % for what matters, 10 % for the rest",
                ),
                Range::new("V", 0.01, 5.0, "a loss that leaves a 12 V load working"),
            ),
            Need::Required,
        ),
        SUPPLY,
        RETURN,
        ampacity::insulation(Need::Required),
        ampacity::bundle(Need::Required),
        InputSpec::number(
            "ambient",
            "Ambient temperature",
            "T_air",
            "the air at the hottest part",
            ampacity::AMBIENT_RANGE,
            Need::Required,
        ),
        ampacity::place(Need::Required),
    ],
    outputs: &[
        OutputSpec::new("gauge", "Wire size", "", "the thinnest wire that serves", "AWG"),
        OutputSpec::new(
            "area",
            "Conductor area",
            "A",
            "its nominal area: a metric wire must have at least this",
            "mm²",
        ),
        OutputSpec::words(
            "governed_by",
            "Governed by",
            "which of drop and ampacity asks for it",
            &["drop", "ampacity"],
        ),
        OutputSpec::new(
            "ampacity",
            "Ampacity here",
            "",
            "what this wire may carry without end here",
            "A",
        ),
        OutputSpec::new(
            "drop",
            "Voltage drop",
            "",
            "what it loses, its least area counted",
            "V",
        ),
    ],
    assumptions: &[
        "The least conductor area sold under the gauge counts, not the nominal one.",
        "The resistivity is the greater of the boat constant 10.75 Ω·cmil/ft and of pure copper at the conductor's temperature.",
        "The conductor's rise over the air goes with the square of the load; AC 43.13-1B uses the root, which is hotter still.",
        "A chassis return counts as 0 Ω.",
        "Where sources contradict one another, the lesser area and the greater resistivity count: the safe side. The chart of 0.0164 Ω·mm²/m is 5 % below pure copper and is not used.",
        "Tinned strands of AC 43.13-1B lose more still: a note says where they would pass the allowed drop.",
        ampacity::CHOICE,
    ],
    sources: &[
        Source::new(
            "ABYC E-11",
            "CM = 10.75 · I · L / E, as a chandler prints it (hollandmarine.com, pages 52 and 53)",
            Mark::SecondHand,
        ),
        Source::new("SAE J1128", "least conductor areas of 18 to 8 AWG", Mark::Memory),
        ampacity::BOAT,
        ampacity::BUNDLED,
        B258,
        IACS,
    ],
    example: &[
        ("current", "10 A"),
        ("length", "10.5 ft"),
        ("allowed_drop", "3 %"),
        ("supply", "12 V"),
        ("return", "wire"),
        ("insulation", "105 °C"),
        ("bundle", "1"),
        ("ambient", "30 °C"),
        ("place", "cabin"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// The boat constant K of ABYC E-11 in Ω·m: 10.75 Ω for a circular mil and a foot.
const BOAT_RESISTIVITY_OHM_M: f64 = 10.75 * 5.067_074_790_97e-10 / 0.3048;

/// What [`wire_size`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub current_a: f64,
    /// Out, and back where the return is a wire.
    pub loop_m: f64,
    pub allowed_v: f64,
    pub lay: Lay,
}

/// A wire that serves, with what it does here.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Size {
    pub gauge: Quantity,
    pub by_drop: bool,
    pub ampacity_a: f64,
    pub drop_v: f64,
    /// With the worst strands that are sold under the gauge.
    pub worst_drop_v: f64,
}

/// The thinnest gauge of the table that serves; none where the thickest does not.
///
/// # Inputs
/// Current in A (0.01 to 200), loop length in m, allowed drop in V, and how the wire lies.
///
/// # Result
/// The gauge, whether the drop asks for it rather than the ampacity, and what this wire carries and loses.
///
/// # Assumptions
/// The least area sold under a gauge; resistivity the greater of 10.75 Ω·cmil/ft and pure copper at the
/// conductor's temperature, both the safe side of contradicting sources, T = T_air + (T_i − T_air) · (I / I_allowed)².
///
/// # Source
/// ABYC E-11 form (as a chandler prints it), SAE J1128 areas (from memory), 33 CFR 183.425 table 5.
///
/// # Errors
/// `NoRow` where the tables lack a column or bundle.
///
/// # Example
/// The chandler's own: 10 A over 21 ft of loop at 12 V is 10 AWG for 3 % and 16 AWG for 10 %; see the tests.
pub fn wire_size(inputs: Inputs, tables: &Tables) -> Result<Option<Size>, CalcError> {
    let mut sizes: Vec<&Wire> = tables
        .wires
        .iter()
        .filter(|wire| wire.gauge.unit().is_gauge())
        .collect();
    sizes.sort_by(|a, b| a.gauge.si().total_cmp(&b.gauge.si()));
    let mut too_thin_by_drop = false;
    // 33 CFR 183.425 lets no wire lie by itself below 18 AWG, the thinnest it knows.
    for wire in sizes.into_iter().filter(|wire| wire.gauge.value() <= 18.0) {
        let Some(ampacity_a) = ampacity_a(tables, wire.gauge.si(), &inputs.lay)? else {
            continue;
        };
        if inputs.current_a > ampacity_a {
            continue;
        }
        let (drop_v, worst_drop_v) = losses_v(&inputs, wire, ampacity_a);
        if drop_v <= inputs.allowed_v {
            return Ok(Some(Size {
                gauge: wire.gauge,
                by_drop: too_thin_by_drop,
                ampacity_a,
                drop_v,
                worst_drop_v,
            }));
        }
        too_thin_by_drop = true;
    }
    Ok(None)
}

/// What the wire loses with its least area, and with the worst strands that are sold under its name.
fn losses_v(inputs: &Inputs, wire: &Wire, ampacity_a: f64) -> (f64, f64) {
    let (air_c, limit_c) = (inputs.lay.air_c(), inputs.lay.column_c());
    let conductor_c = air_c + (limit_c - air_c) * (inputs.current_a / ampacity_a).powi(2);
    let hotter = copper::temperature_factor(conductor_c);
    let resistivity_ohm_m = (copper::RESISTIVITY_OHM_M * hotter).max(BOAT_RESISTIVITY_OHM_M);
    let ohm_per_m = resistivity_ohm_m / wire.least_area.si();
    let worst_ohm_per_m = ohm_per_m.max(wire.most_resistance.si() * hotter);
    let volts = |ohm_per_m: f64| inputs.current_a * ohm_per_m * inputs.loop_m;
    (volts(ohm_per_m), volts(worst_ohm_per_m))
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let chassis = given.is("return", "chassis");
    let allowed = given.quantity("allowed_drop")?;
    let supply_v = given.si("supply")?;
    let share = allowed.unit().symbol() != "V" && allowed.unit().symbol() != "mV";
    let inputs = Inputs {
        current_a: given.si("current")?,
        loop_m: given.si("length")? * if chassis { 1.0 } else { 2.0 },
        allowed_v: if share {
            allowed.si() * supply_v
        } else {
            allowed.si()
        },
        lay: Lay::of(given)?,
    };
    let nothing = || {
        given.refuse(
            "current",
            "which no wire of the table carries here within the allowed drop",
        )
    };
    let size = wire_size(inputs, tables)?.ok_or_else(nothing)?;
    Ok(Found::new()
        .quantity("gauge", size.gauge)
        .si("area", size.gauge.si())
        .text("governed_by", if size.by_drop { "drop" } else { "ampacity" })
        .si("ampacity", size.ampacity_a)
        .si("drop", size.drop_v)
        .note("The least conductor area sold under the gauge is counted (SAE J1128, from memory), not the nominal one.")
        .note_if(
            size.worst_drop_v > inputs.allowed_v,
            note!(
                "The worst strands sold as {gauge} (AC 43.13-1B) would lose {drop} V, more than the allowed {allowed} V: take the next size up where the wire's make is not known.",
                gauge = size.gauge,
                drop = format!("{:.3}", size.worst_drop_v),
                allowed = format!("{:.3}", inputs.allowed_v)
            ),
        )
        .note(ampacity::note(&inputs.lay))
        .note_if(chassis, "The chassis return is counted as 0 Ω: measure it."))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused};

    const CHANDLER: &str = "a chandler's print of the ABYC E-11 tables (hollandmarine.com, pages 52 and 53)";
    const PYTHON: &str = "CM = 10.75 · I · L / E in Python against the SAE J1128 areas (from memory)";

    #[test]
    pub(in crate::calc) fn rows() {
        const CABIN: &str =
            "return=wire; insulation=105C; bundle=1; ambient=30 °C; place=cabin; supply=12 V; ";
        let gauge = |inputs: &str, gauge: f64, kind, source| {
            let inputs: &'static str = Box::leak(format!("{CABIN}{inputs}").into_boxed_str());
            number(inputs, "gauge", (gauge, "AWG"), 0.0, kind, source)
        };
        let rows: &[Row] = &[
            gauge(
                "current=10 A; length=10.5 ft; allowed_drop=3 %",
                10.0,
                Kind::Published,
                CHANDLER,
            ),
            gauge(
                "current=10 A; length=10.5 ft; allowed_drop=10 %",
                16.0,
                Kind::Published,
                CHANDLER,
            ),
            gauge(
                "current=10 A; length=10.5 ft; allowed_drop=0.36 V",
                10.0,
                Kind::Published,
                CHANDLER,
            ),
            gauge(
                "current=20 A; length=20 ft; allowed_drop=3",
                6.0,
                Kind::Independent,
                PYTHON,
            ),
            gauge(
                "current=15 A; length=15 ft; allowed_drop=3 %",
                8.0,
                Kind::Independent,
                PYTHON,
            ),
            gauge(
                "current=25 A; length=7.5 ft; allowed_drop=3 %",
                8.0,
                Kind::Independent,
                PYTHON,
            ),
        ];
        check("wire-size", rows);
    }

    #[test]
    pub(in crate::calc) fn what_governs() {
        const LAW: &str = "33 CFR 183.425 table 5, 105 °C: 14 AWG 35 A, 12 AWG 45 A, 10 AWG 60 A";
        let short = "current=40 A; length=10 cm; allowed_drop=10 %; supply=13.8 V; return=chassis; \
                     insulation=105 °C; bundle=1; ambient=20 °C; place=cabin";
        let engine = "current=40 A; length=10 cm; allowed_drop=10 %; supply=13.8 V; return=chassis; \
                      insulation=105 °C; bundle=1; ambient=20 °C; place=engine";
        let long = "current=40 A; length=10 m; allowed_drop=10 %; supply=13.8 V; return=chassis; \
                    insulation=105 °C; bundle=1; ambient=20 °C; place=cabin";
        check(
            "wire-size",
            &[
                number(short, "gauge", (12.0, "AWG"), 0.0, Kind::Published, LAW),
                exact(short, "governed_by", Text("ampacity"), Kind::Published, LAW),
                number(short, "ampacity", (45.0, "A"), 1e-9, Kind::Published, LAW),
                number(engine, "gauge", (10.0, "AWG"), 0.0, Kind::Published, LAW),
                exact(
                    long,
                    "governed_by",
                    Text("drop"),
                    Kind::Property,
                    "a longer run asks for a thicker wire",
                ),
                number(
                    long,
                    "gauge",
                    (8.0, "AWG"),
                    0.0,
                    Kind::Property,
                    "10.75 · 40 · 32.8 / 1.38 is 10 222 cmil",
                ),
            ],
        );
    }

    /// 12 AWG with its least area keeps 3.5 % here; with the tinned strands of AC 43.13-1B, 2.02 Ω/1000 ft, it does not.
    #[test]
    fn worse_strands_are_told() {
        let inputs = "current=10 A; length=10.5 ft; allowed_drop=3.4 %; supply=12 V; return=wire; insulation=105 °C; \
                      bundle=1; ambient=30 °C; place=cabin";
        let outcome = crate::calc::check::run_typed("wire-size", inputs).unwrap();
        let gauge = outcome.output("gauge").unwrap().to_string();
        let told = outcome
            .notes
            .iter()
            .any(|note| note.to_string().starts_with("The worst strands sold as 12 AWG"));
        assert!(gauge == "12 AWG" && told, "{gauge}: {:?}", outcome.notes);
    }

    #[test]
    fn refusals() {
        refused(
            "wire-size",
            &[
                (
                    "current=200 A; length=50 m; allowed_drop=1 %; supply=12 V; return=wire; insulation=105 °C; \
                     bundle=1; ambient=30 °C; place=cabin",
                    "`current`: found 200 A, which no wire of the table carries",
                ),
                (
                    "current=2 A; length=5 m; allowed_drop=3 %; supply=12 V; return=wire; insulation=105 °C; \
                     bundle=1; ambient=110 °C; place=engine",
                    "`ambient`: found 110 °C, where the air counts as 110 °C and the insulation as 105 °C",
                ),
                (
                    "current=2 A; length=5 m; allowed_drop=3 bar; supply=12 V; return=wire; insulation=105 °C; \
                     bundle=1; ambient=20 °C; place=engine",
                    "`allowed_drop`: found 3 bar, expected a plain number, or one in %",
                ),
            ],
        );
    }
}
