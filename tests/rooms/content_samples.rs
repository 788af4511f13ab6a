//! Every rule about content, shown by samples under `tests/content`; its README says how they are written.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use witnessmark::diagnostic::{Diagnostic, Report};
use witnessmark::procedure::{RULES, WRITING_RULES, check, load};

type Files = BTreeMap<String, Vec<u8>>;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/content")
        .join(name)
}

/// Every file below a folder, by its path inside it.
pub fn files_in(root: &Path) -> Files {
    let mut files = Files::new();
    let mut waiting = vec![root.to_owned()];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            // What is hidden is no content.
            if path.file_name().unwrap().to_str().unwrap().starts_with('.') {
                continue;
            }
            if path.is_dir() {
                waiting.push(path);
            } else {
                let inside = path
                    .strip_prefix(root)
                    .unwrap()
                    .to_str()
                    .unwrap()
                    .replace('\\', "/");
                files.insert(inside, std::fs::read(&path).unwrap());
            }
        }
    }
    files
}

/// The base with a sample's changes made.
pub fn changed(sample: &str) -> Files {
    let mut files = files_in(&folder("base"));
    let mut blocks = sample.split("\n--- ").skip(1);
    while let Some(block) = blocks.next() {
        let (head, body) = block
            .trim_end_matches('\n')
            .split_once('\n')
            .unwrap_or((block.trim_end(), ""));
        let words: Vec<&str> = head.split(' ').collect();
        match words.as_slice() {
            ["file", path] => drop(files.insert((*path).to_owned(), format!("{body}\n").into_bytes())),
            ["bytes", path] => drop(files.insert((*path).to_owned(), unescaped(body))),
            ["delete", path] => assert!(files.remove(*path).is_some(), "there is no {path} to delete"),
            ["grow", path, "to", size] => {
                let file = files.get_mut(*path).unwrap();
                file.extend(b"# ");
                file.resize(size.parse().unwrap(), b'.');
            }
            ["change", path] => {
                let (to, new) = blocks.next().unwrap().split_once('\n').unwrap();
                assert_eq!(to, "to");
                let old = String::from_utf8(files[*path].clone()).unwrap();
                assert_eq!(old.matches(body).count(), 1, "{path} holds this once:\n{body}");
                let new = new.trim_end_matches('\n');
                files.insert((*path).to_owned(), old.replacen(body, new, 1).into_bytes());
            }
            _ => panic!("unknown head: {head}"),
        }
    }
    files
}

/// `\xFF` as one byte.
fn unescaped(text: &str) -> Vec<u8> {
    let mut parts = text.split("\\x");
    let mut bytes = parts.next().unwrap_or_default().as_bytes().to_vec();
    for part in parts {
        bytes.push(u8::from_str_radix(&part[..2], 16).unwrap());
        bytes.extend(&part.as_bytes()[2..]);
    }
    bytes
}

pub fn samples(kind: &str) -> Vec<(String, String)> {
    let files = files_in(&folder(kind));
    let sample = |(name, bytes): (&String, &Vec<u8>)| {
        let name = name.strip_suffix(".yaml")?.to_owned();
        Some((name, String::from_utf8(bytes.clone()).unwrap()))
    };
    files.iter().filter_map(sample).collect()
}

/// Whether a rule is one of those whose breach is only a note.
fn is_note(rule: &str) -> bool {
    WRITING_RULES.contains(&(rule, false))
}

/// The faults; of a sample that shows a note, the notes besides.
fn shown(report: &Report, rule: &str) -> String {
    match is_note(rule) {
        true => report.render() + &report.render_notes(),
        false => report.render(),
    }
}

fn rules_in(report: &Report) -> impl Iterator<Item = &'static str> {
    let all = report.faults().iter().chain(report.notes());
    all.map(|found: &Diagnostic| found.rule)
}

#[test]
fn the_base_and_every_good_sample_give_nothing() {
    let (library, report) = check(changed(""));
    assert!(library.is_some() && report.is_clean(), "{}", report.render());
    for (name, sample) in samples("ok") {
        let (library, report) = check(changed(&sample));
        let clean = library.is_some() && report.is_clean();
        assert!(clean, "ok/{name}.yaml:\n{}", report.render());
    }
}

#[test]
fn every_bad_sample_gives_exactly_its_report() {
    let bless = std::env::var_os("WITNESSMARK_BLESS").is_some();
    for (name, sample) in samples("bad") {
        let rule = name.split('.').next().unwrap();
        let (library, report) = check(changed(&sample));
        let found = shown(&report, rule);
        let out = folder("bad").join(format!("{name}.out"));
        if bless {
            std::fs::write(&out, &found).unwrap();
        }
        let expected = std::fs::read_to_string(&out).unwrap_or_default();
        assert_eq!(found, expected, "bad/{name}.yaml");
        let broken = rules_in(&report).any(|found| found == rule);
        assert!(broken, "bad/{name}.yaml breaks no {rule}");
        // Only what breaks a rule of playing keeps content from being played.
        let plays = report.faults().iter().all(|fault| !RULES.contains(&fault.rule));
        assert_eq!(library.is_some(), plays, "bad/{name}.yaml");
        assert_eq!(load(changed(&sample)).0.is_some(), plays, "bad/{name}.yaml");
    }
}

#[test]
fn every_rule_has_a_sample_and_every_fault_a_rule() {
    let mut shown = BTreeSet::new();
    for (_, sample) in samples("bad") {
        let report = check(changed(&sample)).1;
        for fault in report.faults() {
            assert!(!is_note(fault.rule), "{} is a note", fault.rule);
        }
        assert!(report.notes().iter().all(|note| is_note(note.rule)));
        shown.extend(rules_in(&report));
    }
    let writing = WRITING_RULES.map(|(rule, _)| rule);
    let all: BTreeSet<&str> = RULES.into_iter().chain(writing).collect();
    assert_eq!(
        all.len(),
        RULES.len() + WRITING_RULES.len(),
        "no rule stands twice"
    );
    assert!(RULES.is_sorted() && writing.is_sorted());
    assert_eq!(shown, all);
    let samples = samples("bad");
    let named: BTreeSet<&str> = samples
        .iter()
        .map(|(name, _)| name.split('.').next().unwrap())
        .collect();
    assert_eq!(named, all);
}

#[test]
fn the_shipped_content_has_no_fault() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let (library, report) = check(files_in(&root));
    assert!(library.is_some() && report.is_clean(), "{}", report.render());
}
