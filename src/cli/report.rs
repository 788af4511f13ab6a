//! `witnessmark report`: the certificate of a job, made again.

use super::Stop;
use crate::session::Session;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The job's number
    job: String,
}

pub(super) fn run(arguments: &Arguments, mut session: Session) -> Result<ExitCode, Stop> {
    let path = session.report(&arguments.job)?;
    println!("{}", path.display());
    Ok(ExitCode::SUCCESS)
}
