//! `FORMAT.md` says what the program does: its commands print what it shows, its tables name every kind and key.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use witnessmark::record::{self, Kind};
use witnessmark::seal::{Digest, Namespace, envelope};

use crate::any_fact;

const FORMAT: &str = include_str!("../../src/record/FORMAT.md");

/// Commands with what is printed after them, out of the fenced blocks.
fn commands() -> Vec<(String, String)> {
    let mut commands: Vec<(String, String)> = Vec::new();
    for block in FORMAT.split("```sh\n").skip(1) {
        let (block, _) = block.split_once("```").expect("a closing fence");
        for line in block.lines() {
            match (line.strip_prefix("$ "), commands.last_mut()) {
                (Some(command), _) => commands.push((command.to_owned(), String::new())),
                (None, Some((_, printed))) => *printed += &format!("{line}\n"),
                (None, None) => panic!("output before any command: {line}"),
            }
        }
    }
    commands
}

#[test]
fn the_worked_example_prints_what_it_shows() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/record/small");
    let scratch = crate::scratch::Scratch::new();
    let sig = scratch.path().join("sig");
    let commands = commands();
    assert!(commands.len() >= 8, "the example shrank");
    for (command, printed) in commands {
        let local = command.replace("line3.sig", sig.to_str().expect("a path"));
        let out = Command::new("sh")
            .args(["-c", &local])
            .current_dir(&folder)
            .output()
            .expect("a shell");
        let said = String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned();
        assert_eq!(said, printed, "{command}");
    }
}

/// The kinds of the record's table, each with the words in code marks beside it.
fn kinds() -> BTreeMap<&'static str, BTreeSet<&'static str>> {
    let (_, table) = FORMAT.split_once("## Kinds of the record").expect("the table");
    let (table, _) = table.split_once("\n## ").expect("its end");
    let rows = table.lines().filter_map(|line| line.strip_prefix("| `"));
    let row = |row: &'static str| {
        let (kind, rest) = row.split_once('`').expect("a kind");
        (kind, rest.split('`').skip(1).step_by(2).collect())
    };
    rows.map(row).collect()
}

#[test]
fn every_kind_and_every_key_is_in_its_table() {
    let table = kinds();
    let known: BTreeSet<&str> = Kind::ALL.iter().map(|kind| kind.as_str()).collect();
    assert_eq!(table.keys().copied().collect::<BTreeSet<_>>(), known);
    let mut runner = TestRunner::deterministic();
    let mut seen = BTreeSet::new();
    for _ in 0..3000 {
        let fact = any_fact::fact().new_tree(&mut runner).expect("a fact").current();
        let entry = record::to_entry(&fact, Digest::ZERO, "2026-0001").expect("an entry");
        let words = &table[entry.kind.as_str()];
        for key in entry.body.keys() {
            assert!(
                words.contains(key.as_str()),
                "`{key}` of `{}` is not in the table",
                entry.kind
            );
        }
        seen.insert(entry.kind);
    }
    assert_eq!(seen.len(), known.len(), "every kind was tried");
}

#[test]
fn the_frame_is_in_its_tables() {
    for key in envelope::KEYS {
        assert!(FORMAT.contains(&format!("| `{key}` |")), "{key}");
    }
    for namespace in Namespace::ALL {
        assert!(FORMAT.contains(&format!("| `{namespace}` |")), "{namespace}");
    }
    for kind in [
        "root", "join", "tablet", "retire", "rotate", "roles", "approve", "withdraw",
    ] {
        assert!(FORMAT.contains(&format!("| `{kind}` |")), "{kind}");
    }
    assert!(FORMAT.lines().count() < 200, "a stranger reads it in one sitting");
}
