//! How far a taper pipe thread goes in.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Source, Spec};
use crate::note;
use crate::table::{PipeThread, Tables};

/// Size to an engagement.
pub static SPEC: Spec = Spec {
    id: "pipe-engagement",
    revision: 1,
    title: "Engagement of a taper pipe thread",
    equation: "a row of the pipe-thread table: L1 by hand, then turns of the wrench",
    inputs: &[InputSpec::choice(
        "size",
        "Thread size",
        "the nominal size of the NPT thread",
        &["1/16", "1/8", "1/4", "3/8"],
        Need::Required,
    )],
    outputs: &[
        OutputSpec::new(
            "hand_tight",
            "Hand-tight engagement",
            "L1",
            "engaged by hand",
            "mm",
        ),
        OutputSpec::new(
            "turns_low",
            "Least turns past hand-tight",
            "",
            "by the wrench, and all that an aluminium port takes",
            "1",
        ),
        OutputSpec::new(
            "turns_high",
            "Greatest turns past hand-tight",
            "",
            "by the wrench, in steel or brass",
            "1",
        ),
    ],
    assumptions: &[
        "Clean threads with sealant on the male one, its first one or two threads bare; none on a flare's seat.",
        "Guides contradict one another, from one to three turns: two manuals that agree on 2 to 3 are taken. The safe side is to begin at the lower end, and an aluminium port ends there.",
    ],
    sources: &[
        Source::new(
            "ASME B1.20.1",
            "L1, as reprinted at unifiedalloys.com/p/pipe-threads; 1/16 from memory",
            Mark::SecondHand,
        ),
        Source::new(
            "two service manuals",
            "tables 8.14 and 4-1, 2 to 3 turns past finger-tight, 1/8 to 3/4",
            Mark::Seen,
        ),
    ],
    example: &[("size", "1/8")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// The row of the pipe-thread table; none where there is none.
///
/// # Inputs
/// The nominal size of an NPT thread, `1/8`.
///
/// # Result
/// L1, threads in an inch, turns past hand-tight.
///
/// # Assumptions
/// Sealant on the male thread, its first threads bare.
///
/// # Source
/// ASME B1.20.1 as a metal dealer reprints it; turns from two service manuals that agree. Other guides say 1 to 2,
/// 1.5 to 3 or two; the safe side is the lower end, since a cracked port cannot be undone.
///
/// # Errors
/// None; the sizes are checked where the inputs enter.
///
/// # Example
/// 1/8: 4.10 mm by hand, then 2 to 3 turns; see the tests.
pub fn pipe_engagement<'a>(size: &str, tables: &'a Tables) -> Option<&'a PipeThread> {
    tables.pipe_threads.iter().find(|row| row.size == size)
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let size = given.word("size").unwrap_or_default();
    let row =
        pipe_engagement(size, tables).ok_or_else(|| given.refuse("size", "which the table does not have"))?;
    Ok(Found::new()
        .si("hand_tight", row.hand_tight.si())
        .si("turns_low", row.turns_low.si())
        .si("turns_high", row.turns_high.si())
        .note("Stop at the lower end in aluminium; never turn back to line up a fitting.")
        .note(note!("{source}.").with("source", vec![row.origin.parts()])))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused, run_typed};
    use crate::table::Tables;

    #[test]
    pub(in crate::calc) fn rows() {
        const DEALER: &str = "ASME B1.20.1 L1 as reprinted at unifiedalloys.com/p/pipe-threads, in inches";
        const MANUALS: &str =
            "two service manuals, 2 to 3 turns past finger-tight, their pipe-thread tables (8.14 and 4-1)";
        let hand = |inputs, inches: f64| {
            number(
                inputs,
                "hand_tight",
                (inches * 25.4, "mm"),
                1e-9,
                Kind::Published,
                DEALER,
            )
        };
        let rows: &[Row] = &[
            hand("size=1/8", 0.1615),
            hand("size=1/4", 0.2278),
            hand("size=3/8", 0.240),
            number("size=1/8", "turns_low", (2.0, "1"), 0.0, Kind::Published, MANUALS),
            number(
                "size=1/8",
                "turns_high",
                (3.0, "1"),
                0.0,
                Kind::Published,
                MANUALS,
            ),
        ];
        check("pipe-engagement", rows);
    }

    /// E1 = D − (0.05·D + 1.1)·p + L1/16 against the printed pitch diameters, as the standard's own formula
    /// (from memory) ties L1 to them.
    #[test]
    fn hand_engagement_agrees_with_the_pitch_diameters() {
        for (size, outside_in, e1_in) in [
            ("1/16", 0.3125, 0.28118),
            ("1/8", 0.405, 0.37360),
            ("1/4", 0.540, 0.49163),
        ] {
            let tables = Tables::shipped();
            let row = super::pipe_engagement(size, &tables).unwrap();
            let pitch_in = 1.0 / row.threads_per_inch.value();
            let found_in =
                outside_in - (0.05 * outside_in + 1.1) * pitch_in + row.hand_tight.si() / 0.0254 / 16.0;
            assert!(
                (found_in - e1_in).abs() < 6e-6,
                "{size}: {found_in} in, printed {e1_in}"
            );
        }
    }

    #[test]
    fn refusals() {
        refused(
            "pipe-engagement",
            &[(
                "size=1/2",
                "`size`: found `1/2`, expected one of 1/16, 1/8, 1/4, 3/8",
            )],
        );
        assert!(run_typed("pipe-engagement", "size=1/8").is_ok());
    }
}
