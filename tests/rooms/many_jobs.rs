//! A shop with many jobs, verified side by side to the same reports; and a ledger with very many lines.
//!
//! `cargo test --release --no-default-features --test rooms many_jobs -- --ignored --nocapture` measures.

use std::fs;
use std::path::Path;
use std::time::Instant;

use crate::scratch::Scratch;
use crate::shop::{self, Log};
use crate::shop_of_jobs::{build, enter};
use witnessmark::audit::{Files, ShopReport, verify_shop};
use witnessmark::disk::Folder;
use witnessmark::people::ledger::{JobClosed, JobOpened};
use witnessmark::people::{Ledger, LedgerEntry};
use witnessmark::seal::{Namespace, digest};

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

/// The most memory that this process ever had, in KiB; Linux only.
fn peak() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok())
        .unwrap_or(0)
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
    let mut read = Ledger::open(ledger.bytes.as_slice(), &roster).expect("a ledger");
    let (opened, begun) = (begun.elapsed(), Instant::now());
    let whole = Ledger::replay(ledger.bytes.as_slice(), &roster).expect("a ledger");
    println!(
        "{} bytes opened in {opened:?}, verified in {:?}, peak {before} to {} KiB",
        ledger.bytes.len(),
        begun.elapsed(),
        peak()
    );
    assert_eq!(read.link(), whole.link());
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
    let written = read.append(&line[..line.len() - 1], &roster, || Ok::<(), ()>(()));
    println!("one line more, its signing among it, in {:?}", begun.elapsed());
    written.expect("one more").expect("written");
    assert_eq!((whole.jobs().count(), read.jobs().count()), (100_000, 100_001));
}

/// What is verified may be read from more than one thread.
#[test]
fn folders_are_shared_between_threads() {
    fn shared<T: Files + Sync>(_: &T) {}
    let scratch = Scratch::new();
    shared(&Folder::open(scratch.path()).expect("a folder"));
}
