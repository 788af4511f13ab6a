//! A shop with many jobs: verified side by side to the same reports, and how long that takes beside its mathematics.
//!
//! `cargo test --release --no-default-features --test rooms many_jobs -- --ignored --nocapture` measures.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use crate::played_job::{self, Run};
use crate::scratch::Scratch;
use crate::shop::{self, Log, TABLET};
use witnessmark::audit::{Files, ShopReport, verify_shop};
use witnessmark::disk::Folder;
use witnessmark::people::LedgerEntry;
use witnessmark::people::ledger::{JobClosed, JobOpened};
use witnessmark::player::fact::{Body, Fact};
use witnessmark::record;
use witnessmark::seal::{Line, MAX_LINE_BYTES, Namespace, digest, verify};

/// The record of a played job under another number.
fn numbered(facts: &[Fact], number: &str) -> Log {
    let mut log = Log::new(Namespace::JobRecord);
    for fact in facts {
        let mut fact = fact.clone();
        if let Body::Opening(opening) = &mut fact.body {
            number.clone_into(&mut opening.number);
        }
        let text = record::write(&fact, log.link().prev, number).expect("an entry");
        log.add_text(text, &fact.by, &fact.by);
    }
    log
}

/// One ledger line; gives it with its LF.
fn enter(ledger: &mut Log, number: &str, entry: &LedgerEntry) -> Vec<u8> {
    let text = entry.text(ledger.link(), shop::at("12:00:00"), &shop::id(TABLET), number);
    let before = ledger.bytes.len();
    ledger.add_text(text.expect("an entry"), TABLET, TABLET);
    ledger.bytes[before..].to_vec()
}

/// Builds a shop with so many closed jobs.
fn build(root: &Path, count: usize) {
    let facts = Run::through(false).facts;
    let mut files = played_job::folder(&facts, false);
    files.remove("record.jsonl");
    let mut ledger = Log::new(Namespace::ShopLedger);
    for n in 0..count {
        let (number, place) = (format!("2026-{n:05}"), root.join(format!("jobs/2026-{n:05}")));
        let record = numbered(&facts, &number);
        let lines = record.lines();
        let (first_hash, final_hash) = (digest(&lines[0]), digest(lines.last().expect("lines")));
        let title = shop::label("Cut-out");
        let entries = lines.len() as u64;
        let opened = enter(
            &mut ledger,
            &number,
            &LedgerEntry::Opened(JobOpened { title, first_hash }),
        );
        let closed = enter(
            &mut ledger,
            &number,
            &LedgerEntry::Closed(JobClosed { final_hash, entries }),
        );
        fs::create_dir_all(place.join("content")).expect("a folder");
        files.insert("ledger-extract.jsonl".into(), [opened, closed].concat());
        for (name, bytes) in &files {
            fs::write(place.join(name), bytes).expect("a file");
        }
        fs::write(place.join("record.jsonl"), record.bytes).expect("a file");
    }
    fs::write(root.join("ledger.jsonl"), ledger.bytes).expect("a file");
    for name in ["roster.jsonl", "approvals.jsonl"] {
        fs::write(root.join(name), &files[name]).expect("a file");
    }
}

fn check(root: &Path, each: &mut dyn FnMut(usize, usize)) -> ShopReport {
    verify_shop(&Folder::open(root).expect("a folder"), None, None, each)
}

#[test]
fn jobs_are_verified_side_by_side_and_told_in_their_order() {
    let scratch = Scratch::new();
    build(scratch.path(), 12);
    let mut seen = Vec::new();
    let report = check(scratch.path(), &mut |place, count| seen.push((place, count)));
    assert!(report.whole(), "{}", report.to_text());
    assert_eq!(seen, (0..12).map(|place| (place, 12)).collect::<Vec<_>>());
    let numbers: Vec<&String> = report.jobs.iter().map(|(number, _)| number).collect();
    assert!(numbers.len() == 12 && numbers.is_sorted());
    // What one job lacks is told of that job alone, though the others have the same content.
    let job = scratch.path().join("jobs/2026-00007/content");
    let file = fs::read_dir(job)
        .expect("a folder")
        .next()
        .expect("a file")
        .expect("an entry");
    fs::write(file.path(), "altered").expect("a file");
    let report = check(scratch.path(), &mut |_, _| ());
    let broken: Vec<&String> = report
        .jobs
        .iter()
        .filter(|(_, job)| !job.whole())
        .map(|(number, _)| number)
        .collect();
    assert_eq!(broken, ["2026-00007"]);
}

/// Every byte hashed once and every signature checked once, by two threads.
fn mathematics_alone(root: &Path, count: usize) -> Duration {
    let begun = Instant::now();
    let keys: Vec<_> = [shop::TOMASZ, shop::INES, TABLET, played_job::RUTH]
        .map(|who| (who, shop::public(who)))
        .into();
    let half = |from: usize| {
        let mut signatures = 0_u64;
        for n in (from..count).step_by(2) {
            let job = root.join(format!("jobs/2026-{n:05}"));
            for inside in [job.clone(), job.join("content")] {
                for file in fs::read_dir(inside)
                    .expect("a folder")
                    .map(|entry| entry.expect("an entry").path())
                {
                    let Ok(bytes) = fs::read(&file) else { continue };
                    std::hint::black_box(digest(&bytes));
                    let namespace = match file.file_name().and_then(|name| name.to_str()) {
                        Some("record.jsonl") => Namespace::JobRecord,
                        Some("roster.jsonl") => Namespace::ShopRoster,
                        Some("ledger-extract.jsonl") => Namespace::ShopLedger,
                        Some("approvals.jsonl") => Namespace::ContentApproval,
                        _ => continue,
                    };
                    for raw in bytes.split(|byte| *byte == b'\n').filter(|raw| !raw.is_empty()) {
                        let line = Line::parse(raw, MAX_LINE_BYTES).expect("a line");
                        let (_, key) = keys
                            .iter()
                            .find(|(who, _)| *who == line.signer.as_str())
                            .expect("a key");
                        verify(key, namespace, line.entry.as_bytes(), &line.sig).expect("signed");
                        signatures += 1;
                    }
                }
            }
        }
        signatures
    };
    let signatures = std::thread::scope(|scope| {
        let halves = [0, 1].map(|from| scope.spawn(move || half(from)));
        halves.map(|half| half.join().expect("done")).iter().sum::<u64>()
    });
    println!("{signatures} signatures");
    begun.elapsed()
}

/// The most memory that this process ever had, in KiB; Linux only.
fn peak() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok())
        .unwrap_or(0)
}

#[test]
#[ignore = "measures"]
fn ten_thousand_jobs() {
    let scratch = Scratch::new();
    for count in [1_000, 10_000] {
        let root = scratch.path().join(count.to_string());
        fs::create_dir(&root).expect("a folder");
        build(&root, count);
        let alone = mathematics_alone(&root, count);
        let before = peak();
        let begun = Instant::now();
        let report = check(&root, &mut |_, _| ());
        let took = begun.elapsed();
        assert!(report.whole() && report.jobs.len() == count);
        println!(
            "{count} jobs: verified in {took:?}, mathematics alone {alone:?}, ratio {:.2}, peak {before} to {} KiB",
            took.as_secs_f64() / alone.as_secs_f64(),
            peak()
        );
    }
}

/// The shop's own ledger with 200,000 lines: how long it takes to read, and how much memory.
#[test]
#[ignore = "measures"]
fn two_hundred_thousand_ledger_lines() {
    let mut ledger = Log::new(Namespace::ShopLedger);
    for n in 0..100_000 {
        let (number, title, hash) = (format!("2026-{n:06}"), shop::label("Cut-out"), digest(b"a line"));
        enter(
            &mut ledger,
            &number,
            &LedgerEntry::Opened(JobOpened {
                title,
                first_hash: hash,
            }),
        );
        enter(
            &mut ledger,
            &number,
            &LedgerEntry::Closed(JobClosed {
                final_hash: hash,
                entries: 38,
            }),
        );
    }
    let roster = witnessmark::people::Roster::replay(shop::roster().bytes.as_slice()).expect("a roster");
    let (before, begun) = (peak(), Instant::now());
    let read = witnessmark::people::Ledger::replay(ledger.bytes.as_slice(), &roster).expect("a ledger");
    println!(
        "{} bytes read in {:?}, peak {before} to {} KiB",
        ledger.bytes.len(),
        begun.elapsed(),
        peak()
    );
    let begun = Instant::now();
    let (number, title, hash) = ("2027-0001", shop::label("Cut-out"), digest(b"a line"));
    let line = enter(
        &mut ledger,
        number,
        &LedgerEntry::Opened(JobOpened {
            title,
            first_hash: hash,
        }),
    );
    let more = read.append(&line[..line.len() - 1], &roster).expect("one more");
    println!("one line more in {:?}", begun.elapsed());
    assert_eq!((read.jobs().count(), more.jobs().count()), (100_000, 100_001));
}

/// What is verified may be read from more than one thread.
#[test]
fn folders_are_shared_between_threads() {
    fn shared<T: Files + Sync>(_: &T) {}
    let scratch = Scratch::new();
    shared(&Folder::open(scratch.path()).expect("a folder"));
}
