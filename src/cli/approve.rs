//! `witnessmark approve`: a supervisor puts their name to the content.

use super::Stop;
use super::people::Passphrases;
use crate::session::{Content, Reviewed, Session, SessionError, World};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// A content folder; the content inside the program, or of --content, where it is not given
    #[arg(value_name = "PATH")]
    pub path: Option<PathBuf>,
    /// The supervisor who signs
    #[arg(long, value_name = "ID", required_unless_present = "list")]
    by: Option<String>,
    /// Show what would be approved and what changed, and sign nothing
    #[arg(long)]
    list: bool,
    /// What was looked at, or why
    #[arg(long, value_name = "TEXT")]
    reason: Option<String>,
    /// Withdraw the approval of this job instead, so that no job for proof is opened with it; wants --reason
    #[arg(long, value_name = "JOB", requires = "reason", conflicts_with = "list")]
    withdraw: Option<String>,
    /// Read the passphrase from this descriptor instead of asking for it
    #[arg(long, value_name = "N")]
    passphrase_fd: Option<u32>,
}

pub(super) fn run(arguments: &Arguments, shop: &Path, content: Content) -> Result<ExitCode, Stop> {
    let mut session = Session::open(shop, content, World::real())?;
    if arguments.withdraw.is_none() {
        for reviewed in session.review()? {
            print!("{}", told(&reviewed));
        }
    }
    let Some(by) = arguments.by.as_deref().filter(|_| !arguments.list) else {
        return Ok(ExitCode::SUCCESS);
    };
    let all_stand = session.review()?.iter().all(|job| job.approved.is_some());
    if arguments.withdraw.is_none() && all_stand {
        println!("There is nothing to approve.");
        return Ok(ExitCode::SUCCESS);
    }
    let passphrase = Passphrases::new(arguments.passphrase_fd)?.next(by)?;
    session.sign_on_with(by, &passphrase)?;
    sign(arguments, &mut session).map_err(Stop::from)
}

fn sign(arguments: &Arguments, session: &mut Session) -> Result<ExitCode, SessionError> {
    if let Some(job) = &arguments.withdraw {
        session.withdraw(job, arguments.reason.as_deref().unwrap_or_default())?;
        println!("The approval of {job} is withdrawn.");
        return Ok(ExitCode::SUCCESS);
    }
    for job in session.approve(arguments.reason.as_deref())? {
        println!("{job} is approved.");
    }
    Ok(ExitCode::SUCCESS)
}

/// One job: what it is, whether it is approved, and what changed.
fn told(job: &Reviewed) -> String {
    let mut text = format!(
        "{}  {} (revision {}, {} files)\n  content {}\n",
        job.authored, job.title, job.revision, job.files, job.content
    );
    match (&job.approved, &job.withdrawn, &job.changes) {
        (Some((by, at)), ..) => text += &format!("  approved by {by} on {at}\n"),
        (None, Some(reason), _) => text += &format!("  withdrawn: {reason}\n"),
        (None, None, None) => text += "  not approved; no list of approved files to compare with\n",
        (None, None, Some(changes)) => {
            text += "  not approved as it is; since the last approval:\n";
            for (path, change) in changes {
                text += &format!("    {:<8} {path}\n", change.as_str());
            }
        }
    }
    text
}
