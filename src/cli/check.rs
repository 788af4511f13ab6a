//! `witnessmark check`: content checked, every fault at once.

use super::Stop;
use crate::content::LARGEST_FILE;
use crate::procedure::{Instrument, Languages};
use crate::session::shipped;
use crate::words::Language;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Content folders, or a shop's instruments.yaml; the content inside the program where none is given
    paths: Vec<PathBuf>,
    /// Tell what is not translated to this language, and leave with 1 where there is anything
    #[arg(long, value_name = "TAG")]
    language: Option<String>,
    /// Faults as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments, content: Option<&Path>) -> Result<ExitCode, Stop> {
    let mut folders = Vec::new();
    let mut clean = true;
    for path in &arguments.paths {
        if path.is_file() {
            clean &= register(path, content, arguments.json)?;
            continue;
        }
        folders.push((
            path.display().to_string(),
            crate::disk::content_files(path, LARGEST_FILE as u64)?,
        ));
    }
    if arguments.paths.is_empty() {
        folders.push(("the content inside the program".to_owned(), shipped::files()));
    }
    let wanted = arguments.language.as_deref().map(wanted).transpose()?;
    for (name, files) in folders {
        let (library, report) = crate::procedure::load(files);
        clean &= report.is_clean() && library.is_some();
        if arguments.json {
            println!("{}", report.to_json());
        } else if report.is_clean() {
            let library = library.as_ref();
            let procedures = library.map_or(0, |l| {
                l.jobs.iter().map(|job| job.procedures.len()).sum::<usize>()
            });
            println!(
                "{name}: clean, {} jobs, {procedures} procedures",
                library.map_or(0, |l| l.jobs.len())
            );
            clean &= library.is_none_or(|library| translated(&library.shared.languages, wanted.as_ref()));
        } else {
            print!("{}", report.render());
            eprintln!("{name}: {} faults", report.faults().len());
        }
    }
    Ok(ExitCode::from(u8::from(!clean)))
}

fn wanted(tag: &str) -> Result<Language, Stop> {
    Language::parse(tag).map_err(|error| Stop::unusable(error.to_string(), "Give a tag such as `de`."))
}

/// Says how far each language goes, and of the one that is wanted what is missing; gives whether that is all there.
fn translated(languages: &Languages, wanted: Option<&Language>) -> bool {
    for language in languages.known() {
        let coverage = languages.coverage(language);
        let texts: usize = coverage.values().map(|file| file.texts).sum();
        let missing: usize = coverage.values().map(|file| file.missing.len()).sum();
        println!("  {language}: {} of {texts} texts translated", texts - missing);
    }
    let Some(wanted) = wanted else { return true };
    if !languages.known().any(|language| language == wanted) {
        println!("  {wanted}: no catalogue; `witnessmark words {wanted} FOLDER` writes them");
        return false;
    }
    let coverage = languages.coverage(wanted);
    for (path, file) in &coverage {
        for text in &file.missing {
            println!(
                "  {path}: not translated to {wanted}: {}",
                crate::diagnostic::quoted(text)
            );
        }
    }
    coverage.values().all(|file| file.missing.is_empty())
}

/// Checks a shop's register of instruments against the kinds of the content; gives whether it is clean.
fn register(path: &Path, content: Option<&Path>, json: bool) -> Result<bool, Stop> {
    let name = path.display().to_string();
    if path.file_name().is_none_or(|file| file != "instruments.yaml") {
        return Err(Stop::unusable(
            format!("{name} is a file"),
            "Name a content folder, or the instruments.yaml of a shop.",
        ));
    }
    let bytes = std::fs::read(path)
        .map_err(|error| Stop::unusable(format!("{name}: {error}"), "Name a register that can be read."))?;
    let content = super::content(content)?;
    let shared = &content.library()?.shared;
    match crate::procedure::register_for(&bytes, &name, shared) {
        Err(report) if json => println!("{}", report.to_json()),
        Err(report) => {
            print!("{}", report.render());
            eprintln!("{name}: {} faults", report.faults().len());
        }
        Ok(instruments) => return Ok(proved(path, &instruments, json)),
    }
    Ok(false)
}

/// Says what a clean register leaves open; gives whether every photograph that it names is there.
fn proved(path: &Path, instruments: &[Instrument], json: bool) -> bool {
    let ids = |which: &dyn Fn(&Instrument) -> bool| -> Vec<&str> {
        let found = instruments.iter().filter(|instrument| which(instrument));
        found.map(|instrument| instrument.id.as_str()).collect()
    };
    let beside = path.with_file_name("certificates");
    let lost = ids(&|instrument| {
        let photograph = instrument.certificate.as_ref();
        photograph.is_some_and(|name| !beside.join(name).is_file())
    });
    if json {
        println!("{}", crate::diagnostic::Report::default().to_json());
    } else {
        println!("{}: clean, {} instruments", path.display(), instruments.len());
        let unstated = ids(&|instrument| instrument.uncertainty.is_none());
        tell("no uncertainty, their resolution counts alone", &unstated);
        tell(
            "no calibration certificate",
            &ids(&|instrument| instrument.certificate.is_none()),
        );
    }
    for id in &lost {
        eprintln!(
            "{}: the photograph that {id} names is not in {}",
            path.display(),
            beside.display()
        );
    }
    lost.is_empty()
}

fn tell(what: &str, ids: &[&str]) {
    if !ids.is_empty() {
        println!("  {what}: {}", ids.join(", "));
    }
}
