//! The blade fuse for a load, and whether it protects the wire behind it.
use super::ampacity::{self, AMBIENT_RANGE, Lay, ampacity_a};
use super::copper::{self, GAUGE};
use super::{
    CalcError, Calculator, Found, Given, InputKind, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec,
};
use crate::note;
use crate::quantity::Quantity;
use crate::table::{FuseTime, TableError, Tables};

/// Load and wire to a fuse.
pub static SPEC: Spec = Spec {
    id: "fuse-size",
    revision: 1,
    title: "Choose a blade fuse and hold it against the wire",
    equation: "continuous: rating ≥ I / (0.75 · k(T)); for seconds: at I / (rating · k(T)) the fuse must hold so long",
    inputs: &[
        InputSpec::number(
            "current",
            "Current",
            "I",
            "the greatest current of the load",
            Range::new(
                "A",
                0.01,
                80.0,
                "twice the greatest blade rating, which no fuse holds for longer than 0.15 s",
            ),
            Need::Required,
        ),
        InputSpec::number(
            "ambient",
            "Ambient temperature",
            "T",
            "the air at the fuse and the wire",
            AMBIENT_RANGE,
            Need::Required,
        ),
        GAUGE,
        InputSpec::new(
            "duty",
            "Time on",
            "t",
            "continuous, or the seconds that the load is on at a time",
            InputKind::NumberOrChoice(
                Range::new("s", 0.1, 600.0, "what is on for longer counts as continuous"),
                &["continuous"],
            ),
            Need::Default("continuous"),
        ),
        ampacity::insulation(Need::Default("105 °C")),
        ampacity::bundle(Need::Default("1")),
        ampacity::place(Need::Default("engine")),
    ],
    outputs: &[
        OutputSpec::new(
            "rating",
            "Fuse rating",
            "",
            "the smallest standard rating that serves the load",
            "A",
        ),
        OutputSpec::new(
            "load_percent",
            "Load on the fuse",
            "",
            "the load, of what this fuse stands at this temperature",
            "%",
        ),
        OutputSpec::flag(
            "wire_protected",
            "Wire protected",
            "whether the rating is no greater than the wire's ampacity",
        ),
        OutputSpec::new(
            "ampacity",
            "Ampacity here",
            "",
            "what the wire may carry without end here",
            "A",
        ),
    ],
    assumptions: &[
        "A fuse carries 75 % of its rating without end at 25 °C, and less in heat: 0.85 of that at 65 °C, 0.75 at 85 °C.",
        "A gentler slope of 0.15 %/K is often quoted; the steeper one of a maker's sheet is used, since it asks for the greater fuse in heat and so blows less in a hot bay. Whether the wire stands that fuse is told beside it.",
        ampacity::CHOICE,
        "A duty in seconds assumes that the fuse has cooled since the last time; its rating is advice.",
    ],
    sources: &[
        Source::new(
            "a fuse maker's guide",
            "75 % continuous rule at 25 °C (circuitprotection.ca/fuseology)",
            Mark::Seen,
        ),
        Source::new(
            "ISO 8820-3",
            "ratings and time limits, as makers' sheets print them",
            Mark::SecondHand,
        ),
        Source::new(
            "a maker's sheet of large blade fuses",
            "derating of a 40 A fuse",
            Mark::SecondHand,
        ),
        ampacity::BOAT,
        ampacity::BUNDLED,
        ampacity::AIRCRAFT,
    ],
    example: &[("current", "14 A"), ("ambient", "25 °C"), ("gauge", "12 AWG")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// Share of its rating that a fuse carries without end at 25 °C.
const CONTINUOUS: f64 = 0.75;

/// What [`fuse_size`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub current_a: f64,
    pub ambient_c: f64,
    /// None for a continuous load.
    pub on_s: Option<f64>,
}

/// The smallest rating of the table that serves the load; none where the greatest does not.
///
/// continuous: rating ≥ I / (0.75 · k(T)); for t seconds: a fuse loaded to m = I / (rating · k(T)) must hold
/// for t by the time limits at the next multiple that is no smaller than m.
///
/// # Inputs
/// Current in A (0.01 to 80), air temperature in °C (-40 to 125), seconds on (0.1 to 600) if not continuous.
///
/// # Result
/// The rating, and the share of its derated rating that the load takes.
///
/// # Assumptions
/// k(T) is a maker's derating, straight between its points, 1 below 25 °C. Limits between two multiples count
/// as those of the greater.
///
/// # Source
/// 75 % rule: a fuse maker's guide. Ratings and times: ISO 8820-3 as makers' sheets print it (second-hand).
///
/// # Errors
/// `NoRow` where the tables lack what is needed.
///
/// # Example
/// 18 A without end: 25 A at 25 °C, 30 A at 65 °C; see the tests.
pub fn fuse_size(inputs: Inputs, tables: &Tables) -> Result<Option<(Quantity, f64)>, TableError> {
    let derating = tables.fuse_derating(inputs.ambient_c)?;
    let mut times = tables.fuse_times_for("blade")?;
    // A fuse is never chosen on a time that is only remembered.
    times.retain(|row| row.origin.mark != Mark::Memory);
    let mut ratings: Vec<Quantity> = tables.fuses.iter().map(|fuse| fuse.rating).collect();
    ratings.sort_by(|a, b| a.si().total_cmp(&b.si()));
    let share = |rating: &Quantity| inputs.current_a / (rating.si() * derating);
    let serves = |rating: &Quantity| match inputs.on_s {
        None => share(rating) <= CONTINUOUS * (1.0 + 1e-9),
        Some(on_s) => holds_s(&times, share(rating)).is_some_and(|holds_s| holds_s >= on_s),
    };
    Ok(ratings
        .into_iter()
        .find(serves)
        .map(|rating| (rating, share(&rating))))
}

/// How long a fuse surely holds at a multiple of its rating; none beyond the table.
fn holds_s(times: &[&FuseTime], multiple: f64) -> Option<f64> {
    let row = times
        .iter()
        .find(|row| multiple <= row.multiple.si() * (1.0 + 1e-9))?;
    row.least.map(Quantity::si)
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let (inputs, lay) = (read(given)?, Lay::of(given)?);
    let nothing = || {
        given.refuse(
            "current",
            "which no blade fuse of the table carries at this temperature",
        )
    };
    let (rating, share) = fuse_size(inputs, tables)?.ok_or_else(nothing)?;
    let area_m2 = copper::area_m2(given)?;
    let unknown = || {
        given.refuse(
            "gauge",
            "a wire whose ampacity no table knows with this insulation",
        )
    };
    let ampacity_a = ampacity_a(tables, area_m2, &lay)?.ok_or_else(unknown)?;
    let protected = rating.si() <= ampacity_a;
    let found = Found::new()
        .quantity("rating", rating)
        .si("load_percent", share)
        .flag("wire_protected", protected)
        .si("ampacity", ampacity_a)
        .note(ampacity::note(&lay))
        .note_if(
            inputs.current_a > ampacity_a,
            "The load itself is above what the wire may carry without end: take a thicker wire.",
        )
        .note_if(!protected, note!("A {rating} fuse would let this wire carry more than its {ampacity} A: take a thicker wire, never a fuse that the load blows.", rating = rating, ampacity = format!("{ampacity_a:.1}")))
        .note_if(rating.si() > 30.0, "In-line holders for this fuse end at 30 A (second-hand): take a holder made for it.");
    Ok(duty_notes(found, inputs, rating, tables)?)
}

/// Says where the short duty and the continuous rule part.
fn duty_notes(found: Found, inputs: Inputs, rating: Quantity, tables: &Tables) -> Result<Found, TableError> {
    if inputs.on_s.is_none() {
        return Ok(found);
    }
    let found =
        found.note("The rating for a duty in seconds comes from the fuse's time-current band: it is advice.");
    let without_end = fuse_size(Inputs { on_s: None, ..inputs }, tables)?.map(|(rating, _)| rating);
    Ok(match without_end {
        Some(other) if other == rating => found,
        Some(other) => found.note(note!(
            "Without end the 75 % rule would ask for {other}: {rating} serves only as long as the load is this short.",
            other = other,
            rating = rating
        )),
        None => found.note("Without end no blade fuse of the table would carry this load."),
    })
}

fn read(given: &Given) -> Result<Inputs, CalcError> {
    Ok(Inputs {
        current_a: given.si("current")?,
        ambient_c: given.celsius("ambient")?,
        on_s: given.optional("duty").map(Quantity::si),
    })
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Flag, Kind, Row, check, exact, number, refused};

    const RULE: &str = "the 75 % rule and a maker's derating, worked out in Python";

    #[test]
    pub(in crate::calc) fn rows() {
        let rating =
            |inputs, amperes: f64| number(inputs, "rating", (amperes, "A"), 0.0, Kind::Independent, RULE);
        let rows: &[Row] = &[
            rating("current=14 A; ambient=25 °C; gauge=10 AWG", 20.0),
            rating("current=15 A; ambient=25 °C; gauge=10 AWG", 20.0),
            rating("current=18 A; ambient=25 °C; gauge=10 AWG", 25.0),
            rating("current=18 A; ambient=65 °C; gauge=10 AWG", 30.0),
            rating("current=22.5 A; ambient=25 °C; gauge=10 AWG", 30.0),
            rating("current=7.4 A; ambient=45 °C; gauge=10 AWG", 15.0),
            number(
                "current=14 A; ambient=25 °C; gauge=10 AWG",
                "load_percent",
                (70.0, "%"),
                1e-9,
                Kind::Independent,
                RULE,
            ),
            number(
                "current=18 A; ambient=65 °C; gauge=10 AWG",
                "load_percent",
                (18.0 / 0.255, "%"),
                1e-9,
                Kind::Independent,
                RULE,
            ),
        ];
        check("fuse-size", rows);
    }

    #[test]
    pub(in crate::calc) fn a_short_duty_is_held_by_the_band() {
        const BAND: &str =
            "at the rating a blade fuse holds 100 h, at 1.35 times 0.75 s (maker's sheet, second-hand)";
        let rating =
            |inputs, amperes: f64| number(inputs, "rating", (amperes, "A"), 0.0, Kind::Published, BAND);
        check(
            "fuse-size",
            &[
                rating("current=24 A; ambient=25 °C; gauge=10 AWG; duty=20 s", 25.0),
                rating("current=26 A; ambient=25 °C; gauge=10 AWG; duty=20", 30.0),
                rating("current=26 A; ambient=25 °C; gauge=10 AWG; duty=0.5 s", 20.0),
                rating("current=24 A; ambient=65 °C; gauge=10 AWG; duty=20 s", 30.0),
                rating("current=24 A; ambient=25 °C; gauge=10 AWG; duty=continuous", 35.0),
            ],
        );
    }

    #[test]
    pub(in crate::calc) fn the_fuse_is_never_above_the_wire() {
        const LAW: &str = "33 CFR 183.425, 105 °C in an engine space: 16 AWG 21 A, 14 AWG 30 A";
        let protected = |inputs, flag| exact(inputs, "wire_protected", Flag(flag), Kind::Published, LAW);
        check(
            "fuse-size",
            &[
                protected("current=14 A; ambient=25 °C; gauge=16 AWG", true),
                protected("current=18 A; ambient=25 °C; gauge=16 AWG", false),
                protected("current=18 A; ambient=25 °C; gauge=14 AWG", true),
                protected("current=18 A; ambient=25 °C; gauge=14 AWG; bundle=2", false),
                protected(
                    "current=18 A; ambient=25 °C; gauge=14 AWG; insulation=60 °C",
                    false,
                ),
            ],
        );
    }

    #[test]
    fn refusals() {
        refused(
            "fuse-size",
            &[
                (
                    "current=31 A; ambient=25 °C; gauge=10 AWG",
                    "`current`: found 31 A, which no blade fuse of the table",
                ),
                (
                    "current=1 A; ambient=25 °C; gauge=24 AWG; insulation=80 °C",
                    "`gauge`: found 24 AWG, a wire whose ampacity",
                ),
                (
                    "current=1 A; ambient=25 °C; gauge=12 AWG; duty=an hour",
                    "`duty`: found `an hour`, expected a number",
                ),
                (
                    "current=1 A; ambient=25 °C; gauge=12 AWG; duty=1 h",
                    "`duty`: found 1 h, valid from 0.1 s to 600 s",
                ),
                (
                    "current=1 A; ambient=25 °C; gauge=12 AWG; bundle=1.5",
                    "`bundle`: found 1.5, expected a whole number",
                ),
            ],
        );
    }
}
