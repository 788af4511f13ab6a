//! A job's folder, verified with stock tools alone by `tests/verify_record.sh`, whole and tampered with.

use std::fs;
use std::path::Path;

use crate::scratch::Scratch;
use crate::shop::{self, INES, TABLET, TOMASZ};
use crate::small_job::{Folder, JOB, State, folder};
use witnessmark::seal::Namespace;

fn write(scratch: &Scratch, folder: &Folder) {
    for (name, bytes) in folder {
        let path = scratch.path().join("job").join(name);
        fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        fs::write(path, bytes).expect("a file");
    }
}

/// Exit code and what was said.
fn verify(folder: &Folder, root: &[&str]) -> (Option<i32>, String) {
    let scratch = Scratch::new();
    write(&scratch, folder);
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/verify_record.sh");
    let args = [&[script.to_str().expect("a path"), "job"], root].concat();
    let out = scratch.run("sh", &args, b"");
    let said = [out.stdout, out.stderr].concat();
    (out.status.code(), String::from_utf8_lossy(&said).into_owned())
}

fn lines(folder: &Folder, file: &str) -> Vec<String> {
    let text = std::str::from_utf8(&folder[file]).expect("UTF-8");
    text.lines().map(str::to_owned).collect()
}

fn set_lines(folder: &mut Folder, file: &str, lines: &[String]) {
    let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
    folder.insert(file.to_owned(), text.into_bytes());
}

#[test]
fn whole_folders_are_whole() {
    let root = shop::key(TOMASZ).fingerprint();
    for (state, word) in [
        (State::Closed, "closed, 9 entries"),
        (State::Open, "open, 6 entries"),
        (State::Practice, "proves no work"),
        (State::Old, "names no approval of its content"),
    ] {
        let (code, said) = verify(&folder(state), &[&root]);
        assert_eq!(code, Some(0), "{state:?}: {said}");
        assert!(said.contains(word) && said.contains(&root), "{state:?}: {said}");
    }
}

/// The folder that is kept as the format's example is the one that is made here.
#[test]
fn the_kept_example_is_this_one() {
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/record/small");
    for (name, bytes) in folder(State::Closed) {
        let path = kept.join(&name);
        if std::env::var_os("WITNESSMARK_WRITE_VECTORS").is_some() {
            fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
            fs::write(&path, &bytes).expect("a file");
        }
        assert_eq!(fs::read(&path).ok(), Some(bytes), "{name}");
    }
}

/// What is done to a whole folder, and a part of the fault that must be told.
pub type Tamper = (&'static str, fn(&mut Folder), &'static str);

pub const TAMPERS: &[Tamper] = &[
    (
        "a flipped byte",
        |folder| folder.get_mut("record.jsonl").expect("a file")[400] ^= 1,
        "record.jsonl line 1",
    ),
    (
        "a reading made better",
        |folder| change(folder, 2, "3,6 bar", "3,9 bar"),
        "ines.varga did not sign this",
    ),
    (
        "a dropped line",
        |folder| cut(folder, "record.jsonl", 3),
        "prev is not the hash of the line before",
    ),
    (
        "a dropped end",
        |folder| cut(folder, "record.jsonl", 8),
        "ledger-extract.jsonl does not name this open",
    ),
    ("swapped lines", swap, "its number is 3, 2 was due"),
    ("a foreign key", foreign_key, "did not sign this for job-record"),
    (
        "a signature by another known key",
        other_known_key,
        "ines.varga did not sign this",
    ),
    (
        "a signature for another purpose",
        other_purpose,
        "did not sign this for job-record",
    ),
    (
        "an author who is not the signer",
        not_by,
        "not a signed line whose signer is its author",
    ),
    (
        "a time when the key was not valid",
        too_early,
        "could not at 20260302070059Z",
    ),
    ("a key that stands twice", twice, "a key stands twice"),
    (
        "a line after the closing",
        after_closing,
        "stands after the closing",
    ),
    ("a torn last line", torn, "the last line was not written whole"),
    (
        "a pattern in allowed_signers",
        pattern,
        "allowed_signers: refused: * ",
    ),
    (
        "a key that the roster does not know",
        unknown_key,
        "the roster gave this key to no ines.varga",
    ),
    (
        "an altered drawing",
        |folder| alter(folder, "content/"),
        "is not what its name says",
    ),
    (
        "a missing drawing",
        |folder| remove(folder, "content/"),
        "is missing",
    ),
    (
        "an altered photograph",
        |folder| alter(folder, "attachments/"),
        "is not what its name says",
    ),
    (
        "a missing photograph",
        |folder| remove(folder, "attachments/"),
        "jpg is missing",
    ),
    (
        "a shorter roster",
        |folder| cut(folder, "roster.jsonl", 2),
        "the roster that the record pinned",
    ),
    (
        "no ledger lines",
        |folder| remove(folder, "ledger-extract"),
        "ledger-extract.jsonl is missing",
    ),
    (
        "the opening alone in the ledger",
        |folder| cut(folder, "ledger-extract.jsonl", 1),
        "does not name this closed",
    ),
    (
        "another job's ledger lines",
        other_ledger,
        "does not name this closed record",
    ),
    (
        "no approvals",
        |folder| remove(folder, "approvals.jsonl"),
        "approvals.jsonl is missing",
    ),
    (
        "no allowed_signers",
        |folder| remove(folder, "allowed_signers"),
        "allowed_signers is missing",
    ),
    (
        "an empty record",
        |folder| folder.insert("record.jsonl".into(), vec![]).map_or((), drop),
        "has no whole line",
    ),
];

#[test]
fn every_tampering_is_refused_and_named() {
    expect_refused(TAMPERS);
}

pub fn expect_refused(tampers: &[Tamper]) {
    let mut wrong = Vec::new();
    for (name, tamper, fault) in tampers {
        let mut folder = folder(State::Closed);
        let before = folder.clone();
        tamper(&mut folder);
        assert_ne!(folder, before, "{name} changes something");
        let (code, said) = verify(&folder, &[]);
        if code != Some(1) || !said.contains(fault) || !said.contains("NOT WHOLE") {
            wrong.push(format!("{name}: expected `{fault}`, exit {code:?}:\n{said}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn another_root_is_refused() {
    let (code, said) = verify(&folder(State::Closed), &[&shop::key(INES).fingerprint()]);
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("roster.jsonl: the root is"), "{said}");
}

fn change(folder: &mut Folder, at: usize, from: &str, to: &str) {
    let mut lines = lines(folder, "record.jsonl");
    lines[at] = lines[at].replacen(from, to, 1);
    set_lines(folder, "record.jsonl", &lines);
}

pub fn cut(folder: &mut Folder, file: &str, at: usize) {
    let mut lines = lines(folder, file);
    lines.remove(at);
    set_lines(folder, file, &lines);
}

fn swap(folder: &mut Folder) {
    let mut lines = lines(folder, "record.jsonl");
    lines.swap(2, 3);
    set_lines(folder, "record.jsonl", &lines);
}

/// Signs the record's third line anew, after a change of its text, and mends the chain behind it.
fn resign(
    folder: &mut Folder,
    change: impl Fn(String) -> String,
    signer: &str,
    with: &str,
    purpose: Option<&str>,
) {
    use witnessmark::seal::{Line, MAX_LINE_BYTES};
    let mut lines = lines(folder, "record.jsonl");
    let line = Line::parse(lines[2].as_bytes(), MAX_LINE_BYTES).expect("a line");
    let namespace = purpose.map_or(Namespace::JobRecord, |name| name.parse().expect("a namespace"));
    let line = Line::signed(change(line.entry), shop::id(signer), &shop::key(with), namespace);
    lines[2] = String::from_utf8(line.to_bytes().expect("bytes"))
        .expect("UTF-8")
        .trim_end()
        .to_owned();
    set_lines(folder, "record.jsonl", &lines);
}

fn foreign_key(folder: &mut Folder) {
    resign(folder, |text| text, INES, "a stranger", None);
}

fn other_known_key(folder: &mut Folder) {
    resign(folder, |text| text, INES, TABLET, None);
}

fn other_purpose(folder: &mut Folder) {
    resign(folder, |text| text, INES, INES, Some("practice-record"));
}

fn not_by(folder: &mut Folder) {
    resign(folder, |text| text, TOMASZ, TOMASZ, None);
}

fn too_early(folder: &mut Folder) {
    resign(
        folder,
        |text| text.replacen("T09:05:00", "T08:00:59", 1),
        INES,
        INES,
        None,
    );
}

fn twice(folder: &mut Folder) {
    let double = |text: String| text.replacen("\"typed\":", "\"typed\":\"4 bar\",\"typed\":", 1);
    resign(folder, double, INES, INES, None);
}

fn after_closing(folder: &mut Folder) {
    let mut log = shop::Log::new(Namespace::JobRecord);
    for line in lines(folder, "record.jsonl") {
        log.push(line.as_bytes());
    }
    log.add(
        "09:20:00",
        INES,
        "note",
        Some(JOB),
        serde_json::json!({"text": "One thing more."}),
    );
    folder.insert("record.jsonl".into(), log.bytes);
}

fn torn(folder: &mut Folder) {
    let bytes = folder.get_mut("record.jsonl").expect("a file");
    bytes.truncate(bytes.len() - 9);
}

fn pattern(folder: &mut Folder) {
    let line = format!("* {}\n", shop::public("a stranger"));
    folder
        .get_mut("allowed_signers")
        .expect("a file")
        .extend(line.bytes());
}

fn unknown_key(folder: &mut Folder) {
    let line = format!("{INES} {}\n", shop::public("a stranger"));
    folder
        .get_mut("allowed_signers")
        .expect("a file")
        .extend(line.bytes());
}

fn name(folder: &Folder, begins: &str) -> String {
    folder
        .keys()
        .find(|name| name.starts_with(begins))
        .expect("a file")
        .clone()
}

fn alter(folder: &mut Folder, begins: &str) {
    let name = name(folder, begins);
    folder.get_mut(&name).expect("a file").push(b'!');
}

fn remove(folder: &mut Folder, begins: &str) {
    let name = name(folder, begins);
    folder.remove(&name);
}

fn other_ledger(folder: &mut Folder) {
    let other = super::small_job::folder(State::Open);
    let mut lines = lines(folder, "ledger-extract.jsonl");
    lines.truncate(1);
    lines.push(self::lines(&other, "ledger-extract.jsonl")[0].clone());
    set_lines(folder, "ledger-extract.jsonl", &lines);
}
