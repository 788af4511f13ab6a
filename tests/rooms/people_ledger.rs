//! The ledger of jobs: what it keeps, and how a job that is missing, doubled or foreign shows.

use serde_json::json;
use witnessmark::people::ledger::{JobClosed, JobOpened, extract};
use witnessmark::people::{Ledger, LedgerEntry, PeopleRule, Roster};
use witnessmark::seal::{Namespace, Rule, digest};

use crate::shop::{self, INES, Log, TABLET, at, id, label};

fn roster() -> Roster {
    Roster::replay(shop::roster().bytes.as_slice()).expect("a whole roster")
}

fn opened(title: &str) -> LedgerEntry {
    LedgerEntry::Opened(JobOpened {
        title: label(title),
        first_hash: digest(title.as_bytes()),
    })
}

fn closed(title: &str) -> LedgerEntry {
    LedgerEntry::Closed(JobClosed {
        final_hash: digest(title.as_bytes()),
        entries: 6,
    })
}

fn ledger(rows: &[(&str, &str, LedgerEntry)]) -> Log {
    let mut log = Log::new(Namespace::ShopLedger);
    for (time, job, entry) in rows {
        let text = entry
            .text(log.link(), at(time), &id(TABLET), job)
            .expect("an entry");
        log.add_text(text, TABLET, TABLET);
    }
    log
}

fn whole() -> Log {
    ledger(&[
        ("09:00:00", "2026-0001", opened("one")),
        ("09:30:00", "2026-0002", opened("two")),
        ("10:00:00", "2026-0001", closed("one")),
    ])
}

fn rules(bytes: &[u8]) -> Vec<PeopleRule> {
    Ledger::read(bytes, &roster())
        .1
        .into_iter()
        .map(|finding| finding.rule)
        .collect()
}

#[test]
fn a_whole_ledger_knows_its_jobs() {
    let log = whole();
    let ledger = Ledger::replay(log.bytes.as_slice(), &roster()).expect("a whole ledger");
    let one = ledger.job("2026-0001").expect("a job");
    assert_eq!(
        (one.n, one.at, &one.opened.first_hash),
        (0, at("09:00:00"), &digest(b"one"))
    );
    let (time, end) = one.closed.as_ref().expect("closed");
    assert_eq!((*time, end.entries), (at("10:00:00"), 6));
    assert!(ledger.job("2026-0002").is_some_and(|job| job.closed.is_none()));
    assert_eq!((ledger.jobs().count(), ledger.job("2026-0003")), (2, None));
    assert_eq!(ledger.link(), log.link());
}

#[test]
fn the_latest_time_stays_where_a_clock_was_set_back() {
    assert_eq!(Ledger::new().latest(), None);
    let rows = [
        ("09:00:00", "2026-0001", opened("one")),
        ("10:00:00", "2026-0001", closed("one")),
        ("09:30:00", "2026-0002", opened("two")),
    ];
    for (count, latest) in [(1, "09:00:00"), (2, "10:00:00"), (3, "10:00:00")] {
        let (read, _) = Ledger::read(ledger(&rows[..count]).bytes.as_slice(), &roster());
        assert_eq!(read.latest(), Some(at(latest)));
    }
}

#[test]
fn lines_are_taken_one_by_one_as_in_one_go() {
    let (log, roster) = (whole(), roster());
    let mut ledger = Ledger::new();
    for line in log.lines() {
        let written = ledger.append(&line, &roster, || Ok::<(), ()>(()));
        written.expect("a line that follows").expect("written");
    }
    assert_eq!(ledger.link(), log.link());
    assert!(
        ledger
            .append(&log.lines()[2], &roster, || Err("never written"))
            .is_err()
    );
}

#[test]
fn what_is_not_written_is_not_known() {
    let (log, roster) = (whole(), roster());
    let mut ledger = Ledger::new();
    let written = ledger.append(&log.lines()[0], &roster, || Err("the disk is full"));
    assert_eq!(written, Ok(Err("the disk is full")));
    assert_eq!((ledger.head(), ledger.jobs().count()), (None, 0));
    let mut asked = false;
    let refused = ledger.append(&log.lines()[1], &roster, || {
        asked = true;
        Ok::<(), ()>(())
    });
    assert!(
        refused.is_err() && !asked,
        "a line that does not follow is never written"
    );
}

/// Long enough to be shared between threads: each fault is still told at its own line, and in the lines' order.
#[test]
fn a_long_ledger_is_told_like_a_short_one() {
    let rows: Vec<(&str, String)> = (0..3000).map(|n| ("09:00:00", format!("2026-{n:05}"))).collect();
    let rows: Vec<_> = rows
        .iter()
        .map(|(at, job)| (*at, job.as_str(), opened("one")))
        .collect();
    let log = ledger(&rows);
    let read = Ledger::replay(log.bytes.as_slice(), &roster()).expect("a whole ledger");
    assert_eq!((read.jobs().count(), read.link()), (3000, log.link()));
    let mut lines = log.lines();
    for place in [7, 1500, 2999] {
        // The line before it stands again in its place, so that the one after it does not follow.
        lines[place] = log.lines()[place - 1].clone();
    }
    let bytes = lines
        .iter()
        .flat_map(|line| [&line[..], b"\n"].concat())
        .collect::<Vec<u8>>();
    let (_, findings) = Ledger::read(bytes.as_slice(), &roster());
    let places: std::collections::BTreeSet<u64> = findings.iter().map(|finding| finding.line).collect();
    assert_eq!(places, [8, 9, 1501, 1502, 3000].into());
    assert!(findings.is_sorted_by_key(|finding| finding.line));
}

/// At the start of the program the last signature stands for all before it, since it covers their hashes.
#[test]
fn opening_holds_every_line_to_the_last_signature() {
    let (log, roster) = (whole(), roster());
    let open = |bytes: &[u8]| Ledger::open(bytes, &roster);
    let (read, whole) = (open(&log.bytes), Ledger::replay(log.bytes.as_slice(), &roster));
    let (read, whole) = (read.expect("opened"), whole.expect("a whole ledger"));
    assert_eq!(
        (read.link(), read.jobs().count()),
        (whole.link(), whole.jobs().count())
    );
    let altered = |line: usize, from: &str, to: &str| {
        let mut lines: Vec<String> = String::from_utf8(log.bytes.clone())
            .expect("UTF-8")
            .lines()
            .map(str::to_owned)
            .collect();
        let before = lines[line].clone();
        lines[line] = before.replacen(from, to, 1);
        assert_ne!(lines[line], before);
        let findings = open(format!("{}\n", lines.join("\n")).as_bytes()).expect_err("altered");
        findings.iter().map(|finding| finding.rule).collect::<Vec<_>>()
    };
    let broken = PeopleRule::Line(Rule::BrokenChain);
    assert_eq!(altered(0, "one", "two"), [broken]);
    assert_eq!(altered(1, "+01:00", "+01:01"), [broken]);
    let last = log.lines().len() - 1;
    assert_eq!(altered(last, "6}", "7}"), [PeopleRule::Line(Rule::BadSignature)]);
    assert!(open(&log.bytes[..log.bytes.len() - 1]).is_err(), "a torn line");
}

#[test]
fn the_extract_of_a_job_reads_alone() {
    let log = whole();
    let bytes = extract(log.bytes.as_slice(), "2026-0001").expect("no I/O");
    let lines = log.lines();
    assert_eq!(bytes, [&lines[0][..], b"\n", &lines[2], b"\n"].concat());
    let (ledger, findings) = Ledger::read_extract(bytes.as_slice(), &roster());
    assert!(findings.is_empty() && ledger.jobs().count() == 1, "{findings:?}");
    let backwards = [&lines[2][..], b"\n", &lines[0], b"\n"].concat();
    assert!(!Ledger::read_extract(backwards.as_slice(), &roster()).1.is_empty());
}

#[test]
fn each_fault_has_its_rule() {
    let opening = ("09:00:00", "2026-0001", opened("one"));
    let again = ledger(&[opening.clone(), ("09:01:00", "2026-0001", opened("one"))]);
    assert_eq!(rules(&again.bytes), [PeopleRule::LedgerMismatch]);
    let never = ledger(&[("09:00:00", "2026-0001", closed("one"))]);
    assert_eq!(rules(&never.bytes), [PeopleRule::LedgerMismatch]);
    let end = ("09:02:00", "2026-0001", closed("one"));
    let twice = ledger(&[opening.clone(), end.clone(), end]);
    assert_eq!(rules(&twice.bytes), [PeopleRule::LedgerMismatch]);
    let mut person = ledger(std::slice::from_ref(&opening));
    let text = opened("two")
        .text(person.link(), at("09:01:00"), &id(INES), "2026-0002")
        .expect("an entry");
    person.add_text(text, INES, INES);
    assert_eq!(rules(&person.bytes), [PeopleRule::Line(Rule::WrongNamespace)]);
    let mut other = ledger(&[opening]);
    other.add("09:01:00", TABLET, "paused", Some("2026-0001"), json!({}));
    other.add(
        "09:01:00",
        TABLET,
        "closed",
        None,
        json!({"final_hash": digest(b"x"), "entries": 1}),
    );
    assert_eq!(rules(&other.bytes), [PeopleRule::MalformedEntry; 2]);
    let log = whole();
    assert_eq!(
        rules(&log.bytes[..log.bytes.len() - 1]),
        [PeopleRule::Line(Rule::TruncatedLine)]
    );
    let lines = log.lines();
    let cut = [&lines[0][..], b"\n", &lines[2], b"\n"].concat();
    assert_eq!(
        rules(&cut),
        [
            PeopleRule::Line(Rule::NumberGap),
            PeopleRule::Line(Rule::BrokenChain)
        ]
    );
}
