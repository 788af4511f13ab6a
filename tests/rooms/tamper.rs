//! Every tampering of a kind, not samples of it: each byte, each line, each file of two job's folders. All of it is
//! found, and how much was tried is counted.
//!
//! The short tests try every 11th byte and every line of the short folder; the long ones, run with
//! `cargo test --release --no-default-features --test rooms tamper -- --ignored`, try every byte in two ways, every
//! line of the played folder too, and all 255 other values of every 31st byte.

use std::collections::BTreeMap;

use crate::played_job::{self, Run};
use crate::shop::{self, INES, TABLET, TOMASZ};
use crate::small_job::{self, Folder, State};
use witnessmark::audit::{Against, verify_job};
use witnessmark::record::Personal;
use witnessmark::seal::{Line, MAX_LINE_BYTES, Namespace, digest};

/// A whole folder that is tampered with.
struct Target {
    folder: Folder,
    /// The same folder of another job of the shop.
    other: Folder,
    /// What is told of the folder as it is.
    told: Vec<String>,
    /// How often what was tried, and how often it was not found.
    tried: BTreeMap<String, usize>,
    survived: Vec<String>,
}

/// The files of lines, and what their lines are signed for.
const LOGS: [(&str, Namespace); 4] = [
    ("record.jsonl", Namespace::JobRecord),
    ("ledger-extract.jsonl", Namespace::ShopLedger),
    ("roster.jsonl", Namespace::ShopRoster),
    ("approvals.jsonl", Namespace::ContentApproval),
];

fn told(folder: &Folder) -> Vec<String> {
    let report = verify_job(folder, &Against::default()).report;
    report.faults().map(ToString::to_string).collect()
}

impl Target {
    fn new(folder: Folder, other: Folder) -> Target {
        let told = told(&folder);
        Target {
            folder,
            other,
            told,
            tried: BTreeMap::new(),
            survived: Vec::new(),
        }
    }

    /// The kept example: its content cannot be played, which is told always.
    fn small() -> Target {
        let folder = small_job::folder(State::Closed);
        let target = Target::new(folder.clone(), renumbered(&folder, small_job::JOB));
        assert!(target.told.len() == 1 && target.told[0].contains("content-faulty"));
        target
    }

    /// A job that was played, with deviations of each course, a photograph and the customer's data.
    fn played() -> Target {
        let mut folder = played_job::folder(&Run::through(false).facts, false);
        let mut personal = Personal::new();
        personal.commit("car", "owner", "Ada Brandt", [9; 32]);
        folder.insert(
            "personal.json".into(),
            serde_json::to_vec(&personal).expect("JSON"),
        );
        folder.insert(
            format!("attachments/{}.jpg", digest(b"a photo")),
            b"a photo".to_vec(),
        );
        let target = Target::new(folder.clone(), renumbered(&folder, played_job::JOB));
        assert_eq!(target.told, [""; 0]);
        target
    }

    /// Verifies the folder as it was changed.
    fn hold(&mut self, kind: &str, file: &str, what: impl FnOnce() -> String) {
        let file = file.split('/').next().expect("a name");
        *self.tried.entry(format!("{kind} {file}")).or_default() += 1;
        if told(&self.folder).iter().all(|fault| self.told.contains(fault)) {
            self.survived.push(format!("{kind} {file}: {}", what()));
        }
    }

    /// Every `step`th byte of every file, changed to what `change` makes of it.
    fn bytes(&mut self, kind: &str, step: usize, change: impl Fn(u8, usize) -> u8) {
        let files: Vec<String> = self.folder.keys().cloned().collect();
        for file in files {
            for at in (0..self.folder[&file].len()).step_by(step) {
                let old = self.folder[&file][at];
                let new = change(old, at);
                self.folder.get_mut(&file).expect("a file")[at] = new;
                self.hold(kind, &file, || format!("byte {at}, {old} to {new}"));
                self.folder.get_mut(&file).expect("a file")[at] = old;
            }
        }
    }

    /// One file's lines, changed by `change`, which gives the new lines for each of its places.
    fn lines(&mut self, kind: &str, file: &str, places: usize, change: impl Fn(&mut Vec<Vec<u8>>, usize)) {
        let whole = self.folder[file].clone();
        for place in 0..places {
            let mut lines = lines(&whole);
            change(&mut lines, place);
            let bytes: Vec<u8> = lines
                .iter()
                .flat_map(|line| [line, &b"\n"[..]].concat())
                .collect();
            if bytes != whole {
                self.folder.insert(file.to_owned(), bytes);
                self.hold(kind, file, || format!("place {place}"));
            }
        }
        self.folder.insert(file.to_owned(), whole);
    }

    /// Lines dropped, doubled, exchanged and moved, in every way there is.
    fn rearranged(&mut self, file: &str) {
        let count = lines(&self.folder[file]).len();
        self.lines("dropped", file, count, |lines, at| drop(lines.remove(at)));
        self.lines("doubled", file, count, |lines, at| {
            lines.insert(at, lines[at].clone())
        });
        let pairs = count * count;
        self.lines("exchanged", file, pairs, |lines, at| {
            // Each pair once.
            if at / count < at % count {
                lines.swap(at / count, at % count);
            }
        });
        self.lines("moved", file, pairs, |lines, at| {
            // To a neighbour's place is to exchange both.
            if (at / count).abs_diff(at % count) > 1 {
                let line = lines.remove(at / count);
                lines.insert(at % count, line);
            }
        });
    }

    /// Lines of another job of the same shop, signed well, in each place and between all.
    fn spliced(&mut self, file: &str) {
        let others = lines(&self.other[file]);
        let count = lines(&self.folder[file]).len();
        self.lines("replaced by another job's", file, count, |lines, at| {
            lines[at].clone_from(&others[at % others.len()]);
        });
        self.lines("inserted from another job", file, count + 1, |lines, at| {
            lines.insert(at, others[at.min(others.len() - 1)].clone());
        });
    }

    /// Each line signed again by each other of the shop: in the name of who wrote it, and in their own.
    fn signed_by_others(&mut self, file: &str, namespace: Namespace) {
        let count = lines(&self.folder[file]).len();
        for (who, own_name) in [INES, TOMASZ, TABLET]
            .into_iter()
            .flat_map(|who| [(who, false), (who, true)])
        {
            self.lines("signed by others", file, count, |lines, at| {
                let line = Line::parse(&lines[at], MAX_LINE_BYTES).expect("a line");
                if line.signer.as_str() != who {
                    let (author, name) = (
                        line.signer.as_str(),
                        if own_name { who } else { line.signer.as_str() },
                    );
                    let text = line
                        .entry
                        .replace(&format!("\"by\":\"{author}\""), &format!("\"by\":\"{name}\""));
                    lines[at] = signed(text, name, who, namespace);
                }
            });
        }
    }

    /// Each line signed again by its own author, for each other purpose.
    fn signed_for_others(&mut self, file: &str, namespace: Namespace) {
        let count = lines(&self.folder[file]).len();
        for other in Namespace::ALL.iter().filter(|other| **other != namespace) {
            self.lines("signed for another purpose", file, count, |lines, at| {
                let line = Line::parse(&lines[at], MAX_LINE_BYTES).expect("a line");
                lines[at] = signed(line.entry, line.signer.as_str(), line.signer.as_str(), *other);
            });
        }
    }

    /// Each file gone, and the other job's in its place.
    fn files(&mut self) {
        let whole = self.folder.clone();
        for (file, bytes) in &whole {
            // The customer's data may be left out.
            if file != "personal.json" && !(self.told.is_empty() && file.starts_with("attachments/")) {
                self.folder.remove(file);
                self.hold("file gone", file, || file.clone());
            }
            let other = self.other.get(file).filter(|other| *other != bytes).cloned();
            if let Some(other) = other {
                self.folder.insert(file.clone(), other);
                self.hold("file of another job", file, || file.clone());
            }
            self.folder.insert(file.clone(), bytes.clone());
        }
    }

    fn every_line_and_file(&mut self) {
        for (file, namespace) in LOGS {
            self.rearranged(file);
            self.signed_by_others(file, namespace);
            self.signed_for_others(file, namespace);
        }
        self.rearranged("allowed_signers");
        self.spliced("record.jsonl");
        self.spliced("ledger-extract.jsonl");
        self.files();
    }

    /// Asserts that all was found, and gives what was tried by kind.
    fn found(self) -> BTreeMap<String, usize> {
        let some = self.survived.len().min(20);
        assert!(
            self.survived.is_empty(),
            "{} survived:\n{}",
            self.survived.len(),
            self.survived[..some].join("\n")
        );
        self.tried
    }
}

fn lines(bytes: &[u8]) -> Vec<Vec<u8>> {
    let whole = bytes.strip_suffix(b"\n").unwrap_or(bytes);
    whole.split(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect()
}

fn signed(text: String, signer: &str, with: &str, namespace: Namespace) -> Vec<u8> {
    let line = Line::signed(text, shop::id(signer), &shop::key(with), namespace);
    let mut bytes = line.to_bytes().expect("a short line");
    bytes.pop();
    bytes
}

/// The same job under another number, signed and chained as well as the first.
fn renumbered(folder: &Folder, number: &str) -> Folder {
    let mut other = folder.clone();
    let mut ends: Vec<String> = Vec::new();
    for (file, namespace) in &LOGS[..2] {
        let mut log = shop::Log::new(*namespace);
        for (at, raw) in lines(&folder[*file]).iter().enumerate() {
            let line = Line::parse(raw, MAX_LINE_BYTES).expect("a line");
            let entry: serde_json::Value = serde_json::from_str(&line.entry).expect("JSON");
            let text = |key: &str| entry[key].as_str().map(str::to_owned);
            let prev = text("prev").expect("a hash");
            let mut changed = line.entry.replace(number, "2026-0999");
            changed = changed.replacen(&prev, &log.link().prev.to_string(), 1);
            if let Some(hash) = text("first_hash").or(text("final_hash")) {
                changed = changed.replace(&hash, &ends[at]);
            }
            log.add_text(changed, line.signer.as_str(), line.signer.as_str());
        }
        let made = log.lines();
        ends = [&made[0], &made[made.len() - 1]]
            .map(|line| digest(line).to_string())
            .to_vec();
        other.insert((*file).to_owned(), log.bytes);
    }
    other
}

/// One bit of the byte; which one goes with its place.
fn flipped(byte: u8, at: usize) -> u8 {
    byte ^ (1 << (at % 8))
}

/// Another printable character, of the same sort where there is one: a digit, a small or a capital letter.
fn another(byte: u8, _: usize) -> u8 {
    match byte {
        b'0'..=b'8' | b'a'..=b'y' | b'A'..=b'Y' => byte + 1,
        b'9' => b'0',
        b'z' => b'a',
        b'Z' => b'A',
        b' ' => b'_',
        _ => b' ',
    }
}

/// How many of a kind were tried, whatever the file.
fn count(tried: &BTreeMap<String, usize>, kind: &str) -> usize {
    tried
        .iter()
        .filter(|(name, _)| name.starts_with(kind))
        .map(|(_, count)| count)
        .sum()
}

#[test]
fn the_other_job_is_whole_too() {
    for target in [Target::small(), Target::played()] {
        let found = told(&target.other);
        assert!(found.iter().all(|fault| target.told.contains(fault)), "{found:?}");
    }
}

/// Each `step`th byte in two ways; gives how many changes were tried.
fn bytes_in_two_ways(target: &mut Target, step: usize) -> usize {
    target.bytes("bit flipped", step, flipped);
    target.bytes("character changed", step, another);
    let each: usize = target
        .folder
        .values()
        .map(|bytes| bytes.len().div_ceil(step))
        .sum();
    let tried = ["bit flipped", "character changed"].map(|kind| count(&target.tried, kind));
    assert_eq!(tried, [each, each]);
    2 * each
}

#[test]
fn bytes_are_held() {
    let mut small = Target::small();
    assert!(bytes_in_two_ways(&mut small, 11) > 2_000);
    small.found();
    let mut played = Target::played();
    bytes_in_two_ways(&mut played, 997);
    played.found();
}

#[test]
fn every_line_and_file_of_the_small_job_is_held() {
    let mut target = Target::small();
    target.every_line_and_file();
    let tried = target.found();
    assert_eq!(tried.values().sum::<usize>(), 292, "{tried:#?}");
}

#[test]
#[ignore = "takes minutes"]
fn every_line_and_file_of_the_played_job_is_held() {
    let mut target = Target::played();
    target.every_line_and_file();
    let tried = target.found();
    println!("{tried:#?}");
    assert_eq!(tried.values().sum::<usize>(), 2_866, "{tried:#?}");
}

#[test]
#[ignore = "takes minutes"]
fn every_byte_of_the_small_job_is_held() {
    let mut target = Target::small();
    println!("{} changes", bytes_in_two_ways(&mut target, 1));
    for value in 1..=u8::MAX {
        target.bytes("any other value", 31, |byte, _| byte.wrapping_add(value));
    }
    let places: usize = target.folder.values().map(|bytes| bytes.len().div_ceil(31)).sum();
    let tried = target.found();
    assert_eq!(count(&tried, "any other value"), 255 * places);
}

#[test]
#[ignore = "takes minutes"]
fn every_byte_of_the_played_job_is_held() {
    let mut target = Target::played();
    println!("{} changes", bytes_in_two_ways(&mut target, 1));
    target.found();
}
