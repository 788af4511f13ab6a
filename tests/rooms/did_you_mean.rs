//! Whoever misspells a word is told which was probably meant, wherever the word stands.

use crate::content_samples::{changed, samples};
use std::collections::BTreeMap;
use witnessmark::procedure::check;

type Files = BTreeMap<String, Vec<u8>>;

/// The base with everything that content may have: tables and a circuit besides.
fn whole() -> Files {
    let (_, sample) = samples("ok")
        .into_iter()
        .find(|(name, _)| name == "circuit")
        .expect("a sample with a circuit");
    changed(&sample)
}

/// What the faults of the content propose.
fn proposals(files: Files) -> Vec<String> {
    let report = check(files).1;
    let helps = report.faults().iter().filter_map(|fault| fault.help.clone());
    helps.filter(|help| help.starts_with("did you mean ")).collect()
}

/// Every row: a file, what stands there, the slip, the word that is proposed.
const SLIPS: [(&str, &str, &str, &str); 36] = [
    // Keys.
    (
        "jobs/small.yaml",
        "title: A small job",
        "titel: A small job",
        "title",
    ),
    ("jobs/small.yaml", "ask:", "aks:", "ask"),
    ("jobs/small.yaml", "yes_no: yes }", "yesno: yes }", "yes_no"),
    ("jobs/small.yaml", "calc: wire-drop", "clac: wire-drop", "calc"),
    ("jobs/small.yaml", "at_most: 3 %", "at_mots: 3 %", "at_most"),
    ("procedures/tap.yaml", "close_out:", "closeout:", "close_out"),
    ("procedures/tap.yaml", "people:", "peopel:", "people"),
    ("procedures/tap.yaml", "reopens:", "reopen:", "reopens"),
    (
        "procedures/tap.yaml",
        "covers: everything-so-far",
        "cover: everything-so-far",
        "covers",
    ),
    ("procedures/proof.yaml", "plausible:", "plausibel:", "plausible"),
    ("procedures/proof.yaml", "within: 10 %", "wihtin: 10 %", "within"),
    ("hazards.yaml", "happens:", "hapens:", "happens"),
    ("tools.yaml", "{ name:", "{ nmae:", "name"),
    (
        "instruments.yaml",
        "measures: pressure",
        "measure: pressure",
        "measures",
    ),
    ("glossary.yaml", "terms:", "term:", "terms"),
    ("tables/fuse.yaml", "columns:", "colums:", "columns"),
    // Ids of shared files.
    (
        "procedures/tap.yaml",
        "hazards: [petrol-vapour]",
        "hazards: [petrol-vapor]",
        "petrol-vapour",
    ),
    (
        "procedures/tap.yaml",
        "    tools: [spanner-pair]",
        "    tools: [spaner-pair]",
        "spanner-pair",
    ),
    (
        "procedures/proof.yaml",
        "with: pressure-gauge",
        "with: presure-gauge",
        "pressure-gauge",
    ),
    // References, and what they lead through.
    (
        "procedures/proof.yaml",
        "around: card.car.rail",
        "around: card.car.rial",
        "rail",
    ),
    (
        "procedures/proof.yaml",
        "The card says {card.car.rail}",
        "The card says {card.cra.rail}",
        "car",
    ),
    (
        "procedures/proof.yaml",
        "The card says {card.car.rail}",
        "The card says {crad.car.rail}",
        "card",
    ),
    (
        "procedures/proof.yaml",
        "value: read.rail",
        "value: read.rial",
        "rail",
    ),
    (
        "jobs/small.yaml",
        "{figure.drop.drop_percent}",
        "{figure.dorp.drop_percent}",
        "drop",
    ),
    (
        "jobs/small.yaml",
        "of: figure.drop.drop_percent",
        "of: figure.drop.drop_precent",
        "drop_percent",
    ),
    (
        "procedures/tap.yaml",
        "reopens: [plug]",
        "reopens: [plgu]",
        "plug",
    ),
    (
        "jobs/small.yaml",
        "after: tap.tighten",
        "after: tap.tihgten",
        "tighten",
    ),
    (
        "jobs/small.yaml",
        "{ procedure: proof }",
        "{ procedure: prof }",
        "proof",
    ),
    (
        "procedures/proof.yaml",
        "restores: line-plugged",
        "restores: line-pluged",
        "line-plugged",
    ),
    // Units, calculators, inputs.
    ("procedures/proof.yaml", "unit: bar", "unit: barr", "bar"),
    ("procedures/proof.yaml", "to: 10 bar }", "to: 10 baar }", "bar"),
    (
        "jobs/small.yaml",
        "calc: wire-drop",
        "calc: wier-drop",
        "wire-drop",
    ),
    (
        "jobs/small.yaml",
        "with: { current:",
        "with: { curent:",
        "current",
    ),
    // Choices.
    (
        "procedures/proof.yaml",
        "one_of: [clear]",
        "one_of: [claer]",
        "clear",
    ),
    ("hazards.yaml", "word: danger", "word: dagner", "danger"),
    (
        "instruments.yaml",
        "measures: pressure",
        "measures: presure",
        "pressure",
    ),
];

#[test]
fn a_slip_in_each_place_finds_its_word() {
    for (path, there, slip, meant) in SLIPS {
        let mut files = changed("");
        let text = String::from_utf8(files[path].clone()).unwrap();
        assert!(text.contains(there), "{path} has no {there}");
        files.insert(path.to_owned(), text.replacen(there, slip, 1).into_bytes());
        let proposed = proposals(files);
        let wanted = format!("did you mean `{meant}`?");
        assert!(
            proposed.iter().any(|help| help.starts_with(&wanted)),
            "{path}: {slip}: {proposed:?}"
        );
    }
}

/// The same in conditions, which may ask several things.
#[test]
fn a_slip_in_a_condition_finds_its_word() {
    let rows = [
        ("card.car.suply: [flare, quick]", "supply"),
        ("card.car.supply: [flrae, quick]", "flare"),
        ("crad.car.supply: [flare, quick]", "card"),
        ("ayn: [ { card.car.supply: flare } ]", "any"),
    ];
    for (slip, meant) in rows {
        let mut files = changed("");
        let text = String::from_utf8(files["procedures/tap.yaml"].clone()).unwrap();
        let slipped = text.replacen("card.car.supply: [flare, quick]", slip, 1);
        assert_ne!(text, slipped);
        files.insert("procedures/tap.yaml".to_owned(), slipped.into_bytes());
        let proposed = proposals(files);
        let wanted = format!("did you mean `{meant}`?");
        assert!(
            proposed.iter().any(|help| help.starts_with(&wanted)),
            "{slip}: {proposed:?}"
        );
    }
}

#[test]
fn a_slip_in_a_circuit_finds_its_word() {
    let files = whole();
    let (path, text) = files
        .iter()
        .find(|(path, _)| path.starts_with("circuits/"))
        .map(|(path, bytes)| (path.clone(), String::from_utf8(bytes.clone()).unwrap()))
        .expect("a circuit");
    for (there, slip, meant) in [
        ("ground:", "grund:", "ground"),
        ("fuse:", "fues:", "fuse"),
        ("label:", "lable:", "label"),
    ] {
        let mut files = files.clone();
        assert!(text.contains(there), "{path} has no {there}");
        files.insert(path.clone(), text.replacen(there, slip, 1).into_bytes());
        let proposed = proposals(files);
        let wanted = format!("did you mean `{meant}`?");
        assert!(proposed.contains(&wanted), "{slip}: {proposed:?}");
    }
}

#[test]
fn a_slip_in_the_name_of_a_file_or_folder_finds_its_word() {
    for (path, meant) in [
        ("hazard.yaml", "hazards.yaml"),
        ("procedure/tap.yaml", "procedures/tap.yaml"),
    ] {
        let mut files = changed("");
        files.insert(path.to_owned(), b"x: y\n".to_vec());
        assert!(
            proposals(files).contains(&format!("did you mean `{meant}`?")),
            "{path}"
        );
    }
}
