//! What stands behind each calculator: every row of every calculator, run in one place and counted by kind.
use std::collections::BTreeMap;

use super::check::{Checked, Kind, TALLY, run_typed};
use super::*;
use crate::quantity::Unit;

/// The functions that hold rows, one list for all calculators.
const ROWS: &[fn()] = &[
    wire_resistance::tests::rows,
    wire_drop::tests::rows,
    wire_size::tests::rows,
    wire_size::tests::what_governs,
    fuse_size::tests::rows,
    fuse_size::tests::a_short_duty_is_held_by_the_band,
    fuse_size::tests::the_fuse_is_never_above_the_wire,
    fuse_time::tests::rows,
    relay_coil::tests::rows,
    coil_release::tests::rows,
    solenoid_current::tests::rows,
    jet_flow::tests::rows,
    jet_flow::tests::another_restriction_takes_its_share,
    hose_drop::tests::rows,
    hose_drop::tests::fittings_lose_their_share_of_the_velocity_head,
    fuel_demand::tests::rows,
    clamp_pick::tests::rows,
    hose_rating::tests::rows,
    tube_rating::tests::rows,
    flare_torque::tests::rows,
    pipe_engagement::tests::rows,
    cut_out_margin::tests::rows,
    leak_decay::tests::rows,
    flow_check::tests::rows,
    nitrous_saturation::tests::rows,
    bottle_state::tests::rows,
    bottle_fill::tests::rows,
    nitrous_flow::tests::rows,
    mixture::tests::rows,
    rpm_window::tests::rows,
    convert::tests::rows,
];

/// Rows that `tests/vectors/calc/rows.py` computes by other means.
pub(super) const COMPUTED: &str = include_str!("../../tests/vectors/calc/rows.csv");

/// Every row of every calculator, its file's own, the computed ones and the laws.
fn evidence() -> Vec<Checked> {
    TALLY.take();
    ROWS.iter().for_each(|rows| rows());
    let mut all = TALLY.take();
    all.extend(COMPUTED.lines().map(|line| {
        let mut cells = line.split('|').map(str::to_string);
        Checked {
            id: cells.next().unwrap(),
            inputs: cells.next().unwrap(),
            kind: Kind::Independent,
            source: "tests/vectors/calc/rows.py",
        }
    }));
    all.extend(laws::rows());
    all
}

/// A printed or an independently computed row, and a law, for each; the ends of the ranges are in `edges.rs`.
#[test]
fn every_calculator_has_evidence_and_a_law() {
    let evidence = evidence();
    for calculator in all() {
        let id = calculator.spec.id;
        let has = |kinds: &[Kind]| {
            evidence
                .iter()
                .any(|row| row.id == id && kinds.contains(&row.kind))
        };
        assert!(
            has(&[Kind::Published, Kind::Independent]),
            "{id} rests on nobody but itself"
        );
        assert!(has(&[Kind::Property]), "{id} has no law");
    }
}

/// Every output of every row is what its spec says, and every word of a closed list is given by some row.
#[test]
fn every_output_keeps_to_its_words() {
    let mut said: BTreeMap<(&str, &str), Vec<String>> = BTreeMap::new();
    for row in evidence() {
        let spec = find(&row.id).unwrap().spec;
        let outcome = run_typed(&row.id, &row.inputs).unwrap_or_else(|error| panic!("{row:?}: {error}"));
        for (name, value) in &outcome.outputs {
            let output = spec
                .output(name)
                .unwrap_or_else(|| panic!("{} has no {name}", row.id));
            let fits = match (&output.kind, value) {
                (OutputKind::Quantity(unit), Value::Quantity(found)) => {
                    Some(found.unit()) == Unit::find(unit)
                }
                (OutputKind::InWantedUnit, Value::Quantity(_)) | (OutputKind::Flag, Value::Flag(_)) => true,
                (OutputKind::Words(words), Value::Text(word)) => words.contains(&word.as_str()),
                (OutputKind::Text, Value::Text(text)) => !text.is_empty(),
                _ => false,
            };
            assert!(
                fits,
                "{row:?}: {name} is {value}, its spec says {:?}",
                output.kind
            );
            said.entry((spec.id, output.name))
                .or_default()
                .push(value.to_string());
        }
    }
    for calculator in all() {
        for output in calculator.spec.outputs {
            let name = (calculator.spec.id, output.name);
            let words = said.get(&name).unwrap_or_else(|| panic!("no row gives {name:?}"));
            let unsaid: Vec<_> = output
                .legal_words()
                .iter()
                .filter(|word| !words.iter().any(|said| said == *word))
                .collect();
            assert!(unsaid.is_empty(), "{name:?}: no row gives {unsaid:?}");
        }
    }
}

/// A label is short, begins with a capital, and is not the label of another figure of the same side.
#[test]
fn every_label_is_readable() {
    for spec in all().iter().map(|calculator| calculator.spec) {
        let inputs: Vec<&str> = spec.inputs.iter().map(|input| input.label).collect();
        let outputs: Vec<&str> = spec.outputs.iter().map(|output| output.label).collect();
        for labels in [&inputs, &outputs] {
            for label in labels {
                let capital = label.starts_with(|first: char| first.is_uppercase());
                let plain = !label.contains('_') && !label.ends_with('.') && label.chars().count() <= 36;
                assert!(capital && plain, "{}: {label}", spec.id);
                assert_eq!(
                    labels.iter().filter(|other| other == &label).count(),
                    1,
                    "{}: {label}",
                    spec.id
                );
            }
        }
    }
}

/// Whoever reads a figure is told which of its sources are weak, and which inputs took a default.
#[test]
fn an_outcome_tells_weak_sources_and_defaults() {
    for spec in all().iter().map(|calculator| calculator.spec) {
        let typed: String = spec
            .example
            .iter()
            .map(|(name, text)| format!("{name}={text};"))
            .collect();
        let outcome = run_typed(spec.id, &typed).unwrap();
        let notes = outcome.notes_in(&crate::words::Words::english()).join("\n");
        for source in spec.sources.iter().filter(|source| source.mark.is_weak()) {
            let told = notes.contains(&format!("{} ({})", source.key, source.mark.in_words()));
            // Only a wire gauge rests on the weak source of a conversion.
            assert!(told || spec.id == "convert", "{} hides {}", spec.id, source.key);
        }
        for input in spec.inputs.iter().filter(|input| input.default().is_some()) {
            let given = spec.example.iter().any(|(name, _)| *name == input.name);
            let told = match (spec.id, input.name) {
                // An absolute pressure has no use for the air.
                ("leak-decay", "ambient_pressure") => true,
                ("wire-drop", "return_resistance") => notes.contains("counted as 0 Ω"),
                _ => notes.contains(&format!("{} = ", input.label)),
            };
            assert!(
                given || told,
                "{} hides the default of {}: {notes}",
                spec.id,
                input.name
            );
        }
    }
    let gauge = run_typed("convert", "value=12 AWG; to=mm2").unwrap();
    assert!(
        gauge
            .notes
            .iter()
            .any(|note| note.to_string().contains("ASTM B258 (from memory)"))
    );
}

/// Where sources contradict one another the assumptions say so, and which side was taken.
#[test]
fn contradictions_are_told_with_the_side_taken() {
    let contradicted = [
        "wire-resistance",
        "wire-drop",
        "wire-size",
        "fuse-size",
        "fuse-time",
        "relay-coil",
        "clamp-pick",
        "hose-rating",
        "tube-rating",
        "flare-torque",
        "pipe-engagement",
        "bottle-fill",
        "nitrous-flow",
    ];
    for id in contradicted {
        let text = explain(find(id).unwrap().spec);
        assert!(
            text.contains("safe side"),
            "{id} does not say which side it takes"
        );
    }
}

/// How many rows of each kind stand behind each calculator. Frozen rows, our own output, there are none.
#[test]
#[ignore = "prints a table"]
fn count_the_rows() {
    let evidence = evidence();
    let memory = |row: &&&Checked| row.source.contains("memory");
    println!(
        "{:<20}published independent property practice frozen from memory",
        ""
    );
    let line = |name: &str, rows: Vec<&Checked>| {
        let of = |kind: Kind| rows.iter().filter(|row| row.kind == kind).count();
        let (published, independent) = (of(Kind::Published), of(Kind::Independent));
        let (property, practice) = (of(Kind::Property), of(Kind::Practice));
        let memory = rows.iter().filter(memory).count();
        println!(
            "{name:<20}{published:>9} {independent:>11} {property:>8} {practice:>8} {:>6} {memory:>11}",
            0
        );
    };
    for spec in all().iter().map(|calculator| calculator.spec) {
        line(spec.id, evidence.iter().filter(|row| row.id == spec.id).collect());
    }
    line("all", evidence.iter().collect());
    let ranges: usize = all()
        .iter()
        .flat_map(|c| c.spec.inputs)
        .map(|input| input.kind.ranges().len())
        .sum();
    println!("ends of ranges, reached and just outside: {}", 4 * ranges);
    let vectors = include_str!("../../tests/vectors/nitrous/vectors.csv");
    println!(
        "CoolProp vectors of nitrous oxide: {}",
        vectors.lines().filter(|line| !line.starts_with('#')).count()
    );
}
