//! `witnessmark calc`: the calculators by their ids.

use super::Stop;
use crate::calc::{self, CalcError, Outcome, Spec};
use crate::diagnostic::nearest;
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
            format!("{}There are: {}.", meant(id, &ids), ids.join(", ")),
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
        print!("{}", text(calculator.spec, &outcome));
    }
    Ok(ExitCode::SUCCESS)
}

/// “Did you mean … ?” where a legal name is near.
fn meant(found: &str, legal: &[&str]) -> String {
    nearest(found, legal.iter().copied()).map_or_else(String::new, |near| format!("Did you mean {near}? "))
}

/// What the calculator refused, and what to do about it.
fn refused(error: calc::CalcError) -> Stop {
    let hint = match &error {
        CalcError::UnknownInput { found, legal, .. } => meant(found, legal),
        CalcError::MissingInput { calculator, .. } => {
            format!("witnessmark calc {calculator} --explain lists the inputs and an example.")
        }
        _ => String::new(),
    };
    Stop {
        message: error.to_string(),
        hint: hint.trim_end().to_owned(),
        code: 1,
    }
}

/// One line for each output: its name, its value and what it is called, then the notes.
fn text(spec: &Spec, outcome: &Outcome) -> String {
    let lines: Vec<(String, String)> = outcome
        .outputs
        .iter()
        .map(|(name, value)| (format!("{name} = {}", value.shown(6)), spec.output_label(name)))
        .collect();
    let width = lines.iter().map(|(figure, _)| figure.chars().count()).max();
    let mut text = String::new();
    for (figure, label) in &lines {
        text.push_str(&format!("{figure:<0$}   {label}\n", width.unwrap_or(0)));
    }
    for note in &outcome.notes {
        text.push_str(&format!("note: {note}\n"));
    }
    text
}
