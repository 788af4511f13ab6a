//! `witnessmark words`: the catalogues of a language written or brought up to date from the content.

use super::Stop;
use crate::content::LARGEST_FILE;
use crate::procedure::language::{catalogue_path, seen_in};
use crate::words::{Catalogue, Entry, Language};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The language's tag, e.g. de
    language: String,
    /// The content folder whose catalogues are written
    path: PathBuf,
}

/// Writes a catalogue for each file in which people see something. Nothing is written where one cannot be read.
pub(super) fn run(arguments: &Arguments) -> Result<ExitCode, Stop> {
    let language = Language::parse(&arguments.language)
        .ok()
        .filter(|language| !language.is_english());
    let language = language.ok_or_else(|| {
        let what = format!("`{}` is no language to translate to", arguments.language);
        Stop::unusable(
            what,
            "Give its tag, such as `de`; English is what the content is written in.",
        )
    })?;
    let files = crate::disk::content_files(&arguments.path, LARGEST_FILE as u64)?;
    let mut renewed = BTreeMap::new();
    for (path, bytes) in &files {
        let texts = seen_in(path, bytes);
        if !texts.is_empty() {
            let there = catalogue_path(&language, path);
            let old = read(&there, files.get(&there), &language)?;
            renewed.insert(there, old.renewed(texts.iter().map(String::as_str)));
        }
    }
    for (path, catalogue) in &renewed {
        let text = catalogue.print();
        if files.get(path).is_none_or(|old| *old != text.as_bytes()) {
            crate::disk::write_content(&arguments.path, path, text.as_bytes())?;
        }
        println!("{path}: {}", counted(catalogue));
    }
    left_over(&language, &files, &renewed);
    Ok(ExitCode::SUCCESS)
}

fn read(path: &str, bytes: Option<&Vec<u8>>, language: &Language) -> Result<Catalogue, Stop> {
    let Some(bytes) = bytes else {
        return Ok(Catalogue::empty(language));
    };
    Catalogue::parse(bytes).map_err(|faults| {
        let first = faults.first().map_or_else(String::new, ToString::to_string);
        Stop::unusable(
            format!("{path}: {first}"),
            "Mend the catalogue first; nothing was written.",
        )
    })
}

fn counted(catalogue: &Catalogue) -> String {
    let count = |which: &dyn Fn(&&Entry) -> bool| catalogue.entries().iter().filter(which).count();
    let texts = count(&|entry| !entry.stale);
    let translated = count(&|entry| entry.translated());
    let stale = count(&|entry| entry.stale);
    match stale {
        0 => format!("{translated} of {texts} translated"),
        stale => format!("{translated} of {texts} translated, {stale} stale"),
    }
}

/// Tells of catalogues whose file is gone; nobody's work is thrown away.
fn left_over(language: &Language, files: &BTreeMap<String, Vec<u8>>, renewed: &BTreeMap<String, Catalogue>) {
    let folder = format!("lang/{language}/");
    let catalogues = files.keys().filter(|path| path.starts_with(&folder));
    for path in catalogues.filter(|path| !renewed.contains_key(*path)) {
        eprintln!("{path}: its file is not there any more; left as it is");
    }
}
