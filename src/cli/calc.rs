//! `witnessmark calc`: the calculators by their ids.

use super::Stop;
use crate::calc::{self, Outcome};
use crate::session::Content;
use std::collections::BTreeMap;
use std::process::ExitCode;

#[derive(Debug, clap::Args)]
pub(super) struct Arguments {
    /// The calculator's id; the list of all where none is given
    id: Option<String>,
    /// Inputs as NAME=VALUE, in any unit of the right kind: length=4.2m gauge=12AWG supply=13.8V
    inputs: Vec<String>,
    /// The result as JSON
    #[arg(long)]
    json: bool,
    /// Equation, ranges and sources instead of a result
    #[arg(long)]
    explain: bool,
}

pub(super) fn run(arguments: &Arguments, content: &Content) -> Result<ExitCode, Stop> {
    let Some(id) = &arguments.id else {
        for calculator in calc::all() {
            println!("{:<18} {}", calculator.spec.id, calculator.spec.title);
        }
        return Ok(ExitCode::SUCCESS);
    };
    let Some(calculator) = calc::find(id) else {
        let ids: Vec<&str> = calc::all().iter().map(|calculator| calculator.spec.id).collect();
        return Err(Stop::unusable(
            format!("there is no calculator “{id}”"),
            format!("There are: {}.", ids.join(", ")),
        ));
    };
    if arguments.explain {
        print!("{}", calc::explain(calculator.spec));
        return Ok(ExitCode::SUCCESS);
    }
    let mut inputs = BTreeMap::new();
    for input in &arguments.inputs {
        let (name, text) = input.split_once('=').ok_or_else(|| {
            Stop::unusable(
                format!("“{input}” is not an input"),
                "Write inputs as NAME=VALUE, for example supply=13.8V.",
            )
        })?;
        let value = calc::bind(calculator.spec, name, text).map_err(refused)?;
        if inputs.insert(name.to_owned(), value).is_some() {
            return Err(Stop::unusable(
                format!("{name} is given twice"),
                "Give each input once.",
            ));
        }
    }
    let outcome = calc::run(id, &inputs, &content.library()?.tables).map_err(refused)?;
    if arguments.json {
        println!("{}", calc::outcome_json(&outcome));
    } else {
        print!("{}", text(&outcome));
    }
    Ok(ExitCode::SUCCESS)
}

fn refused(error: calc::CalcError) -> Stop {
    Stop {
        message: error.to_string(),
        hint: String::new(),
        code: 1,
    }
}

fn text(outcome: &Outcome) -> String {
    let mut text = String::new();
    for (name, value) in &outcome.outputs {
        text.push_str(&format!("{name} = {}\n", value.shown(6)));
    }
    for note in &outcome.notes {
        text.push_str(&format!("note: {note}\n"));
    }
    text
}
