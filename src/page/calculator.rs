//! The calculators' page: a form made from the spec alone, and the result with its way.

use super::figure::shown;
use super::plot::{self, Asked, Beside, Plot};
use crate::calc::{self, InputKind, Spec, Value};
use crate::say;
use crate::table::Tables;
use crate::words::Words;
use std::collections::BTreeMap;

/// One calculator of the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CalculatorLine {
    pub id: &'static str,
    pub title: &'static str,
}

/// A calculator's form with what was typed.
#[derive(Clone, Debug)]
pub struct CalculatorPage {
    pub id: &'static str,
    pub title: &'static str,
    pub equation: &'static str,
    pub inputs: Vec<InputView>,
    /// Label and value; empty until every input stands.
    pub outputs: Vec<(String, String)>,
    pub notes: Vec<String>,
    pub sources: Vec<String>,
    pub assumptions: Vec<&'static str>,
    /// Why there is no result, in one sentence.
    pub fault: String,
    /// The result drawn, where the calculator has a plot.
    pub plot: Option<Plot>,
}

/// One input of the form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InputView {
    pub name: &'static str,
    /// The short name that stands beside the field.
    pub label: &'static str,
    pub about: &'static str,
    pub symbol: &'static str,
    /// The unit keys; empty for a choice.
    pub units: Vec<&'static str>,
    pub choices: Vec<&'static str>,
    pub typed: String,
    pub fault: String,
    /// The value that stands when nothing is typed.
    pub default: String,
    pub range: String,
}

/// All calculators, in the order of the help.
#[must_use]
pub fn list() -> Vec<CalculatorLine> {
    calc::all()
        .iter()
        .map(|c| CalculatorLine {
            id: c.spec.id,
            title: c.spec.title,
        })
        .collect()
}

/// The form of a calculator, worked out as far as it goes.
#[must_use]
pub fn page(
    id: &str,
    typed: &BTreeMap<String, String>,
    tables: &Tables,
    words: &Words,
) -> Option<CalculatorPage> {
    let spec = calc::find(id)?.spec;
    let mut given = BTreeMap::new();
    let inputs = spec
        .inputs
        .iter()
        .map(|input| view(spec, input, typed, &mut given, words))
        .collect::<Vec<_>>();
    let untouched = typed.values().all(|text| text.trim().is_empty());
    let waits = untouched || inputs.iter().any(|input| !input.fault.is_empty());
    let (mut outputs, mut notes, mut fault, mut plot) = (Vec::new(), Vec::new(), String::new(), None);
    if !waits {
        match calc::run(id, &given, tables) {
            Ok(outcome) => {
                plot = drawn(&outcome, tables, words);
                outputs = outcome
                    .outputs
                    .iter()
                    .map(|(name, value)| {
                        (
                            words.say(&spec.output_label(name)).to_owned(),
                            shown(value, words),
                        )
                    })
                    .collect();
                notes = outcome.notes_in(words);
            }
            Err(error) => fault = error.say(words),
        }
    }
    Some(CalculatorPage {
        id: spec.id,
        title: spec.title,
        equation: spec.equation,
        inputs,
        outputs,
        notes,
        sources: spec.sources.iter().map(super::step::source_line).collect(),
        assumptions: spec.assumptions.to_vec(),
        fault,
        plot,
    })
}

fn drawn(outcome: &calc::Outcome, tables: &Tables, words: &Words) -> Option<Plot> {
    plot::of(&Asked {
        calculator: &outcome.calculator,
        inputs: &outcome.inputs,
        outputs: &outcome.outputs,
        judged: None,
        beside: &Beside::default(),
        tables,
        words,
    })
}

fn view(
    spec: &'static Spec,
    input: &'static calc::InputSpec,
    typed: &BTreeMap<String, String>,
    given: &mut BTreeMap<String, Value>,
    words: &Words,
) -> InputView {
    let text = typed.get(input.name).map_or("", |text| text.trim());
    let mut fault = String::new();
    if !text.is_empty() {
        match calc::bind(spec, input.name, text) {
            Ok(value) => {
                given.insert(input.name.to_owned(), value);
            }
            Err(error) => fault = error.say(words),
        }
    }
    let (units, choices, range) = kind(&input.kind, words);
    InputView {
        name: input.name,
        label: input.label,
        about: input.about,
        symbol: input.symbol,
        units,
        choices,
        typed: text.to_owned(),
        fault,
        default: default_text(input, words),
        range,
    }
}

fn kind(kind: &'static InputKind, words: &Words) -> (Vec<&'static str>, Vec<&'static str>, String) {
    let ranges = kind.ranges();
    let units = ranges
        .iter()
        .flat_map(|range| super::step::units(range.unit()))
        .collect();
    let told = |range: &&calc::Range| {
        let (low, high) = range.ends();
        say!(words, "from {low} to {high}", low = low, high = high)
    };
    let told: Vec<String> = ranges.iter().map(told).collect();
    let between = format!(" {} ", words.say("or"));
    (units, kind.options().to_vec(), told.join(&between))
}

fn default_text(input: &calc::InputSpec, words: &Words) -> String {
    match input.need {
        calc::Need::Required => String::new(),
        calc::Need::Optional => say!(words, "may be left out"),
        calc::Need::Default(text) => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_calculator_has_a_form_that_works_its_example_out() {
        assert!(!list().is_empty());
        for calculator in calc::all() {
            let typed = calculator
                .spec
                .example
                .iter()
                .map(|(n, v)| ((*n).to_owned(), (*v).to_owned()))
                .collect();
            let page = page(calculator.spec.id, &typed, &Tables::default(), &Words::english())
                .expect("it is listed");
            assert_eq!(page.inputs.len(), calculator.spec.inputs.len());
            let faults: Vec<&InputView> = page
                .inputs
                .iter()
                .filter(|input| !input.fault.is_empty())
                .collect();
            assert!(faults.is_empty(), "{}: {faults:?}", page.id);
            assert!(!page.outputs.is_empty() || !page.fault.is_empty(), "{}", page.id);
        }
    }

    #[test]
    fn a_wrong_input_is_told_where_it_stands() {
        let typed = BTreeMap::from([
            ("value".to_owned(), "3 furlongs".to_owned()),
            ("to".to_owned(), "bar".to_owned()),
        ]);
        let page = page("convert", &typed, &Tables::default(), &Words::english()).expect("it is listed");
        let value = page
            .inputs
            .iter()
            .find(|input| input.name == "value")
            .expect("it has a value");
        assert!(!value.fault.is_empty() && page.outputs.is_empty());
    }
}
