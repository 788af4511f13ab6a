//! How many entries a second are verified: the mathematics alone, the meaning alone, and a whole folder.

#![allow(clippy::disallowed_methods, reason = "a bench reads its content from files")]

#[allow(dead_code, reason = "shared with the tests")]
#[path = "../tests/rooms/played_job.rs"]
mod played_job;
#[allow(dead_code, reason = "shared with the tests")]
#[path = "../tests/rooms/shop.rs"]
mod shop;

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use played_job::{JOB, Run};
use std::process::Command;
use witnessmark::audit::{self, Against, mathematics, verify_job};
use witnessmark::people::Roster;
use witnessmark::player::Play;
use witnessmark::player::fact::{Body, Fact};
use witnessmark::record::PROGRAM;
use witnessmark::seal::Namespace;

fn main() {
    divan::main();
}

fn roster() -> Roster {
    Roster::replay(played_job::roster().bytes.as_slice()).expect("a whole roster")
}

/// A record of so many notes behind its opening, each signed.
fn notes(count: u64) -> Vec<Fact> {
    let mut facts = Run::new(false).facts;
    let at = facts[0].at;
    facts.extend((1..count).map(|n| {
        let body = Body::Note {
            step: None,
            text: format!("Remark {n}, as long as remarks are in a workshop."),
        };
        Fact {
            n,
            at,
            by: shop::INES.into(),
            body,
        }
    }));
    facts
}

#[divan::bench(args = [100, 10_000], sample_count = 10)]
fn mathematics_alone(bencher: Bencher, count: u64) {
    let (bytes, roster) = (played_job::record(&notes(count), false).bytes, roster());
    bencher.counter(ItemsCount::new(count)).bench_local(|| {
        let done = mathematics(black_box(bytes.as_slice()), &roster, &mut |_| {});
        assert!(done.findings.is_empty() && done.lines == count);
    });
}

#[divan::bench]
fn meaning_alone(bencher: Bencher) {
    let (facts, roster) = (Run::through(false).facts, roster());
    bencher.counter(ItemsCount::new(facts.len())).bench_local(|| {
        let play = Play::clone(&played_job::play());
        let found = audit::meaning::check(play, &facts, &|id, at| audit::actor(&roster, id, at), PROGRAM);
        assert!(found.is_empty());
    });
}

/// The player keeps every fact in each of its states; long records must stay bearable.
#[divan::bench(args = [1_000, 4_000], sample_count = 5)]
fn meaning_of_a_long_record(bencher: Bencher, count: u64) {
    let (facts, roster) = (notes(count), roster());
    bencher.counter(ItemsCount::new(count)).bench_local(|| {
        let play = Play::clone(&played_job::play());
        let found = audit::meaning::check(play, &facts, &|id, at| audit::actor(&roster, id, at), PROGRAM);
        assert!(found.is_empty());
    });
}

#[divan::bench]
fn whole_folder(bencher: Bencher) {
    let facts = Run::through(false).facts;
    let folder = played_job::folder(&facts, false);
    bencher.counter(ItemsCount::new(facts.len())).bench_local(|| {
        let report = verify_job(black_box(&folder), &Against::default()).report;
        assert!(report.whole() && report.job.as_deref() == Some(JOB));
    });
}

/// One entry, verified by our mathematics.
#[divan::bench(sample_count = 20)]
fn one_entry_by_witnessmark(bencher: Bencher) {
    let (record, roster) = (played_job::record(&notes(1), false).bytes, roster());
    let line = record.strip_suffix(b"\n").expect("a line").to_vec();
    bencher.counter(ItemsCount::new(1u64)).bench_local(|| {
        let opened = witnessmark::seal::open_line(black_box(&line), &roster, Namespace::JobRecord);
        assert!(opened.is_ok());
    });
}

/// The same entry, verified by stock ssh-keygen: a process for each, as a stranger's script has it.
#[divan::bench(sample_count = 20, sample_size = 5)]
fn one_entry_by_ssh_keygen(bencher: Bencher) {
    let (record, roster) = (played_job::record(&notes(1), false).bytes, roster());
    let opened =
        witnessmark::seal::Opened::read(record.strip_suffix(b"\n").expect("a line")).expect("an entry");
    let folder = std::env::temp_dir().join(format!("witnessmark-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let write = |name: &str, text: &str| std::fs::write(folder.join(name), text).expect("written");
    write("allowed_signers", &roster.to_allowed_signers().to_string());
    write("entry", &opened.line.entry);
    write("entry.sig", &opened.line.sig);
    let at = witnessmark::seal::instant::format_utc(&opened.entry.at.to_utc());
    bencher.counter(ItemsCount::new(1u64)).bench_local(|| {
        let entry = std::fs::File::open(folder.join("entry")).expect("an entry");
        let verified = Command::new("ssh-keygen")
            .args([
                "-Y",
                "verify",
                "-f",
                "allowed_signers",
                "-n",
                "job-record",
                "-s",
                "entry.sig",
            ])
            .args([
                "-I",
                opened.line.signer.as_str(),
                "-O",
                &format!("verify-time={at}"),
            ])
            .current_dir(&folder)
            .stdin(entry)
            .stdout(std::process::Stdio::null())
            .status()
            .expect("ssh-keygen is installed");
        assert!(verified.success());
    });
    let _ = std::fs::remove_dir_all(&folder);
}
