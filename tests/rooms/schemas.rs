//! The JSON Schemas say what the readers say: of the shipped content, of samples, and of content with a value of the
//! wrong kind in each place.

use crate::content_samples::{changed, files_in, samples};
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use witnessmark::content::{self, Kind, Node, Spot};
use witnessmark::procedure::{load, schema_of, schemas};

type Validators = BTreeMap<String, jsonschema::Validator>;

fn content() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("content")
}

fn validators() -> Validators {
    let made = schemas().into_iter().map(|(name, text)| {
        let schema: Value = serde_json::from_str(&text).unwrap();
        let validator = jsonschema::draft202012::new(&schema).unwrap();
        (name, validator)
    });
    made.collect()
}

/// What an editor makes of a file: YAML 1.2 by its core schema, which is the editors' default.
fn json(node: &Node) -> Value {
    match &node.kind {
        Kind::Scalar { text, plain: true } => plain(text),
        Kind::Scalar { text, .. } => Value::from(text.as_str()),
        Kind::List(items) => items.iter().map(json).collect(),
        Kind::Map(entries) => {
            let pairs = entries.iter().map(|(key, value)| (key.text.clone(), json(value)));
            Value::Object(pairs.collect::<Map<_, _>>())
        }
    }
}

fn plain(text: &str) -> Value {
    match text {
        "" | "~" | "null" | "Null" | "NULL" => Value::Null,
        "true" | "True" | "TRUE" => Value::from(true),
        "false" | "False" | "FALSE" => Value::from(false),
        _ if !text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.')) => {
            Value::from(text)
        }
        _ => match (text.parse::<i64>(), text.parse::<f64>()) {
            (Ok(whole), _) => Value::from(whole),
            (_, Ok(number)) if number.is_finite() => Value::from(number),
            _ => Value::from(text),
        },
    }
}

/// What the schema of a file finds in it; nothing for a file that has none.
fn found(validators: &Validators, path: &str, root: &Node) -> Vec<String> {
    let Some(schema) = schema_of(path) else {
        return Vec::new();
    };
    let value = json(root);
    let errors = validators[&format!("{schema}.json")].iter_errors(&value);
    errors
        .map(|error| format!("{path}: {} at {}", error, error.instance_path()))
        .collect()
}

fn found_in(validators: &Validators, files: &BTreeMap<String, Vec<u8>>) -> BTreeMap<String, Vec<String>> {
    let mut all = BTreeMap::new();
    for (path, bytes) in files {
        if let Some(root) = content::parse(path, bytes).root {
            let found = found(validators, path, &root);
            if !found.is_empty() {
                all.insert(path.clone(), found);
            }
        }
    }
    all
}

#[test]
fn the_shipped_schemas_are_those_that_the_readers_make() {
    let folder = content().join(".schema");
    if std::env::var_os("WITNESSMARK_BLESS").is_some() {
        std::fs::create_dir_all(&folder).unwrap();
        for (name, text) in schemas() {
            std::fs::write(folder.join(name), text).unwrap();
        }
    }
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, schemas().into_keys().collect::<Vec<_>>());
    for (name, text) in schemas() {
        let shipped = std::fs::read_to_string(folder.join(&name)).unwrap();
        let renew = "WITNESSMARK_BLESS=1 cargo test --no-default-features --test rooms schemas";
        assert!(shipped == text, "{name} is stale: {renew}");
    }
}

#[test]
fn every_shipped_file_names_its_schema_and_keeps_it() {
    let validators = validators();
    let files = files_in(&content());
    assert_eq!(found_in(&validators, &files), BTreeMap::new());
    let mut named = 0;
    for (path, bytes) in &files {
        let Some(schema) = schema_of(path) else { continue };
        let up = if path.contains('/') { "../" } else { "" };
        let line = format!("# yaml-language-server: $schema={up}.schema/{schema}.json");
        let first = String::from_utf8_lossy(bytes).lines().next().map(str::to_owned);
        assert_eq!(first, Some(line), "{path}");
        named += 1;
    }
    assert!(named > 30, "{named}");
}

#[test]
fn a_register_keeps_its_schema() {
    let register = "register:\n  - { id: pg-1, kind: pressure-gauge, name: Gauge, serial: 17, range: { from: 0 bar, to: 10 bar }, \
                    resolution: 0.02 bar, uncertainty: { of_reading: 0.5 %, plus: 0.02 bar, k: 2 }, calibrated: 2026-02-01, due: 2027-02-01 }\n";
    let validators = validators();
    let judge = |text: &str| {
        let root = content::parse("instruments.yaml", text.as_bytes()).root.unwrap();
        validators["register.json"].is_valid(&json(&root))
    };
    assert!(witnessmark::procedure::register(register).is_ok() && judge(register));
    for (old, new) in [
        ("serial", "seriel"),
        ("2027-02-01", "2027"),
        ("plus: 0.02 bar", "plus: [1]"),
    ] {
        let wrong = register.replacen(old, new, 1);
        assert!(
            witnessmark::procedure::register(&wrong).is_err() && !judge(&wrong),
            "{wrong}"
        );
    }
}

#[test]
fn good_samples_keep_the_schemas() {
    let validators = validators();
    assert_eq!(found_in(&validators, &changed("")), BTreeMap::new());
    for (name, sample) in samples("ok") {
        assert_eq!(
            found_in(&validators, &changed(&sample)),
            BTreeMap::new(),
            "ok/{name}.yaml"
        );
    }
}

/// Rules whose every breach shows in the file alone, so that its schema must see it.
const SHOWN: [&str; 6] = [
    "band-needed",
    "missing-input",
    "part-kind",
    "unknown-calculator",
    "unknown-input",
    "unknown-key",
];

/// Faults of these that need more than the form: a column of a table, a key beside another one.
fn needs_more(fault: &witnessmark::diagnostic::Diagnostic) -> bool {
    fault.expected == "a column of this table"
}

#[test]
fn bad_samples_about_keys_and_kinds_break_the_schemas_too() {
    let validators = validators();
    let mut seen = 0;
    for (name, sample) in samples("bad") {
        let files = changed(&sample);
        let report = load(files.clone()).1;
        let found = found_in(&validators, &files);
        for fault in report.faults().iter().filter(|fault| !needs_more(fault)) {
            // A file that is no YAML has no form either.
            if SHOWN.contains(&fault.rule)
                && content::parse(&fault.place.path, &files[&fault.place.path])
                    .root
                    .is_some()
            {
                seen += 1;
                assert!(
                    found.contains_key(&fault.place.path),
                    "bad/{name}.yaml: {}",
                    fault.headline()
                );
            }
        }
        // Whatever a schema refuses, a reader refuses.
        for (path, errors) in found {
            let refused = report.faults().iter().any(|fault| fault.place.path == path);
            assert!(refused, "bad/{name}.yaml: {errors:?}");
        }
    }
    assert!(seen >= 10, "{seen}");
}

/// Every node below a root, as a way to reach it again.
fn places(node: &Node, way: &mut Vec<usize>, all: &mut Vec<Vec<usize>>) {
    let below: Vec<&Node> = match &node.kind {
        Kind::Scalar { .. } => Vec::new(),
        Kind::List(items) => items.iter().collect(),
        Kind::Map(entries) => entries.iter().map(|(_, value)| value).collect(),
    };
    for (at, inner) in below.into_iter().enumerate() {
        way.push(at);
        all.push(way.clone());
        places(inner, way, all);
        way.pop();
    }
}

fn reach<'n>(node: &'n mut Node, way: &[usize]) -> &'n mut Node {
    let Some((first, rest)) = way.split_first() else {
        return node;
    };
    match &mut node.kind {
        Kind::List(items) => reach(&mut items[*first], rest),
        Kind::Map(entries) => reach(&mut entries[*first].1, rest),
        Kind::Scalar { .. } => unreachable!("a scalar holds nothing"),
    }
}

/// YAML in its JSON form, each scalar as plain or quoted as it stood.
fn written(node: &Node) -> String {
    match &node.kind {
        Kind::Scalar { text, plain } => match *plain
            && text
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || "._-".contains(c))
        {
            true => text.clone(),
            false => serde_json::to_string(text).unwrap(),
        },
        Kind::List(items) => format!("[{}]", items.iter().map(written).collect::<Vec<_>>().join(", ")),
        Kind::Map(entries) => {
            let pair = |(key, value): &(content::Key, Node)| {
                format!(
                    "{}: {}",
                    serde_json::to_string(&key.text).unwrap(),
                    written(value)
                )
            };
            format!("{{{}}}", entries.iter().map(pair).collect::<Vec<_>>().join(", "))
        }
    }
}

/// Values of the wrong kind for most places.
fn strangers() -> Vec<Kind> {
    let scalar = |text: &str| Kind::Scalar {
        text: text.to_owned(),
        plain: true,
    };
    let node = |kind| Node {
        spot: Spot::default(),
        kind,
    };
    let key = content::Key {
        text: "strange".to_owned(),
        spot: Spot::default(),
    };
    vec![
        scalar("Strange"),
        scalar("~"),
        Kind::List(vec![node(Kind::List(Vec::new()))]),
        Kind::Map(vec![(key, node(scalar("x")))]),
    ]
}

/// Faults by which a reader refuses the kind of a value, as against what it says.
const OF_KIND: [&str; 3] = ["wrong-type", "unknown-key", "diagram-place"];

#[test]
fn a_strange_value_in_each_place_is_refused_by_both_or_by_none() {
    let validators = validators();
    let mut files = changed("");
    for wanted in ["tables-and-circuits", "diagram"] {
        let sample = samples("ok").into_iter().find(|(name, _)| name == wanted);
        files.extend(changed(&sample.unwrap().1));
    }
    let (mut tried, mut both) = (0, 0);
    for (path, bytes) in files.clone() {
        let Some(root) = schema_of(&path).and_then(|_| content::parse(&path, &bytes).root) else {
            continue;
        };
        let mut ways = Vec::new();
        places(&root, &mut Vec::new(), &mut ways);
        for way in ways {
            for stranger in strangers() {
                let mut altered = root.clone();
                reach(&mut altered, &way).kind = stranger;
                let text = written(&altered);
                files.insert(path.clone(), text.clone().into_bytes());
                let refused = found(
                    &validators,
                    &path,
                    &content::parse(&path, text.as_bytes()).root.unwrap(),
                );
                let report = load(files.clone()).1;
                let own = || report.faults().iter().filter(|fault| fault.place.path == path);
                assert!(
                    refused.is_empty() || own().next().is_some(),
                    "only the schema refuses {text}: {refused:?}"
                );
                let kind = own().find(|fault| {
                    OF_KIND.contains(&fault.rule) && fault.expected != "a column of this table"
                });
                if let Some(fault) = kind {
                    assert!(
                        !refused.is_empty(),
                        "only the reader refuses {text}: {}",
                        fault.headline()
                    );
                    both += 1;
                }
                tried += 1;
            }
        }
        files.insert(path, bytes);
    }
    assert!(
        tried > 1000 && both > 500,
        "{tried} tried, {both} refused by both"
    );
}
