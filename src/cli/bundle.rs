//! `witnessmark export` and `import`: jobs as one verified bundle, and a bundle taken in by another tablet.

use super::Stop;
use crate::session::bundle::{BundleError, ExportPlan, Exported, ImportPlan, Imported};
use crate::session::{Session, SessionError};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct ExportArguments {
    /// The numbers of the jobs
    #[arg(required_unless_present = "all", conflicts_with = "all")]
    jobs: Vec<String>,
    /// Every job of the shop
    #[arg(long)]
    all: bool,
    /// The folder or stick that the bundle comes into; it must be there
    #[arg(long, value_name = "DIR")]
    to: PathBuf,
    /// The customers' data as well
    #[arg(long)]
    with_personal: bool,
    /// People's private keys as well, each locked with its passphrase; never the tablet's
    #[arg(long)]
    with_keys: bool,
    /// Leave out jobs that are not whole, rather than stop
    #[arg(long)]
    leave_out_broken: bool,
    /// What was done as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct ImportArguments {
    /// The bundle's folder
    bundle: PathBuf,
    /// The other shop's root fingerprint that reached you by another way: SHA256:…
    #[arg(long, value_name = "FINGERPRINT")]
    root: Option<String>,
    /// What was done as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn export(arguments: &ExportArguments, session: &Session) -> Result<ExitCode, Stop> {
    let plan = ExportPlan {
        jobs: arguments.jobs.clone(),
        personal: arguments.with_personal,
        keys: arguments.with_keys,
        leave_out_broken: arguments.leave_out_broken,
    };
    let done = session.export(&plan, &arguments.to).map_err(stop)?;
    if arguments.json {
        println!("{}", exported_json(&done));
    } else {
        print_exported(&done, arguments);
    }
    Ok(ExitCode::from(u8::from(!done.left_out.is_empty())))
}

fn exported_json(done: &Exported) -> Value {
    let left_out = done.left_out.iter().map(|(number, report)| {
        let faults: Vec<Value> = report.faults().map(crate::audit::Finding::to_json).collect();
        json!({ "job": number, "faults": faults })
    });
    json!({
        "bundle": done.place,
        "was_there": done.was_there,
        "jobs": done.jobs,
        "files": done.files,
        "left_out": left_out.collect::<Vec<_>>(),
        "passed_over": done.passed_over,
    })
}

fn print_exported(done: &Exported, arguments: &ExportArguments) {
    println!("{}", done.place.display());
    let verb = if done.was_there {
        "stood there already, whole"
    } else {
        "written and read back"
    };
    println!("  {} jobs, {} files, {verb}", done.jobs.len(), done.files);
    if !arguments.with_personal {
        println!("  The customers' data are not in it (--with-personal).");
    }
    if arguments.with_keys {
        println!(
            "  It holds people's private keys, each locked with its passphrase: whoever has the bundle can guess"
        );
        println!("  at these as long as they like. The tablet's key is not in it.");
    } else {
        println!("  No private keys are in it (--with-keys).");
    }
    for file in &done.passed_over {
        println!("passed over: {file} has a name that Witnessmark did not give");
    }
    for (number, report) in &done.left_out {
        println!("left out: job {number}, which is not whole");
        for fault in report.faults() {
            println!("  {fault}");
        }
    }
}

pub(super) fn import(arguments: &ImportArguments, mut session: Session) -> Result<ExitCode, Stop> {
    let plan = ImportPlan {
        root: arguments.root.clone(),
    };
    let done = session.import(&arguments.bundle, &plan).map_err(stop)?;
    if arguments.json {
        println!("{}", imported_json(&done));
    } else {
        print_imported(&done);
    }
    Ok(ExitCode::SUCCESS)
}

fn imported_json(done: &Imported) -> Value {
    let jobs = done
        .jobs
        .iter()
        .map(|(number, arrival)| json!({ "job": number, "arrival": arrival.as_str() }));
    json!({
        "archive": done.archive,
        "shop": done.shop,
        "root": done.root,
        "anchored": done.anchored,
        "jobs": jobs.collect::<Vec<_>>(),
        "absent": done.absent,
        "not_taken": done.not_taken,
    })
}

fn print_imported(done: &Imported) {
    use crate::session::bundle::Arrival;
    println!("{}", done.archive.display());
    println!("  shop {}, root key {}", done.shop, done.root);
    if !done.anchored {
        println!(
            "  The root key was held against nothing: compare its fingerprint with one that you have from"
        );
        println!("  the shop by another way (--root). Without that, anyone could have signed all this.");
    }
    for (number, arrival) in &done.jobs {
        let what = match arrival {
            Arrival::New => "taken in",
            Arrival::Here => "was here already, the same",
            Arrival::HereLonger => "was here already, and is longer here",
            Arrival::Own => "stands among this shop's own jobs",
            Arrival::TookLonger => "goes on from the one that was here, which was moved to older/",
        };
        println!("job {number}: {what}");
    }
    for number in &done.absent {
        println!("job {number}: not in this bundle, though its ledger names it");
    }
    for file in &done.not_taken {
        println!("{file}: left in the bundle; an archive has no use for it");
    }
}

/// What is not whole is a finding, not a mistake on the command line.
pub(super) fn stop(error: SessionError) -> Stop {
    let found = matches!(
        error,
        SessionError::Bundle(
            BundleError::JobsNotWhole(_)
                | BundleError::NotWhole(_)
                | BundleError::Differs { .. }
                | BundleError::OtherRoot { .. }
                | BundleError::Partial(_)
        )
    );
    let stop = Stop::from(error);
    if found { stop.with_code(1) } else { stop }
}
