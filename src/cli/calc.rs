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
    let told = |error| refused(calculator.spec, error);
    let mut inputs = BTreeMap::new();
    for input in &arguments.inputs {
        let (name, text) = input.split_once('=').ok_or_else(|| {
            Stop::unusable(
                format!("“{input}” is not an input"),
                "Write inputs as NAME=VALUE, for example supply=13.8V.",
            )
        })?;
        let value = calc::bind(calculator.spec, name, text).map_err(told)?;
        if inputs.insert(name.to_owned(), value).is_some() {
            return Err(Stop::unusable(
                format!("{name} is given twice"),
                "Give each input once.",
            ));
        }
    }
    let outcome = calc::run(id, &inputs, &content.library()?.tables).map_err(told)?;
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
fn refused(spec: &Spec, error: CalcError) -> Stop {
    let hint = match &error {
        CalcError::NotAChoice { input, found, .. } => {
            let options = spec.input(input).map_or(&[][..], |input| input.kind.options());
            meant(found, options)
        }
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

/// The widest figure that the names line up behind, in characters.
const WIDEST: usize = 44;

/// One line for each output: its name, its value and what it is called, then the notes.
fn text(spec: &Spec, outcome: &Outcome) -> String {
    let lines: Vec<(String, String)> = outcome
        .outputs
        .iter()
        .map(|(name, value)| (format!("{name} = {}", value.shown(6)), spec.output_label(name)))
        .collect();
    // A sentence among the figures must not push their names off the screen.
    let widths = lines.iter().map(|(figure, _)| figure.chars().count());
    let width = widths.filter(|width| *width <= WIDEST).max();
    let mut text = String::new();
    for (figure, label) in &lines {
        text.push_str(&format!("{figure:<0$}   {label}\n", width.unwrap_or(0)));
    }
    for note in &outcome.notes {
        text.push_str(&format!("note: {note}\n"));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refusal(id: &str, typed: &[(&str, &str)]) -> Stop {
        let spec = calc::find(id).expect("it is listed").spec;
        let mut inputs = BTreeMap::new();
        for (name, text) in typed {
            match calc::bind(spec, name, text) {
                Ok(value) => inputs.insert((*name).to_owned(), value),
                Err(error) => return refused(spec, error),
            };
        }
        let error = calc::run(
            id,
            &inputs,
            &Content::shipped().library().expect("it is clean").tables,
        )
        .expect_err("it is refused");
        refused(spec, error)
    }

    #[test]
    fn a_slip_of_the_hand_is_guessed() {
        assert_eq!(
            refusal("wire-drop", &[("curent", "20 A")]).hint,
            "Did you mean current?"
        );
        assert_eq!(
            refusal("mixture", &[("fuel", "petrl")]).hint,
            "Did you mean petrol?"
        );
        assert_eq!(
            meant("wire-dorp", &["wire-drop", "convert"]),
            "Did you mean wire-drop? "
        );
        assert_eq!(refusal("mixture", &[("fuel", "coal dust")]).hint, "");
    }

    #[test]
    fn everything_that_is_missing_is_told_at_once() {
        let stop = refusal("wire-drop", &[("current", "20 A")]);
        assert!(
            stop.message.starts_with("`wire-drop` needs `length`: "),
            "{}",
            stop.message
        );
        assert!(
            stop.message
                .ends_with("; and `gauge`, `return`, `temperature`, `supply`"),
            "{}",
            stop.message
        );
        assert!(stop.hint.contains("--explain"), "{}", stop.hint);
    }

    #[test]
    fn each_figure_stands_beside_its_label() {
        let spec = calc::find("convert").expect("it is listed").spec;
        let inputs = [("value", "1 bar"), ("to", "kPa")].map(|(name, typed)| {
            let value = calc::bind(spec, name, typed).expect("it is read");
            (name.to_owned(), value)
        });
        let outcome = calc::run(
            "convert",
            &inputs.into(),
            &Content::shipped().library().expect("it is clean").tables,
        );
        assert_eq!(
            text(spec, &outcome.expect("it runs")),
            "value = 100 kPa   Converted value\n"
        );
    }
}
