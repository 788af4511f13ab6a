//! What a keystroke on the job card costs: every answer understood, every figure worked out and every check judged.
//!
//! `cargo bench --no-default-features --bench card` fills the shipped job's card with the demonstration's answers.
//! The goal is 2 ms for the whole card, so that it is worked out anew within a frame of a 60 Hz screen.
#![allow(clippy::disallowed_methods)]

use divan::{Bencher, black_box};
use std::collections::BTreeMap;
use std::path::Path;
use witnessmark::player::card::{self, Sheet};
use witnessmark::player::{Play, Typed};
use witnessmark::procedure::load;

fn main() {
    divan::main();
}

/// The whole card.
#[divan::bench]
fn full(bencher: Bencher) {
    let play = play();
    let sheet = sheet(&play);
    let whole = card::evaluate(&play, &sheet);
    assert!(
        whole.acceptable(),
        "the demonstration's card is accepted: {:?} {:?} {:?}",
        whole.missing,
        whole.faults,
        whole.unworkable
    );
    bencher.bench_local(|| card::evaluate(black_box(&play), black_box(&sheet)));
}

/// The card from the first answer to the last, worked out after each; divided by their number, a keystroke's mean.
#[divan::bench(sample_count = 20)]
fn while_it_is_filled(bencher: Bencher) {
    let play = play();
    let sheet = sheet(&play);
    bencher
        .counter(divan::counter::ItemsCount::new(sheet.len()))
        .bench_local(|| {
            let mut filled = Sheet::new();
            for (key, typed) in &sheet {
                filled.insert(key.clone(), typed.clone());
                black_box(card::evaluate(&play, &filled));
            }
        });
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn play() -> Play {
    let content = root().join("content");
    let mut files = BTreeMap::new();
    let mut waiting = vec![content.clone()];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(&folder).expect("the content is there") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                waiting.push(path);
                continue;
            }
            let inside = path.strip_prefix(&content).expect("inside");
            let name = inside.to_string_lossy().into_owned();
            files.insert(name, std::fs::read(&path).expect("a file"));
        }
    }
    let (library, report) = load(files);
    let mut library = library.unwrap_or_else(|| panic!("{}", report.render()));
    let is_wet = |job: &witnessmark::procedure::Job| job.id.as_str() == "wet-nitrous";
    let at = library.jobs.iter().position(is_wet).expect("the job is there");
    Play::new(
        library.jobs.swap_remove(at),
        library.shared,
        library.tables,
        Vec::new(),
    )
}

fn sheet(play: &Play) -> Sheet {
    let text = std::fs::read(root().join("tests/demo/card.json")).expect("the demonstration's card");
    let answers: BTreeMap<String, String> = serde_json::from_slice(&text).expect("answers");
    let one = |(name, text): (String, String)| {
        let (group, field) = name.split_once('.').expect("group.field");
        let personal = play.field(group, field).is_some_and(|field| field.personal);
        let typed = match personal {
            true => Typed::Committed(String::new()),
            false => Typed::Open(text),
        };
        ((group.to_owned(), field.to_owned()), typed)
    };
    answers.into_iter().map(one).collect()
}
