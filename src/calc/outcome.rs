//! The result of one run, complete enough to be recorded and recomputed.
use serde_json::{Map, Value as Json, json};

use super::{Note, Value};
use crate::words::Words;

/// What a calculator was given and what it found, in the order of its spec.
#[derive(Clone, PartialEq, Debug)]
pub struct Outcome {
    pub calculator: String,
    pub revision: u32,
    /// As given, in the unit given, defaults included.
    pub inputs: Vec<(String, Value)>,
    pub outputs: Vec<(String, Value)>,
    /// What the reader must know about these figures, in sentences.
    pub notes: Vec<Note>,
}

impl Outcome {
    /// What the reader must know about these figures, in sentences of a language.
    pub fn notes_in(&self, words: &Words) -> Vec<String> {
        self.notes.iter().map(|note| note.say(words)).collect()
    }

    /// The output of this name.
    pub fn output(&self, name: &str) -> Option<&Value> {
        self.outputs
            .iter()
            .find(|(output, _)| output == name)
            .map(|(_, value)| value)
    }
}

/// `{"calculator", "revision", "inputs": {NAME: {"value", "unit"}}, "outputs": the same, "notes"}`.
///
/// A text is a JSON string and a flag a JSON boolean, both with a null unit; a plain number has the unit 1.
pub fn outcome_json(outcome: &Outcome) -> Json {
    json!({
        "calculator": outcome.calculator,
        "revision": outcome.revision,
        "inputs": named(&outcome.inputs),
        "outputs": named(&outcome.outputs),
        "notes": outcome.notes_in(&Words::english()),
    })
}

fn named(values: &[(String, Value)]) -> Map<String, Json> {
    values
        .iter()
        .map(|(name, value)| (name.clone(), value_json(value)))
        .collect()
}

fn value_json(value: &Value) -> Json {
    match value {
        Value::Quantity(quantity) => json!({ "value": quantity.value(), "unit": quantity.unit().symbol() }),
        Value::Text(text) => json!({ "value": text, "unit": null }),
        Value::Flag(flag) => json!({ "value": flag, "unit": null }),
    }
}
