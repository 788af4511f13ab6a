//! Subcommands and exit codes.
//!
//! | code | meaning |
//! | --- | --- |
//! | 0 | done; for `check` clean, for `verify` whole |
//! | 1 | `check` found faults, `verify` found the record not whole, `calc` refused its inputs; `export`, `import` and `restore` found something not whole or different |
//! | 2 | the command line, a file or the shop could not be used |
#![allow(clippy::disallowed_methods)]

mod approve;
mod bundle;
mod calc;
mod check;
mod demo;
mod people;
mod preview;
mod report;
mod restore;
mod verify;
mod words;

use crate::session::{Content, Session, SessionError, World};
use crate::words::{Language, languages};
use clap::{Parser, Subcommand};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Step-by-step installation training and checklist, with a signed record that anyone can check.
#[derive(Debug, Parser)]
#[command(name = "witnessmark", version, about)]
struct Arguments {
    /// The shop's folder; the platform's data folder where it is not given.
    #[arg(long, global = true, env = "WITNESSMARK_SHOP", value_name = "DIR")]
    shop: Option<PathBuf>,
    /// A content folder instead of the content inside the program.
    #[arg(long, global = true, value_name = "DIR")]
    content: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Play the demonstration job from start to finish
    Demo(demo::Arguments),
    /// Check content: every fault at once, with its place
    Check(check::Arguments),
    /// Write or renew a content folder's catalogues for a language
    Words(words::Arguments),
    /// List or run calculators
    Calc(calc::Arguments),
    /// Verify job folders, certificates, bundles or the shop's folder
    Verify(verify::Arguments),
    /// Draw a step as the kiosk would in the midst of a job, or all steps of a procedure, as PNG
    Preview(preview::Arguments),
    /// Make the certificate of a job again
    Report(report::Arguments),
    /// Write jobs as one verified bundle to a folder or stick
    Export(bundle::ExportArguments),
    /// Take a bundle's jobs into this shop's archive
    Import(bundle::ImportArguments),
    /// Make a shop from its bundle on a tablet that has none, after the old tablet was lost or broke
    Restore(restore::Arguments),
    /// Approve content for jobs that count as proof, signed by a supervisor
    Approve(approve::Arguments),
    /// The roster: found a shop, list its people, add a person
    People(people::Arguments),
}

/// What stopped a command: a message, and the code to leave with.
#[derive(Debug)]
pub(crate) struct Stop {
    message: String,
    hint: String,
    code: u8,
}

impl Stop {
    /// The command line, a file or the shop could not be used.
    pub(crate) fn unusable(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            hint: hint.into(),
            code: 2,
        }
    }

    /// The same with another exit code.
    pub(crate) fn with_code(self, code: u8) -> Self {
        Self { code, ..self }
    }
}

impl From<SessionError> for Stop {
    fn from(error: SessionError) -> Self {
        Self::unusable(error.to_string(), error.hint())
    }
}

impl From<crate::disk::Error> for Stop {
    fn from(error: crate::disk::Error) -> Self {
        Self::unusable(error.to_string(), error.hint())
    }
}

/// Runs the command line; messages go to standard error, results to standard output.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are no faults.
            let code = if error.use_stderr() { 2 } else { 0 };
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    match carry_out(&arguments) {
        Ok(code) => code,
        Err(stop) => {
            eprintln!("witnessmark: {}", stop.message);
            if !stop.hint.is_empty() {
                eprintln!("  {}", stop.hint);
            }
            ExitCode::from(stop.code)
        }
    }
}

fn carry_out(arguments: &Arguments) -> Result<ExitCode, Stop> {
    match &arguments.command {
        None => kiosk(arguments),
        Some(Command::Demo(demo)) => demo::run(demo, arguments.content.as_deref()),
        Some(Command::Check(check)) => check::run(check, arguments.content.as_deref()),
        Some(Command::Words(words)) => words::run(words),
        Some(Command::Calc(calc)) => calc::run(calc, &content(arguments.content.as_deref())?),
        Some(Command::Verify(verify)) => verify::run(verify),
        Some(Command::Preview(preview)) => preview::run(preview, arguments.content.as_deref()),
        Some(Command::Report(report)) => report::run(report, open(arguments)?),
        Some(Command::Export(export)) => bundle::export(export, &open(arguments)?),
        Some(Command::Import(import)) => bundle::import(import, open(arguments)?),
        Some(Command::Restore(restore)) => restore::run(
            restore,
            &shop_folder(arguments)?,
            content(arguments.content.as_deref())?,
        ),
        Some(Command::Approve(approve)) => approve::run(
            approve,
            &shop_folder(arguments)?,
            content(approve.path.as_deref().or(arguments.content.as_deref()))?,
        ),
        Some(Command::People(people)) => people::run(
            people,
            &shop_folder(arguments)?,
            content(arguments.content.as_deref())?,
        ),
    }
}

#[cfg(feature = "kiosk")]
fn kiosk(arguments: &Arguments) -> Result<ExitCode, Stop> {
    let shown = crate::kiosk::run(|| open(arguments), arguments.content.clone())?;
    shown.map_err(|error| Stop::unusable(error, NO_SCREEN))?;
    Ok(ExitCode::SUCCESS)
}

#[cfg(feature = "kiosk")]
pub(crate) const NO_SCREEN: &str =
    "Start it where a Wayland or X11 screen is, or use `witnessmark demo --out DIR` without one.";

#[cfg(not(feature = "kiosk"))]
fn kiosk(_: &Arguments) -> Result<ExitCode, Stop> {
    Err(Stop::unusable(
        "this program was built without its screen",
        "Build it with the `kiosk` feature.",
    ))
}

fn open(arguments: &Arguments) -> Result<Session, Stop> {
    let folder = shop_folder(arguments)?;
    Ok(Session::open(
        &folder,
        content(arguments.content.as_deref())?,
        World::real(),
    )?)
}

/// A language that the program speaks.
fn language(tag: &str) -> Result<Language, String> {
    let known = languages();
    let tags: Vec<&str> = known.iter().map(|(language, _)| language.tag()).collect();
    let found = known.iter().find(|(language, _)| language.tag() == tag);
    let found = found.map(|(language, _)| language.clone());
    found.ok_or_else(|| format!("expected one of {}", tags.join(", ")))
}

/// The content inside the program, or a folder's.
pub(crate) fn content(folder: Option<&Path>) -> Result<Content, Stop> {
    Ok(match folder {
        None => Content::shipped(),
        Some(folder) => Content::load(crate::disk::content_files(
            folder,
            crate::content::LARGEST_FILE as u64,
        )?)?,
    })
}

/// The shop's folder: as given, or in the platform's data folder.
fn shop_folder(arguments: &Arguments) -> Result<PathBuf, Stop> {
    if let Some(folder) = &arguments.shop {
        return Ok(folder.clone());
    }
    let data = std::env::var_os("XDG_DATA_HOME").map(PathBuf::from);
    let home = || std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".local/share"));
    let data = data.filter(|path| path.is_absolute()).or_else(home);
    let data = data.ok_or_else(|| {
        Stop::unusable(
            "there is no data folder on this machine",
            "Give the shop's folder with --shop DIR.",
        )
    })?;
    Ok(data.join("witnessmark/shop"))
}
