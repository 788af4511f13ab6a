//! Every rule about content, shown by samples under `tests/content`; its README says how they are written.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use witnessmark::procedure::{RULES, load};

type Files = BTreeMap<String, Vec<u8>>;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/content")
        .join(name)
}

/// Every file below a folder, by its path inside it.
fn files_in(root: &Path) -> Files {
    let mut files = Files::new();
    let mut waiting = vec![root.to_owned()];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
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

fn samples(kind: &str) -> Vec<(String, String)> {
    let files = files_in(&folder(kind));
    let sample = |(name, bytes): (&String, &Vec<u8>)| {
        let name = name.strip_suffix(".yaml")?.to_owned();
        Some((name, String::from_utf8(bytes.clone()).unwrap()))
    };
    files.iter().filter_map(sample).collect()
}

#[test]
fn the_base_and_every_good_sample_give_nothing() {
    let (library, report) = load(changed(""));
    assert!(library.is_some(), "{}", report.render());
    for (name, sample) in samples("ok") {
        let (library, report) = load(changed(&sample));
        assert!(library.is_some(), "ok/{name}.yaml:\n{}", report.render());
    }
}

#[test]
fn every_bad_sample_gives_exactly_its_report() {
    let bless = std::env::var_os("WITNESSMARK_BLESS").is_some();
    for (name, sample) in samples("bad") {
        let (library, report) = load(changed(&sample));
        let found = report.render();
        let out = folder("bad").join(format!("{name}.out"));
        if bless {
            std::fs::write(&out, &found).unwrap();
        }
        let expected = std::fs::read_to_string(&out).unwrap_or_default();
        assert_eq!(found, expected, "bad/{name}.yaml");
        let rule = name.split('.').next().unwrap();
        assert!(
            report.faults().iter().any(|fault| fault.rule == rule),
            "bad/{name}.yaml breaks no {rule}"
        );
        assert!(library.is_none());
    }
}

#[test]
fn every_rule_has_a_sample_and_every_fault_a_rule() {
    let mut shown = BTreeSet::new();
    for (_, sample) in samples("bad") {
        shown.extend(load(changed(&sample)).1.faults().iter().map(|fault| fault.rule));
    }
    assert_eq!(shown, BTreeSet::from(RULES));
    let named: BTreeSet<String> = samples("bad")
        .into_iter()
        .map(|(name, _)| name.split('.').next().unwrap().to_owned())
        .collect();
    assert_eq!(named, RULES.iter().map(|rule| (*rule).to_owned()).collect());
}

#[test]
fn the_shipped_content_has_no_fault() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let (library, report) = load(files_in(&root));
    assert!(library.is_some(), "{}", report.render());
}
