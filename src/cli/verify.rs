//! `witnessmark verify`: job folders, certificates, bundles, or a whole shop.

use super::Stop;
use crate::session::verify::{Checked, verify};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// Job folders, certificates, bundles, or the shop's folder
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// The root fingerprint that reached you by another way: SHA256:…
    #[arg(long, value_name = "FINGERPRINT")]
    root: Option<String>,
    /// The findings as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<ExitCode, Stop> {
    let mut checked = Vec::new();
    for path in &arguments.paths {
        checked.extend(verify(path, arguments.root.as_deref())?);
    }
    let whole = checked.iter().all(|checked| checked.report.whole());
    if arguments.json {
        println!("{}", to_json(whole, &checked));
    } else {
        for checked in &checked {
            println!("{}", checked.place);
            print!("{}", checked.report.to_text());
        }
        if checked.is_empty() {
            println!("There are no jobs here.");
        }
    }
    Ok(ExitCode::from(u8::from(!whole)))
}

/// One object for one job; for several, an object with a list of them and all faults together.
fn to_json(whole: bool, checked: &[Checked]) -> Value {
    let one = |checked: &Checked| {
        let mut json = checked.report.to_json();
        if let Value::Object(map) = &mut json {
            map.insert("place".into(), checked.place.clone().into());
        }
        json
    };
    match checked {
        [only] => one(only),
        many => {
            let jobs: Vec<Value> = many.iter().map(one).collect();
            let of = |job: &Value| job["faults"].as_array().cloned().unwrap_or_default();
            let faults: Vec<Value> = jobs.iter().flat_map(of).collect();
            json!({ "whole": whole, "faults": faults, "jobs": jobs })
        }
    }
}
