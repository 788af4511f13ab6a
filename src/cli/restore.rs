//! `witnessmark restore`: a shop from its bundle, on a tablet that has none.

use super::Stop;
use super::bundle::stop;
use super::people::Passphrases;
use crate::session::bundle::{RestorePlan, Restored, Restoring, Tablets};
use crate::session::{Content, Session, World};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The bundle's folder, made with `export --all`
    bundle: PathBuf,
    /// The shop's root fingerprint that reached you by another way: SHA256:…
    #[arg(long, value_name = "FINGERPRINT")]
    root: Option<String>,
    /// The supervisor who signs for this tablet
    #[arg(long, value_name = "ID")]
    by: String,
    /// A folder of people's locked key files, where the bundle holds none or not all
    #[arg(long, value_name = "DIR")]
    keys: Option<PathBuf>,
    /// Why the old tablet's key ends
    #[arg(
        long,
        value_name = "TEXT",
        default_value = "the shop was restored from its bundle on another tablet"
    )]
    reason: String,
    /// What was done as JSON
    #[arg(long)]
    json: bool,
    /// Read the passphrase from this descriptor instead of asking for it
    #[arg(long, value_name = "N")]
    passphrase_fd: Option<u32>,
}

pub(super) fn run(arguments: &Arguments, place: &Path, content: Content) -> Result<ExitCode, Stop> {
    let mut passphrases = Passphrases::new(arguments.passphrase_fd)?;
    let plan = RestorePlan {
        root: arguments.root.clone(),
        by: arguments.by.clone(),
        keys: arguments.keys.clone(),
        reason: arguments.reason.clone(),
    };
    let world = World::real();
    let looked = Restoring::look(&arguments.bundle, place, &plan, world.now().to_utc()).map_err(stop)?;
    let done = if let Some(done) = looked.stands() {
        done.clone()
    } else {
        let passphrase = passphrases.next(&arguments.by)?;
        looked.restore(&passphrase, &world).map_err(stop)?
    };
    // Opening it shows that it works, and hands the roster out to open jobs.
    drop(Session::open(place, content, world)?);
    if arguments.json {
        println!("{}", to_json(&done));
    } else {
        print!("{}", to_text(&done, &arguments.by));
    }
    Ok(ExitCode::SUCCESS)
}

fn to_json(done: &Restored) -> Value {
    let without = done
        .without_key
        .iter()
        .map(|(id, name)| json!({ "id": id, "name": name }));
    let tablets = done.tablets.as_ref();
    json!({
        "shop": done.shop,
        "root": done.root,
        "place": done.place,
        "was_there": done.was_there,
        "tablet": tablets.map(|tablets| &tablets.new),
        "retired": tablets.and_then(|tablets| tablets.ended.as_ref()),
        "other_tablets": tablets.map(|tablets| &tablets.others),
        "jobs": done.jobs,
        "open": done.open,
        "without_key": without.collect::<Vec<_>>(),
        "not_taken": done.not_taken,
    })
}

fn to_text(done: &Restored, by: &str) -> String {
    let mut lines = vec![done.place.display().to_string()];
    lines.push(format!(
        "  shop {}, root key {}, as you gave it",
        done.shop, done.root
    ));
    let Some(Tablets { new, ended, others }) = &done.tablets else {
        lines.push("  It stands there already, with all that the bundle has; nothing was done.".to_owned());
        return lines.join("\n") + "\n";
    };
    lines.push(format!("  {} jobs, verified in their place", done.jobs));
    lines.extend(
        done.open
            .iter()
            .map(|job| format!("  job {job} is open and goes on where it stood")),
    );
    lines.push(format!("  This machine is {new} from now on."));
    if let Some(old) = ended {
        lines.push(format!(
            "  The key of {old} ended now: what that tablet wrote after the bundle is not here, and it must write no more."
        ));
    }
    let others = others.iter().map(|id| {
        format!("  {id} is a tablet of this shop as well; `people tablet retire --by {by} --reason TEXT {id}` ends its key if it is gone.")
    });
    lines.extend(others);
    lines.extend(done.not_taken.iter().map(|why| format!("not taken: {why}")));
    for (id, name) in &done.without_key {
        lines.push(format!(
            "{name} has no key here, and gets one with `people lost --by {by} --reason TEXT {id}`."
        ));
    }
    lines.push(
        "If the old tablet may be in other hands, give everybody whose key lay on it a new one too:"
            .to_owned(),
    );
    lines.push(format!(
        "`people lost` for others, `people rotate --by {by} {by}` for {by}."
    ));
    lines.join("\n") + "\n"
}
