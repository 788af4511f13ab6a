//! How long the check of content takes, and that it grows no faster than the content.
//!
//! `cargo bench --no-default-features --bench check` loads the shipped content, and ten and a hundred
//! copies of its job and procedures, each copy under its own slugs.
#![allow(clippy::disallowed_methods)]

use std::collections::BTreeMap;
use std::path::Path;
use witnessmark::procedure::load;

type Files = BTreeMap<String, Vec<u8>>;

fn main() {
    divan::main();
}

#[divan::bench(args = [1, 10, 100], sample_count = 10)]
fn check(bencher: divan::Bencher, copies: usize) {
    let files = copied(&shipped(), copies);
    let bytes: usize = files
        .iter()
        .filter(|(path, _)| path.ends_with(".yaml"))
        .map(|(_, bytes)| bytes.len())
        .sum();
    bencher
        .counter(divan::counter::BytesCount::new(bytes))
        .with_inputs(|| files.clone())
        .bench_values(|files| {
            let (library, report) = load(files);
            assert!(library.is_some(), "{}", report.render());
        });
}

fn shipped() -> Files {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    let mut files = Files::new();
    let mut waiting = vec![root.clone()];
    while let Some(folder) = waiting.pop() {
        for entry in std::fs::read_dir(&folder).expect("the content is there") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                waiting.push(path);
            } else {
                let inside = path
                    .strip_prefix(&root)
                    .expect("inside")
                    .to_string_lossy()
                    .into_owned();
                files.insert(inside, std::fs::read(&path).expect("a file"));
            }
        }
    }
    files
}

/// The content with its jobs and procedures `copies` times, each under slugs of its own.
fn copied(files: &Files, copies: usize) -> Files {
    let per_copy = |path: &&String| path.starts_with("jobs/") || path.starts_with("procedures/");
    let slug = |path: &String| {
        path.rsplit('/')
            .next()
            .and_then(|name| name.strip_suffix(".yaml"))
            .map(str::to_owned)
    };
    let slugs: Vec<String> = files.keys().filter(per_copy).filter_map(slug).collect();
    let mut all = files.clone();
    for copy in 1..copies {
        for (path, bytes) in files.iter().filter(|(path, _)| per_copy(path)) {
            let text = String::from_utf8_lossy(bytes);
            all.insert(
                renamed(path, &slugs, copy),
                renamed(&text, &slugs, copy).into_bytes(),
            );
        }
        for (path, bytes) in files.iter().filter(|(path, _)| path.starts_with("media/")) {
            all.insert(renamed(path, &slugs, copy), bytes.clone());
        }
    }
    all
}

/// Every slug with the number of the copy behind it, where it stands as a whole word.
fn renamed(text: &str, slugs: &[String], copy: usize) -> String {
    let part_of_word = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    let mut out = String::with_capacity(text.len() * 2);
    let mut rest = text;
    while !rest.is_empty() {
        let end = rest.find(|c| !part_of_word(c)).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        out.push_str(word);
        if slugs.iter().any(|slug| slug == word) {
            out.push_str(&format!("-{copy}"));
        }
        let next = after.find(part_of_word).unwrap_or(after.len());
        out.push_str(&after[..next]);
        rest = &after[next..];
    }
    out
}
