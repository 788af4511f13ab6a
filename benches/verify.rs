//! How many entries a second are verified: the mathematics alone, the meaning alone, a whole folder, and a shop of
//! many jobs beside the hashing and the Ed25519 of it alone. `WITNESSMARK_JOBS` says how many jobs, and runs this alone.

#![allow(clippy::disallowed_methods, reason = "a bench reads its content from files")]

#[allow(dead_code, reason = "shared with the tests")]
#[path = "../tests/rooms/played_job.rs"]
mod played_job;
#[allow(dead_code, reason = "shared with the tests")]
#[path = "../tests/rooms/shop.rs"]
mod shop;
#[path = "../tests/rooms/shop_of_jobs.rs"]
mod shop_of_jobs;

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use played_job::{JOB, Run};
use std::process::Command;
use std::sync::Arc;
use std::time::Instant;
use witnessmark::audit::{self, Against, mathematics, verify_job};
use witnessmark::disk::Folder;
use witnessmark::people::Roster;
use witnessmark::player::Play;
use witnessmark::player::fact::{Body, Fact};
use witnessmark::record::PROGRAM;
use witnessmark::seal::Namespace;

fn main() {
    let jobs = std::env::var("WITNESSMARK_JOBS").ok();
    if let Some(count) = jobs.and_then(|jobs| jobs.parse().ok()) {
        return shop_beside_its_mathematics(count);
    }
    divan::main();
    // Only `cargo bench` itself says so; a filter means one of the benches above.
    if std::env::args().skip(1).eq(["--bench".to_owned()]) {
        shop_beside_its_mathematics(200);
    }
}

/// A shop verified, and its mathematics alone, in turns: whatever else the machine does hits both alike.
fn shop_beside_its_mathematics(count: usize) {
    const PAIRS: usize = 7;
    let root = std::env::temp_dir().join(format!("witnessmark-bench-shop-{}", std::process::id()));
    std::fs::create_dir(&root).expect("a folder");
    shop_of_jobs::build(&root, count);
    let before = peak();
    let whole = || {
        let folder = Folder::open(&root).expect("a folder");
        let report = audit::verify_shop(&folder, None, None, &mut |_, _| ());
        assert!(report.whole() && report.jobs.len() == count);
    };
    whole();
    let verified = peak();
    let alone = shop_of_jobs::Mathematics::of(&root);
    println!(
        "\n{count} jobs, {} signatures; peak memory {before} KiB, once verified {verified} KiB; wall and processor time",
        alone.signatures()
    );
    let ratios: Vec<_> = (0..PAIRS).map(|_| pair(|| alone.check(), whole)).collect();
    println!(
        "ratio in the middle {:.2}, {:.2}",
        middle(ratios.iter().map(|ratio| ratio.0)),
        middle(ratios.iter().map(|ratio| ratio.1))
    );
    let _ = std::fs::remove_dir_all(&root);
}

/// Both once, one after the other: how many times as long the whole takes, by the wall's clock and by the processor's.
fn pair(mathematics: impl FnOnce(), whole: impl FnOnce()) -> (f64, f64) {
    let (mathematics, whole) = (timed(mathematics), timed(whole));
    let ratio = (whole.0 / mathematics.0, whole.1 / mathematics.1);
    println!(
        "whole {:.2} s, {:.2} s; mathematics {:.2} s, {:.2} s; ratio {:.2}, {:.2}",
        whole.0, whole.1, mathematics.0, mathematics.1, ratio.0, ratio.1
    );
    ratio
}

fn middle(of: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = of.collect();
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

/// How long it took on the wall's clock, and how long all threads had a processor, in seconds.
fn timed(done: impl FnOnce()) -> (f64, f64) {
    let (begun, before) = (Instant::now(), processor());
    done();
    (begun.elapsed().as_secs_f64(), processor() - before)
}

/// The most memory that this process ever had, in KiB; Linux only.
fn peak() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let found = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
    found.unwrap_or(0)
}

/// The processor's time of this process, those of ended threads among it; Linux only.
fn processor() -> f64 {
    /// What `/proc` counts in, whatever the kernel's own clock.
    const TICKS_A_SECOND: f64 = 100.0;
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let behind_name = stat.rsplit(')').next().unwrap_or_default();
    let ticks = behind_name.split_whitespace().skip(11).take(2);
    ticks.filter_map(|ticks| ticks.parse::<f64>().ok()).sum::<f64>() / TICKS_A_SECOND
}

/// The facts as reading a record gives them.
fn shared(facts: &[Fact]) -> Vec<Arc<Fact>> {
    facts.iter().cloned().map(Arc::new).collect()
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
        let done = mathematics(black_box(bytes.as_slice()), &roster, &mut |_| ());
        assert!(done.findings.is_empty() && done.lines == count);
    });
}

#[divan::bench]
fn meaning_alone(bencher: Bencher) {
    let (facts, roster) = (shared(&Run::through(false).facts), roster());
    bencher.counter(ItemsCount::new(facts.len())).bench_local(|| {
        let play = Play::clone(&played_job::play());
        let found = audit::meaning::check(play, &facts, &|id, at| audit::actor(&roster, id, at), PROGRAM);
        assert!(found.is_empty());
    });
}

/// The player keeps every fact in each of its states; a long record must cost no more for each entry than a short one.
#[divan::bench(args = [2_000, 5_000, 10_000, 20_000], sample_count = 5)]
fn meaning_of_many_notes(bencher: Bencher, count: u64) {
    meaning_of(bencher, &notes(count));
}

/// The same with work at every entry: a reading, the figure that rests on it, and the word to take it again.
#[divan::bench(args = [2_000, 5_000, 10_000, 20_000], sample_count = 5)]
fn meaning_of_much_work(bencher: Bencher, count: usize) {
    let mut facts = Run::measured(count / 2).facts;
    facts.truncate(count);
    meaning_of(bencher, &facts);
}

fn meaning_of(bencher: Bencher, facts: &[Fact]) {
    let (facts, roster) = (shared(facts), roster());
    bencher.counter(ItemsCount::new(facts.len())).bench_local(|| {
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
