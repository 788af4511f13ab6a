//! What a step costs until its line is on the disk: written as an entry, signed, appended and synced; against the
//! bare append and sync of the same bytes.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::PathBuf;

use divan::Bencher;
use witnessmark::disk::{Draft, JobFolder, Shop};
use witnessmark::player::fact::{Body, Fact, Wording};
use witnessmark::procedure::StepRef;
use witnessmark::record;
use witnessmark::seal::{Digest, Line, Namespace, SigningKey};

const JOB: &str = "2026-0001";

fn main() {
    divan::main();
}

/// A folder on the disk that holds the build, since a folder in memory syncs at once.
fn place(name: &str) -> PathBuf {
    let place =
        PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("append-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&place).expect("a folder");
    place
}

fn step() -> Fact {
    let text = "Let the pump pressure fall slowly until the meter shows an open circuit.".to_owned();
    let wording = Wording {
        command: text.clone(),
        why: text.clone(),
        right: text.clone(),
        wrong: text,
        tools: vec!["Hand pump with gauge port".into()],
        ..Wording::default()
    };
    let step = StepRef {
        procedure: "fuel-cut-out".into(),
        step: "trip".into(),
    };
    let at = "2026-03-02T09:05:00+01:00".parse().expect("a time");
    Fact {
        n: 7,
        at,
        by: "ines.varga".into(),
        body: Body::Done { step, wording },
    }
}

fn line(key: &SigningKey) -> Vec<u8> {
    let text = record::write(&step(), Digest::ZERO, JOB).expect("an entry");
    let line = Line::signed(
        text,
        "ines.varga".parse().expect("an id"),
        key,
        Namespace::JobRecord,
    );
    line.to_bytes().expect("a short line")
}

fn job(name: &str) -> (PathBuf, Shop, JobFolder) {
    let place = place(name);
    let (shop, _) = Shop::open(&place).expect("a shop");
    let job = shop.create_job(JOB, &Draft::default()).expect("a job");
    (place, shop, job)
}

fn bare_file(name: &str) -> (PathBuf, File) {
    let place = place(name);
    let file = OpenOptions::new()
        .create(true)
        .append(true)
        .open(place.join("bare"))
        .expect("a file");
    (place, file)
}

#[divan::bench]
fn step_signed_and_synced(bencher: Bencher) {
    let key = SigningKey::generate(&[2; 32]);
    let (place, shop, mut job) = job("step");
    bencher.bench_local(|| job.record().append(&line(&key)).expect("appended"));
    drop((job, shop));
    std::fs::remove_dir_all(place).expect("removed");
}

#[divan::bench]
fn bare_append_and_sync(bencher: Bencher) {
    let bytes = line(&SigningKey::generate(&[2; 32]));
    let (place, mut file) = bare_file("bare");
    bencher.bench_local(|| {
        file.write_all(&bytes).expect("written");
        file.sync_data().expect("synced");
    });
    std::fs::remove_dir_all(place).expect("removed");
}

/// The same without the disk: what the entry and its signature cost.
#[divan::bench]
fn step_written_and_signed_only(bencher: Bencher) {
    let key = SigningKey::generate(&[2; 32]);
    bencher.bench_local(|| line(&key));
}
