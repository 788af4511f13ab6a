//! `witnessmark check`: content checked, every fault at once.

use super::Stop;
use crate::content::LARGEST_FILE;
use crate::diagnostic::{Diagnostic, Report};
use crate::procedure::{self, Instrument, Library};
use crate::session::{Reload, shipped};
use crate::words::Language;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

mod languages;
mod sarif;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Content folders, or a shop's instruments.yaml; the content inside the program where none is given
    paths: Vec<PathBuf>,
    /// Tell what is not translated to this language, and leave with 1 where there is anything
    #[arg(long, value_name = "TAG")]
    language: Option<String>,
    /// Write the JSON Schemas of all files into this folder, for editors, and check nothing but what is named
    #[arg(long, value_name = "DIR")]
    schema: Option<PathBuf>,
    /// Check one folder again whenever something in it changes, until it is stopped
    #[arg(long, conflicts_with_all = ["json", "sarif"])]
    watch: bool,
    /// Show notes too: what a good editor would look at again, and what is no fault
    #[arg(long)]
    notes: bool,
    /// Faults as JSON
    #[arg(long, group = "form")]
    json: bool,
    /// One line for each fault, for editors: path:line:column: fault: text [rule]
    #[arg(long, group = "form")]
    lines: bool,
    /// Faults as SARIF 2.1.0
    #[arg(long, group = "form")]
    sarif: bool,
}

/// How much weight something that was found has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Level {
    Fault,
    Note,
}

/// One of the things to check, and what was found in it.
struct Checked {
    /// The folder that paths stand under; nothing for the content inside the program and for a register.
    under: PathBuf,
    report: Report,
    /// What to say of it where it is clean.
    clean: String,
    /// Whether something is wrong beside the faults, which was said already.
    lost: bool,
}

pub(super) fn run(arguments: &Arguments, content: Option<&Path>) -> Result<ExitCode, Stop> {
    if let Some(folder) = &arguments.schema {
        write_schemas(folder)?;
    }
    if arguments.watch {
        return watch(arguments);
    }
    let wanted = arguments.language.as_deref().map(languages::wanted).transpose()?;
    let folder = |path: &Path, files| {
        let (library, report) = procedure::check(files);
        checked(path, library.as_ref(), report, wanted.as_ref())
    };
    let mut all = Vec::new();
    for path in &arguments.paths {
        all.push(match path.is_file() {
            true => register(path, content)?,
            false => folder(path, crate::disk::content_files(path, LARGEST_FILE as u64)?),
        });
    }
    if arguments.paths.is_empty() && arguments.schema.is_none() {
        let name = "the content inside the program";
        all.push(Checked {
            under: PathBuf::new(),
            ..folder(Path::new(name), shipped::files())
        });
    }
    if arguments.sarif {
        println!("{}", sarif::log(&all, arguments.notes));
    } else {
        all.iter().for_each(|one| one.say(arguments));
    }
    let clean = all.iter().all(|one| one.report.is_clean() && !one.lost);
    Ok(ExitCode::from(u8::from(!clean)))
}

fn write_schemas(folder: &Path) -> Result<(), Stop> {
    let failed = |error: std::io::Error| {
        let hint = "Name a folder that can be written, such as `.schema` in the content.";
        Stop::unusable(format!("{}: {error}", folder.display()), hint)
    };
    std::fs::create_dir_all(folder).map_err(failed)?;
    for (name, text) in procedure::schemas() {
        std::fs::write(folder.join(&name), text).map_err(failed)?;
    }
    Ok(())
}

/// Says what is found in a folder now, and again after each change in it.
fn watch(arguments: &Arguments) -> Result<ExitCode, Stop> {
    let [path] = arguments.paths.as_slice() else {
        return Err(Stop::unusable(
            format!("{} paths to watch", arguments.paths.len()),
            "Name one content folder.",
        ));
    };
    Reload::new(path).follow(&mut |seen| {
        match seen {
            Ok(seen) => {
                let library = seen.content.as_ref().and_then(|content| content.library().ok());
                checked(path, library.map(|library| &**library), seen.report, None).say(arguments);
                println!();
            }
            Err(error) => eprintln!("{error}"),
        }
        ControlFlow::Continue(())
    });
    Ok(ExitCode::SUCCESS)
}

fn checked(path: &Path, library: Option<&Library>, report: Report, wanted: Option<&Language>) -> Checked {
    let jobs = library.map_or(&[][..], |library| &library.jobs);
    let procedures: usize = jobs.iter().map(|job| job.procedures.len()).sum();
    let notes = match report.notes().len() {
        0 => String::new(),
        count => format!(", {} (--notes shows them)", counted(count, "note")),
    };
    let (jobs, procedures) = (counted(jobs.len(), "job"), counted(procedures, "procedure"));
    let (languages, lost) = match library {
        Some(library) => languages::translated(&library.shared.languages, wanted),
        None => Default::default(),
    };
    let clean = format!(
        "{}: clean, {jobs}, {procedures}{notes}{languages}",
        path.display()
    );
    Checked {
        under: path.to_owned(),
        report,
        clean,
        lost,
    }
}

impl Checked {
    fn say(&self, arguments: &Arguments) {
        if arguments.json {
            // A list of faults, as ever; with the notes it is an object of both.
            let faults = self.report.to_json();
            match arguments.notes {
                true => println!(
                    "{}",
                    serde_json::json!({ "faults": faults, "notes": self.report.notes_to_json() })
                ),
                false => println!("{faults}"),
            }
            return;
        }
        if arguments.lines {
            for (one, level) in self.found(arguments.notes) {
                let level = match level {
                    Level::Fault => "fault",
                    Level::Note => "note",
                };
                println!("{}", one.line(level));
            }
            return;
        }
        if arguments.notes && !self.report.notes().is_empty() {
            println!("{}", self.report.render_notes());
        }
        if self.report.is_clean() {
            println!("{}", self.clean);
        } else {
            print!("{}", self.report.render());
            let faults = counted(self.report.faults().len(), "fault");
            match self.under_said().as_str() {
                "" => eprintln!("{faults}"),
                under => eprintln!("{under}: {faults}"),
            }
        }
    }

    /// Every fault, and the notes if wanted, with their paths as they were named.
    fn found(&self, notes: bool) -> impl Iterator<Item = (Diagnostic, Level)> {
        let faults = self.report.faults().iter().map(|fault| (fault, Level::Fault));
        let notes = if notes { self.report.notes() } else { &[] };
        let all = faults.chain(notes.iter().map(|note| (note, Level::Note)));
        all.map(|(found, level)| (found.clone().under(&self.under_said()), level))
    }

    fn under_said(&self) -> String {
        self.under.display().to_string()
    }
}

/// Checks a shop's register of instruments against the kinds of the content.
fn register(path: &Path, content: Option<&Path>) -> Result<Checked, Stop> {
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
    let checked = |report, clean, lost| Checked {
        under: PathBuf::new(),
        report,
        clean,
        lost,
    };
    Ok(match procedure::register_for(&bytes, &name, shared) {
        Err(report) => checked(report, String::new(), false),
        Ok(instruments) => {
            let lost = photographs_lost(path, &instruments);
            checked(Report::default(), left_open(&name, &instruments), lost)
        }
    })
}

/// `1 job`, `2 jobs`.
fn counted(count: usize, what: &str) -> String {
    match count {
        1 => format!("1 {what}"),
        _ => format!("{count} {what}s"),
    }
}

fn ids<'i>(instruments: &'i [Instrument], which: &dyn Fn(&Instrument) -> bool) -> Vec<&'i str> {
    let found = instruments.iter().filter(|instrument| which(instrument));
    found.map(|instrument| instrument.id.as_str()).collect()
}

/// What a clean register leaves open.
fn left_open(name: &str, instruments: &[Instrument]) -> String {
    let unstated = ids(instruments, &|instrument| instrument.uncertainty.is_none());
    let unproved = ids(instruments, &|instrument| instrument.certificate.is_none());
    let told = |what: &str, ids: &[&str]| match ids.is_empty() {
        true => String::new(),
        false => format!("\n  {what}: {}", ids.join(", ")),
    };
    format!(
        "{name}: clean, {} instruments{}{}",
        instruments.len(),
        told("no uncertainty, their resolution counts alone", &unstated),
        told("no calibration certificate", &unproved)
    )
}

/// Whether a photograph that the register names is not there; each is told.
fn photographs_lost(path: &Path, instruments: &[Instrument]) -> bool {
    let beside = path.with_file_name("certificates");
    let lost = ids(instruments, &|instrument| {
        let photograph = instrument.certificate.as_ref();
        photograph.is_some_and(|name| !beside.join(name).is_file())
    });
    for id in &lost {
        eprintln!(
            "{}: the photograph that {id} names is not in {}",
            path.display(),
            beside.display()
        );
    }
    !lost.is_empty()
}
