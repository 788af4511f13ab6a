//! `witnessmark check`: content checked, every fault at once.

use super::Stop;
use crate::content::LARGEST_FILE;
use crate::session::shipped;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Content folders; the content inside the program where none is given
    paths: Vec<PathBuf>,
    /// Faults as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<ExitCode, Stop> {
    let mut folders = Vec::new();
    for path in &arguments.paths {
        folders.push((
            path.display().to_string(),
            crate::disk::content_files(path, LARGEST_FILE as u64)?,
        ));
    }
    if folders.is_empty() {
        folders.push(("the content inside the program".to_owned(), shipped::files()));
    }
    let mut clean = true;
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
        } else {
            print!("{}", report.render());
            eprintln!("{name}: {} faults", report.faults().len());
        }
    }
    Ok(ExitCode::from(u8::from(!clean)))
}
