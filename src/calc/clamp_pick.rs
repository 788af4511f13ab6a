//! The hose clamp for a diameter over the barb.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::quantity::Unit;
use crate::table::{Clamp, ClampKind, Tables};

/// Diameter to a clamp.
pub static SPEC: Spec = Spec {
    id: "clamp-pick",
    revision: 1,
    title: "Pick a hose clamp",
    equation: "least ≤ outside ≤ most, the middle of the range nearest; centred within a quarter of the range",
    inputs: &[
        InputSpec::number(
            "outside",
            "Diameter over the barb",
            "D",
            "the hose's outside diameter over the barb",
            Range::new("mm", 7.0, 32.0, "the least and the greatest clamp of the table"),
            Need::Required,
        ),
        InputSpec::choice(
            "kind",
            "Clamp kind",
            "rolled-edge (fuel-injection) or worm drive",
            &["rolled-edge", "fuel-injection", "worm"],
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::text("clamp", "Clamp range", "its range, as printed on it"),
        OutputSpec::flag(
            "centred",
            "Centred in the range",
            "whether the diameter lies in the middle half of the range",
        ),
        OutputSpec::new("least", "Least diameter", "", "its least diameter", "mm"),
        OutputSpec::new("most", "Greatest diameter", "", "its greatest diameter", "mm"),
        OutputSpec::new(
            "torque_low",
            "Least screw torque",
            "",
            "of its screw; the maker's figure comes first",
            "N·m",
        ),
        OutputSpec::new(
            "torque_high",
            "Greatest screw torque",
            "",
            "of its screw; the maker's figure comes first",
            "N·m",
        ),
    ],
    assumptions: &[
        "The diameter is measured over the barb, not on the free hose.",
        "Of two clamps that suit alike the smaller is taken: it can still be drawn down.",
        "Makers contradict one another on the screw's torque, from 0.9 to 1.7 N·m for the narrowest bands and from memory to 2.5 N·m for rolled-edge ones. The clamp's own figure comes first; without it, begin at the low end and prove the joint: the safe side for the hose.",
        "A worm drive cuts soft hose and is not for fuel (common practice, no source).",
    ],
    sources: &[
        Source::new(
            "DIN 3017-1",
            "form A sizes; rolled-edge sizes of the trade",
            Mark::Memory,
        ),
        Source::new(
            "makers of clamps",
            "screw torque (normaamericasds.com)",
            Mark::SecondHand,
        ),
    ],
    example: &[("outside", "14 mm"), ("kind", "rolled-edge")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`clamp_pick`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub outside_m: f64,
    pub kind: ClampKind,
}

/// The clamp of the kind whose middle is nearest the diameter; none where no range holds it.
///
/// # Inputs
/// Diameter over the barb in m (0.005 to 0.060), and the kind.
///
/// # Result
/// A row of the clamp table, with its torque and source.
///
/// # Assumptions
/// Of two that suit alike the smaller is taken, since it can still be drawn down.
///
/// # Source
/// DIN 3017-1 form A and the fuel-injection sizes of the trade (from memory).
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// 14 mm takes the 13-15 mm clamp, 9 mm the 8-10 mm one; see the tests.
pub fn clamp_pick(inputs: Inputs, tables: &Tables) -> Option<&Clamp> {
    let slack_m = 1e-12;
    let holds = |clamp: &&Clamp| {
        clamp.kind == inputs.kind
            && (clamp.least.si() - slack_m..=clamp.most.si() + slack_m).contains(&inputs.outside_m)
    };
    // Distances are compared by the micrometre, below which no clamp is better than another.
    let off_um = |clamp: &Clamp| ((middle_m(clamp) - inputs.outside_m).abs() * 1e6).round() as i64;
    let key = |clamp: &&Clamp| (off_um(clamp), (clamp.most.si() * 1e6).round() as i64);
    tables.clamps.iter().filter(holds).min_by_key(key)
}

fn middle_m(clamp: &Clamp) -> f64 {
    (clamp.least.si() + clamp.most.si()) / 2.0
}

fn work(given: &Given, tables: &Tables) -> Result<Found, CalcError> {
    let worm = given.is("kind", "worm");
    let kind = if worm {
        ClampKind::Worm
    } else {
        ClampKind::RolledEdge
    };
    let inputs = Inputs {
        outside_m: given.si("outside")?,
        kind,
    };
    let clamp = clamp_pick(inputs, tables).ok_or_else(|| nothing_fits(given, kind, tables))?;
    let quarter_m = (clamp.most.si() - clamp.least.si()) / 4.0;
    let centred = (inputs.outside_m - middle_m(clamp)).abs() <= quarter_m + 1e-12;
    Ok(Found::new()
        .text("clamp", range_of(clamp))
        .flag("centred", centred)
        .si("least", clamp.least.si())
        .si("most", clamp.most.si())
        .si("torque_low", clamp.torque_low.si())
        .si("torque_high", clamp.torque_high.si())
        .note(note!("Where they stand: {source}.").with("source", vec![clamp.origin.parts()]))
        .note_if(worm, "A worm drive cuts soft hose: never on a fuel hose.")
        .note_if(
            !centred,
            "The diameter lies near an end of the range: check that the clamp still draws evenly.",
        ))
}

/// `13-15 mm`, as a clamp is marked.
fn range_of(clamp: &Clamp) -> String {
    let mm = |quantity: crate::quantity::Quantity| {
        Unit::find("mm")
            .and_then(|unit| quantity.to(unit).ok())
            .map_or(0.0, |mm| mm.value())
    };
    format!("{}-{} mm", mm(clamp.least), mm(clamp.most))
}

fn nothing_fits(given: &Given, kind: ClampKind, tables: &Tables) -> CalcError {
    let ranges: Vec<String> = tables
        .clamps
        .iter()
        .filter(|clamp| clamp.kind == kind)
        .map(range_of)
        .collect();
    given.refuse(
        "outside",
        note!(
            "which no clamp of this kind closes on; there are {clamps}",
            clamps = ranges.join(", ")
        ),
    )
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Expected::Flag, Expected::Text, Kind, Row, check, exact, number, refused};

    #[test]
    pub(in crate::calc) fn rows() {
        const TRADE: &str = "13-15 mm for the rubber hose, 8-10 mm for the tube: common practice, no source";
        const SIZES: &str = "the sizes of the trade (from memory)";
        let clamp = |inputs, text| exact(inputs, "clamp", Text(text), Kind::Practice, TRADE);
        let centred = |inputs, flag| exact(inputs, "centred", Flag(flag), Kind::Property, SIZES);
        let rows: &[Row] = &[
            clamp("outside=14 mm; kind=rolled-edge", "13-15 mm"),
            clamp("outside=14 mm; kind=Fuel injection", "13-15 mm"),
            clamp("outside=9 mm; kind=rolled-edge", "8-10 mm"),
            clamp("outside=7 mm; kind=rolled-edge", "7-9 mm"),
            clamp("outside=21 mm; kind=rolled-edge", "19-21 mm"),
            clamp("outside=13.5 mm; kind=rolled-edge", "12-14 mm"),
            clamp("outside=14 mm; kind=worm", "10-16 mm"),
            centred("outside=14 mm; kind=rolled-edge", true),
            centred("outside=13.5 mm; kind=rolled-edge", true),
            centred("outside=21 mm; kind=rolled-edge", false),
            number(
                "outside=9 mm; kind=worm",
                "torque_high",
                (1.7, "N·m"),
                1e-12,
                Kind::Published,
                "a clamp maker's torque sheet (normaamericasds.com), 15 lbf·in",
            ),
        ];
        check("clamp-pick", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "clamp-pick",
            &[
                (
                    "outside=21.1 mm; kind=rolled-edge",
                    "`outside`: found 21.1 mm, which no clamp of this kind closes on; there are 7-9 mm, 8-10 mm",
                ),
                (
                    "outside=14 mm; kind=string",
                    "`kind`: found `string`, expected one of rolled-edge, fuel-injection, worm",
                ),
            ],
        );
    }
}
