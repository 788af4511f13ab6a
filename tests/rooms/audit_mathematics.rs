//! The mathematics of a record, whole and tampered with; the verdicts are those of the stock tools' script.

use witnessmark::audit::{MOST_FINDINGS, Mathematics, Meaning, Rule, Standing, mathematics};
use witnessmark::people::Roster;
use witnessmark::seal::{self, AllowedSigners, Namespace, digest};

use crate::shop::{self, INES, Log, TABLET, TOMASZ};
use crate::small_job::{self, JOB, State};

fn roster() -> Roster {
    Roster::replay(shop::roster().bytes.as_slice()).expect("a whole roster")
}

fn check(bytes: &[u8]) -> Mathematics {
    let by_roster = mathematics(bytes, &roster(), &mut |_| ());
    let file = AllowedSigners::parse(&roster().to_allowed_signers().to_string()).expect("our own file");
    let by_file = mathematics(bytes, &file, &mut |_| ());
    let rules = |found: &Mathematics| {
        found
            .findings
            .iter()
            .map(|finding| finding.rule)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        rules(&by_roster),
        rules(&by_file),
        "the roster and its file agree"
    );
    by_roster
}

/// Line number and rule of each finding.
fn rules(bytes: &[u8]) -> Vec<(String, Rule)> {
    check(bytes)
        .findings
        .into_iter()
        .map(|finding| (finding.place, finding.rule))
        .collect()
}

fn at(line: u64, rule: impl Into<Rule>) -> (String, Rule) {
    (format!("record.jsonl line {line}"), rule.into())
}

fn joined(lines: &[Vec<u8>]) -> Vec<u8> {
    lines
        .iter()
        .flat_map(|line| [line.as_slice(), b"\n"].concat())
        .collect()
}

fn closed() -> Log {
    small_job::record(State::Closed, &roster())
}

#[test]
fn a_whole_record_has_no_findings() {
    for (state, standing, entries) in [
        (State::Open, Standing::Open, 6),
        (State::Closed, Standing::Closed, 9),
        (State::Practice, Standing::Practice, 6),
    ] {
        let log = small_job::record(state, &roster());
        let mut seen = Vec::new();
        let found = mathematics(log.bytes.as_slice(), &roster(), &mut |opened| {
            seen.push(opened.entry.n)
        });
        assert_eq!(
            (found.findings, found.standing, found.lines),
            (vec![], standing, entries),
            "{state:?}"
        );
        assert_eq!(seen, (0..entries).collect::<Vec<_>>());
        assert_eq!(found.job.as_deref(), Some(JOB));
        let lines = log.lines();
        assert_eq!(found.first, Some(digest(&lines[0])));
        assert_eq!(
            found.head.map(|head| head.hash),
            lines.last().map(|line| digest(line))
        );
    }
}

#[test]
fn every_line_that_is_missing_doubled_or_moved_is_told() {
    let lines = closed().lines();
    for at in 0..lines.len() {
        let mut less = lines.clone();
        less.remove(at);
        let mut twice = lines.clone();
        twice.insert(at, lines[at].clone());
        let mut moved = lines.clone();
        moved.swap(at, (at + 1) % lines.len());
        let last = at == lines.len() - 1;
        // A cut tail is a whole open record; only the ledger knows that there was more.
        assert_eq!(
            check(&joined(&less)).findings.is_empty(),
            last,
            "line {at} missing"
        );
        assert!(!check(&joined(&twice)).findings.is_empty(), "line {at} doubled");
        assert!(!check(&joined(&moved)).findings.is_empty(), "line {at} moved");
    }
}

#[test]
fn flipped_bytes_are_told() {
    let bytes = closed().bytes;
    for at in (0..bytes.len()).step_by(97) {
        let mut flipped = bytes.clone();
        flipped[at] ^= 1;
        assert!(
            check(&flipped)
                .findings
                .iter()
                .any(|finding| finding.rule.breaks()),
            "byte {at}"
        );
    }
}

/// Adds one line to an open record, made by `make`, and gives what is told of it.
fn with(make: impl FnOnce(&mut Log)) -> Vec<(String, Rule)> {
    let mut log = small_job::record(State::Open, &roster());
    make(&mut log);
    rules(&log.bytes)
}

#[test]
fn each_rule_is_told_at_its_line() {
    let note = || serde_json::json!({"text": "One thing more."});
    let text = |log: &Log, time: &str| match note() {
        serde_json::Value::Object(body) => log.text(time, INES, "note", Some(JOB), body),
        _ => unreachable!(),
    };
    let sign = |signer: &'static str, key: &'static str, time: &'static str| {
        move |log: &mut Log| {
            let text = text(log, time);
            log.add_text(text, signer, key);
        }
    };
    assert_eq!(with(sign(INES, INES, "09:30:00")), []);
    assert_eq!(
        with(sign(INES, "a stranger", "09:30:00")),
        [at(7, seal::Rule::UnknownSigner)]
    );
    assert_eq!(
        with(sign(INES, TOMASZ, "09:30:00")),
        [at(7, seal::Rule::UnknownSigner)]
    );
    assert_eq!(
        with(sign(TOMASZ, TOMASZ, "09:30:00")),
        [at(7, seal::Rule::SignerNotBy)]
    );
    assert_eq!(
        with(sign(INES, INES, "09:08:59")),
        [at(7, seal::Rule::TimeBackwards)]
    );
    let early = [at(7, seal::Rule::ExpiredSigner), at(7, seal::Rule::TimeBackwards)];
    assert_eq!(with(sign(INES, INES, "08:00:59")), early);
    let other_job = with(|log| log.add("09:30:00", INES, "note", Some("2026-0002"), note()));
    assert_eq!(other_job, [at(7, Meaning::BadOpening)]);
    let again = with(|log| log.add("09:30:00", TABLET, "opening", Some(JOB), note()));
    assert_eq!(again, [at(7, Meaning::BadOpening)]);
    let behind = with(|log| {
        log.add(
            "09:30:00",
            TABLET,
            "closing",
            Some(JOB),
            serde_json::json!({"entries": 7}),
        );
        log.add("09:31:00", INES, "note", Some(JOB), note());
    });
    assert_eq!(behind, [at(8, Meaning::LinesAfterClosing)]);
}

/// A practice run can never be passed off as a job: its opening says so, and so does every signature.
#[test]
fn practice_and_job_cannot_be_exchanged() {
    let job = small_job::record(State::Open, &roster());
    let practice = small_job::record(State::Practice, &roster());
    let text = |log: &Log| {
        seal::Line::parse(&log.lines()[0], seal::MAX_LINE_BYTES)
            .expect("a line")
            .entry
    };
    for (text, namespace) in [
        (text(&practice), Namespace::JobRecord),
        (text(&job), Namespace::PracticeRecord),
    ] {
        let mut log = Log::new(namespace);
        log.add_text(text, TABLET, TABLET);
        assert_eq!(rules(&log.bytes), [at(1, seal::Rule::WrongNamespace)]);
    }
}

#[test]
fn hostile_bytes_are_told_and_never_fill_the_memory() {
    assert_eq!(rules(b"")[0].1, Meaning::RecordMissing.into());
    assert_eq!(rules(b"{}"), [at(1, seal::Rule::TruncatedLine)]);
    let long = [b"{".repeat(3 * seal::MAX_LINE_BYTES), b"\n".to_vec()].concat();
    assert_eq!(rules(&long), [at(1, seal::Rule::MalformedLine)]);
    let found = check(&b"\xff\n".repeat(100_000));
    assert_eq!(found.findings.len(), MOST_FINDINGS + 1);
    assert_eq!(
        found.findings.last().map(|finding| finding.rule),
        Some(Meaning::TooLong.into())
    );
}

/// After a line that cannot be read, the others are still checked, and the break is told once.
#[test]
fn one_bad_line_is_told_once() {
    let mut lines = closed().lines();
    lines[3] = b"{\"entry\":1}".to_vec();
    let told = [at(4, seal::Rule::MalformedLine), at(5, seal::Rule::BrokenChain)];
    assert_eq!(rules(&joined(&lines)), told);
}
