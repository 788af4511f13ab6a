//! When a blade fuse opens at a current.
use super::wire_drop::CURRENT;
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::quantity::Quantity;
use crate::table::{FuseTime, TableError, Tables};

/// Rating and current to a span of time.
pub static SPEC: Spec = Spec {
    id: "fuse-time",
    revision: 1,
    title: "Opening time of a blade fuse",
    equation: "m = I / rating; not before the least time of the next multiple up, and by the greatest time of the next multiple down",
    inputs: &[
        InputSpec::number(
            "rating",
            "Fuse rating",
            "I_n",
            "printed on the fuse",
            Range::new("A", 1.0, 80.0, "blade fuses to 40 A, large ones to 80 A"),
            Need::Required,
        ),
        CURRENT,
        InputSpec::choice(
            "type",
            "Fuse body",
            "the fuse's body",
            &["blade", "maxi"],
            Need::Default("blade"),
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "opens_after_min",
            "Opens not before",
            "",
            "it does not open before",
            "s",
        ),
        OutputSpec::new(
            "opens_after_max",
            "Opens by",
            "",
            "it has opened by then; not given where it may hold without end",
            "s",
        ),
    ],
    assumptions: &[
        "At 23 °C, from rest; a warm fuse opens sooner.",
        "Between two printed multiples the band is that of both: nothing is interpolated.",
        "Where a maker and the standard contradict one another, the wider band counts: at 1.35 times 1800 s, not 600 s; at 6 times 0.15 s, not 0.1 s. That is the safe side, since the wire must stand the longer time. Advice, never an acceptance limit.",
    ],
    sources: &[
        Source::new(
            "ISO 8820-3",
            "type C overload points, as a relay's data sheet quotes them (xonelec.com 219040256)",
            Mark::SecondHand,
        ),
        Source::new(
            "fuse makers' sheets",
            "18 Aug 2022 (farnell.com/datasheets/3767635.pdf) and 6 Jan 2025, as transcribed",
            Mark::SecondHand,
        ),
        Source::new(
            "ISO 8820-3",
            "1.1 times for 100 h; least times at 3.5 and 6 times",
            Mark::Memory,
        ),
    ],
    example: &[("rating", "20 A"), ("current", "27 A")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`fuse_time`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs<'a> {
    pub rating_a: f64,
    pub current_a: f64,
    /// `blade` or `maxi`.
    pub body: &'a str,
}

/// Between when and when a fuse opens, in s.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Span {
    pub least_s: Option<f64>,
    pub most_s: Option<f64>,
}

/// Between when and when a fuse opens; none where the current is beyond the last row.
///
/// m = I / rating
///
/// # Inputs
/// Rating in A (1 to 80), current in A (0.01 to 200), body.
///
/// # Result
/// Two times in s; the least is none where no row knows it, the greatest where the fuse may hold.
///
/// # Assumptions
/// The least time falls and the greatest time falls with the multiple, so that the rows on either side bound it.
///
/// # Source
/// ISO 8820-3 points and makers' sheets (second-hand; some least times from memory).
///
/// # Errors
/// `NoRow` where the tables know no such body.
///
/// # Example
/// A 20 A fuse at 27 A opens between 0.75 s and 1800 s; see the tests.
pub fn fuse_time(inputs: Inputs, tables: &Tables) -> Result<Option<Span>, TableError> {
    let mut rows = tables.fuse_times_for(inputs.body)?;
    rows.retain(|row| row.up_to.is_none_or(|up_to| inputs.rating_a <= up_to.si()));
    let multiple = inputs.current_a / inputs.rating_a;
    let above = |row: &&&FuseTime| multiple <= row.multiple.si() * (1.0 + 1e-9);
    let below = |row: &&&FuseTime| row.multiple.si() * (1.0 - 1e-9) <= multiple;
    let Some(next_up) = rows.iter().find(above) else {
        return Ok(None);
    };
    let next_down = rows.iter().rev().find(below);
    Ok(Some(Span {
        least_s: next_up.least.map(Quantity::si),
        most_s: next_down.and_then(|row| row.most).map(Quantity::si),
    }))
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let (rating_a, current_a) = (given.si("rating")?, given.si("current")?);
    let body = given.word("type").unwrap_or_default();
    refuse_unknown_blade(given, rating_a, body, tables)?;
    let beyond = || {
        given.refuse(
            "current",
            "which is more than the greatest printed multiple of the rating",
        )
    };
    let span = fuse_time(
        Inputs {
            rating_a,
            current_a,
            body,
        },
        tables,
    )?
    .ok_or_else(beyond)?;
    let found = Found::new()
        .si("opens_after_min", span.least_s.unwrap_or(0.0))
        .note("Advice from the fuse's time-current band at 23 °C, not an acceptance limit.")
        .note_if(
            span.least_s.is_none(),
            "No least time is known here: it may open at once.",
        );
    Ok(match span.most_s {
        Some(most_s) => found.si("opens_after_max", most_s),
        None => found.note("It may hold without end: this current is no fault that the fuse will clear."),
    })
}

fn refuse_unknown_blade(given: &Given, rating_a: f64, body: &str, tables: &Tables) -> Result<(), CalcError> {
    if body != "blade"
        || tables
            .fuses
            .iter()
            .any(|fuse| (fuse.rating.si() - rating_a).abs() < 1e-9)
    {
        return Ok(());
    }
    let ratings: Vec<String> = tables.fuses.iter().map(|fuse| fuse.rating.to_string()).collect();
    Err(given.refuse(
        "rating",
        note!(
            "which no blade fuse has; there are {ratings}",
            ratings = ratings.join(", ")
        ),
    ))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused, run_typed};

    #[test]
    pub(in crate::calc) fn rows() {
        const ISO: &str = "ISO 8820-3 type C points as a relay's data sheet quotes them (second-hand)";
        const MAKER: &str =
            "a maker's sheet of blade fuses, farnell.com/datasheets/3767635.pdf (second-hand)";
        const LARGE: &str = "a maker's sheet of large blade fuses, 6 Jan 2025 (second-hand)";
        const MEMORY: &str = "ISO 8820-3, 1.1 times for 100 h, from memory";
        let least = |inputs, seconds, source| {
            number(
                inputs,
                "opens_after_min",
                (seconds, "s"),
                1e-9,
                Kind::Published,
                source,
            )
        };
        let most = |inputs, seconds, source| {
            number(
                inputs,
                "opens_after_max",
                (seconds, "s"),
                1e-9,
                Kind::Published,
                source,
            )
        };
        let rows: &[Row] = &[
            least("rating=20 A; current=22 A", 360_000.0, MEMORY),
            least("rating=40 A; current=44 A", 0.75, MAKER),
            least("rating=20 A; current=27 A", 0.75, MAKER),
            most("rating=20 A; current=27 A", 1800.0, ISO),
            least("rating=20 A; current=40 A", 0.15, MAKER),
            most("rating=20 A; current=40 A", 5.0, ISO),
            most("rating=20 A; current=70 A", 0.5, ISO),
            most("rating=20 A; current=120 A", 0.15, MAKER),
            least("rating=20 A; current=30 A", 0.25, "the row above, 1.6 times"),
            most("rating=20 A; current=30 A", 1800.0, "the row below, 1.35 times"),
            least("rating=50 A; current=100 A; type=maxi", 2.0, LARGE),
            most("rating=50 A; current=100 A; type=maxi", 50.0, LARGE),
        ];
        check("fuse-time", rows);
    }

    #[test]
    fn a_load_within_the_rating_has_no_greatest_time() {
        let outcome = run_typed("fuse-time", "rating=20 A; current=20 A").unwrap();
        assert!(
            outcome.output("opens_after_max").is_none()
                && outcome
                    .notes
                    .iter()
                    .any(|note| note.to_string().starts_with("It may hold without end")),
            "{outcome:?}"
        );
    }

    #[test]
    fn refusals() {
        refused(
            "fuse-time",
            &[
                (
                    "rating=20 A; current=121 A",
                    "`current`: found 121 A, which is more than the greatest printed multiple",
                ),
                (
                    "rating=21 A; current=30 A",
                    "`rating`: found 21 A, which no blade fuse has; there are 1 A, 2 A, 3 A",
                ),
                (
                    "rating=20 A; current=30 A; type=glass",
                    "`type`: found `glass`, expected one of blade, maxi",
                ),
            ],
        );
    }
}
