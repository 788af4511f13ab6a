//! Content that is broken at random: every fault is told, nothing panics, and nothing broken is played.

use crate::content_samples::changed;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;
use witnessmark::procedure::load;

type Files = BTreeMap<String, Vec<u8>>;

/// The base of the samples, with a circuit.
fn base() -> Files {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/content/ok/circuit.yaml");
    changed(&std::fs::read_to_string(sample).unwrap())
}

/// Words that mean something to a reader.
const WORDS: [&str; 30] = [
    "",
    "yes",
    "no",
    "card.car.rail",
    "read.tap.tight",
    "work.metric.value",
    "figure.drop.drop",
    "{card.car.fuse}",
    "3 bar",
    "1e999",
    ".nan",
    "-1 %",
    "[",
    "]",
    "{",
    "}",
    ": ",
    "- ",
    "&a ",
    "*a",
    "tap.tighten",
    "everything-so-far",
    "null",
    "'",
    "battery",
    "relay",
    "minus",
    "10 mΩ",
    "at_valve",
    "feed",
];

/// One change: a line goes, comes twice, moves right, or one of its words becomes another.
fn broken(files: &mut Files, file: usize, line: usize, word: usize, kind: u8, with: &str) {
    let path = files.keys().nth(file % files.len()).cloned().unwrap();
    let text = String::from_utf8(files[&path].clone()).unwrap();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    if lines.is_empty() {
        return;
    }
    let at = line % lines.len();
    match kind % 5 {
        0 => drop(lines.remove(at)),
        1 => lines.insert(at, lines[at].clone()),
        2 => lines[at].insert_str(0, "  "),
        3 => lines[at].push_str(with),
        _ => {
            let mut words: Vec<String> = lines[at].split(' ').map(str::to_owned).collect();
            let at_word = word % words.len();
            with.clone_into(&mut words[at_word]);
            lines[at] = words.join(" ");
        }
    }
    files.insert(path, lines.join("\n").into_bytes());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn broken_content_is_told_and_never_played(
        changes in prop::collection::vec((0_usize..10, 0_usize..80, 0_usize..30, 0_u8..5, 0_usize..30), 1..6)
    ) {
        let mut files = base();
        for (file, line, word, kind, with) in changes {
            broken(&mut files, file, line, word, kind, WORDS[with]);
        }
        let (library, report) = load(files.clone());
        prop_assert_eq!(library.is_some(), report.is_clean());
        for fault in report.faults() {
            prop_assert!(fault.place.path == "jobs" || files.contains_key(&fault.place.path), "{:?}", fault.place);
            let lines = files.get(&fault.place.path).map_or(0, |bytes| bytes.split(|byte| *byte == b'\n').count());
            prop_assert!(fault.place.line as usize <= lines + 1, "{:?} of {lines}", fault.place);
        }
        prop_assert_eq!(load(files).1.render(), report.render());
    }
}

#[test]
fn no_procedures_hang_the_check_however_they_are_tied() {
    let mut files = base();
    let fields: String = (0..2_000)
        .map(|n| {
            let when = if n == 0 {
                String::new()
            } else {
                format!("when: {{ card.long.f{}: yes }}, ", n - 1)
            };
            format!("      - {{ id: f{n}, label: F, {when}yes_no: yes }}\n")
        })
        .collect();
    let job = String::from_utf8(files["jobs/small.yaml"].clone()).unwrap();
    let group = "figures:\n  # a long chain of conditions\n".to_string();
    let chained = job.replacen(
        "figures:\n",
        &format!("  - group: long\n    title: Long\n    ask:\n{fields}{group}"),
        1,
    );
    files.insert("jobs/small.yaml".to_owned(), chained.into_bytes());
    let (library, report) = load(files);
    assert!(library.is_some(), "{}", report.render());
}

#[test]
fn conditions_of_conditions_end() {
    let mut nested = "{ card.car.heater: yes }".to_owned();
    for _ in 0..6 {
        nested = format!("{{ any: [ {nested}, {{ not: {nested} }} ] }}");
    }
    let mut files = base();
    let tap = String::from_utf8(files["procedures/tap.yaml"].clone()).unwrap();
    let tied = tap.replacen("{ card.car.supply: [flare, quick] }", &nested, 1);
    files.insert("procedures/tap.yaml".to_owned(), tied.into_bytes());
    assert!(
        !load(files).1.is_clean(),
        "the hold point may not apply, as far as can be seen"
    );
}

#[test]
fn a_file_of_nothing_but_faults_is_told_in_full() {
    let count = 1_000;
    let tools: String = (0..count)
        .map(|n| format!("  tool-{n}: {{ name: T }}\n"))
        .collect();
    let wanted: String = (0..count).map(|n| format!("no-tool-{n}, ")).collect();
    let mut files = base();
    files.insert(
        "tools.yaml".to_owned(),
        format!("tools:\n  spanner-pair: {{ name: Two }}\n{tools}").into_bytes(),
    );
    let tap = String::from_utf8(files["procedures/tap.yaml"].clone()).unwrap();
    let tap = tap.replacen("tools: [spanner-pair]", &format!("tools: [{wanted}]"), 1);
    files.insert("procedures/tap.yaml".to_owned(), tap.into_bytes());
    let report = load(files).1;
    assert_eq!(report.faults().len(), count);
    assert!(report.render().len() < count * 2_000);
}
