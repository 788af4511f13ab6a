//! The inputs of one run, checked, and the figures it finds.
use std::collections::BTreeMap;

use super::bind::{admit, bind, unknown_input};
use super::note::Parts;
use super::{CalcError, InputSpec, Need, Note, Outcome, Source, Spec, Value};
use crate::note;
use crate::quantity::{Quantity, QuantityError, Unit};
use crate::to_say;

/// Checked inputs, defaults included.
#[derive(Debug)]
pub struct Given {
    spec: &'static Spec,
    values: BTreeMap<&'static str, Value>,
    /// The inputs that were not given and have taken their default.
    defaulted: Vec<&'static InputSpec>,
}

impl Given {
    /// Checks every input against the spec and applies the defaults.
    pub(super) fn of(spec: &'static Spec, inputs: &BTreeMap<String, Value>) -> Result<Given, CalcError> {
        if let Some(unknown) = inputs.keys().find(|name| spec.input(name).is_none()) {
            return Err(unknown_input(spec, unknown));
        }
        let (mut values, mut defaulted) = (BTreeMap::new(), Vec::new());
        for input in spec.inputs {
            let value = match (inputs.get(input.name), input.need) {
                (Some(value), _) => admit(input, value.clone())?,
                (None, Need::Default(text)) => {
                    defaulted.push(input);
                    bind(spec, input.name, text)?
                }
                (None, Need::Optional) => continue,
                (None, Need::Required) => return Err(missing(spec, input, inputs)),
            };
            values.insert(input.name, value);
        }
        Ok(Given {
            spec,
            values,
            defaulted,
        })
    }

    /// The inputs in the order of the spec.
    pub(super) fn listed(&self) -> Vec<(String, Value)> {
        let in_order = self.spec.inputs.iter();
        in_order
            .filter_map(|input| Some((input.name.to_string(), self.values.get(input.name)?.clone())))
            .collect()
    }

    fn missing(&self, name: &str) -> CalcError {
        match self.spec.input(name) {
            Some(input) => CalcError::MissingInput {
                calculator: self.spec.id,
                input: input.name,
                about: input.about,
                also: vec![],
            },
            None => unknown_input(self.spec, name),
        }
    }

    /// The quantity given for `name`, if one was given.
    pub fn optional(&self, name: &str) -> Option<Quantity> {
        self.values.get(name).and_then(Value::quantity)
    }

    /// The quantity given for `name`.
    ///
    /// # Errors
    /// `MissingInput` when there is none.
    pub fn quantity(&self, name: &str) -> Result<Quantity, CalcError> {
        self.optional(name).ok_or_else(|| self.missing(name))
    }

    /// The quantity given for `name`, in the SI unit of its dimension.
    ///
    /// # Errors
    /// `MissingInput` when there is none.
    pub fn si(&self, name: &str) -> Result<f64, CalcError> {
        self.quantity(name).map(Quantity::si)
    }

    /// The value given for `name` in `unit`; exact where it was given in that unit.
    ///
    /// # Errors
    /// `MissingInput` when there is none, `NotAQuantity` when it measures something else.
    pub fn value_in(&self, name: &'static str, unit: &str) -> Result<f64, CalcError> {
        let quantity = self.quantity(name)?;
        let unit = Unit::find(unit).unwrap_or(quantity.unit());
        let converted = quantity
            .to(unit)
            .map_err(|source| CalcError::NotAQuantity { input: name, source })?;
        Ok(converted.value())
    }

    /// A temperature given for `name`, in °C.
    ///
    /// # Errors
    /// As [`Given::value_in`].
    pub fn celsius(&self, name: &'static str) -> Result<f64, CalcError> {
        self.value_in(name, "°C")
    }

    /// The word given for `name`, if one was given.
    pub fn word(&self, name: &str) -> Option<&str> {
        match self.values.get(name) {
            Some(Value::Text(word)) => Some(word),
            _ => None,
        }
    }

    /// Whether the word given for `name` is `word`.
    pub fn is(&self, name: &str, word: &str) -> bool {
        self.word(name) == Some(word)
    }

    /// Whether yes was given for `name`.
    pub fn flag(&self, name: &str) -> bool {
        self.values.get(name) == Some(&Value::Flag(true))
    }

    /// The one of these inputs that was given; the first where none was.
    ///
    /// # Errors
    /// A second one was given beside it.
    pub fn one_of<const N: usize>(&self, names: [&'static str; N]) -> Result<&'static str, CalcError> {
        let mut told = names.into_iter().filter(|name| self.optional(name).is_some());
        let first = told.next().unwrap_or(names[0]);
        let Some(second) = told.next() else {
            return Ok(first);
        };
        let because = note!(
            "beside a {first}: give one of them, the other follows",
            first = first
        );
        Err(self.refuse(second, because))
    }

    /// A refusal of the input `name`, whose value is good by itself but not with the others.
    pub fn refuse(&self, name: &'static str, because: impl Into<Note>) -> CalcError {
        let found = self
            .values
            .get(name)
            .map_or_else(|| to_say!("nothing").to_string(), Value::to_string);
        CalcError::Refused {
            input: name,
            found,
            because: because.into(),
        }
    }
}

/// `first` is missing, and whatever else the calculator cannot do without.
fn missing(spec: &'static Spec, first: &'static InputSpec, inputs: &BTreeMap<String, Value>) -> CalcError {
    let needed = spec.inputs.iter().filter(|input| input.need == Need::Required);
    let also = needed.filter(|input| input.name != first.name && !inputs.contains_key(input.name));
    CalcError::MissingInput {
        calculator: spec.id,
        input: first.name,
        about: first.about,
        also: also.map(|input| input.name).collect(),
    }
}

/// The outputs and notes of one run, while they are gathered.
#[derive(Debug, Default)]
pub struct Found {
    outputs: Vec<(&'static str, Output)>,
    notes: Vec<Note>,
    idle: Vec<&'static str>,
}

#[derive(Debug)]
enum Output {
    Si(f64),
    InUnit(f64),
    Value(Value),
}

impl Found {
    /// Nothing yet.
    pub fn new() -> Found {
        Found::default()
    }

    /// Adds an output given in SI; it is shown in the unit of the spec.
    #[must_use]
    pub fn si(mut self, name: &'static str, si: f64) -> Found {
        self.outputs.push((name, Output::Si(si)));
        self
    }

    /// Adds an output given in the unit of the spec already.
    #[must_use]
    pub fn in_unit(mut self, name: &'static str, value: f64) -> Found {
        self.outputs.push((name, Output::InUnit(value)));
        self
    }

    /// Adds an output in the unit it already has.
    #[must_use]
    pub fn quantity(mut self, name: &'static str, quantity: Quantity) -> Found {
        self.outputs
            .push((name, Output::Value(Value::Quantity(quantity))));
        self
    }

    /// Adds a word or sentence.
    #[must_use]
    pub fn text(mut self, name: &'static str, text: impl Into<String>) -> Found {
        self.outputs.push((name, Output::Value(Value::Text(text.into()))));
        self
    }

    /// Adds a yes or no.
    #[must_use]
    pub fn flag(mut self, name: &'static str, flag: bool) -> Found {
        self.outputs.push((name, Output::Value(Value::Flag(flag))));
        self
    }

    /// Adds a sentence that the reader must know.
    #[must_use]
    pub fn note(mut self, note: impl Into<Note>) -> Found {
        self.notes.push(note.into());
        self
    }

    /// Adds the sentence where it applies.
    #[must_use]
    pub fn note_if(self, applies: bool, note: impl Into<Note>) -> Found {
        if applies { self.note(note) } else { self }
    }

    /// Says that the default of this input, or the source of this key, moves nothing here or is told by a note.
    #[must_use]
    pub fn idle_if(mut self, applies: bool, name: &'static str) -> Found {
        if applies {
            self.idle.push(name);
        }
        self
    }

    /// The outcome, each output in the unit of the spec and finite.
    pub(super) fn outcome(self, given: &Given) -> Result<Outcome, CalcError> {
        let spec = given.spec;
        let mut outputs = Vec::new();
        for (name, output) in self.outputs {
            let value = match output {
                Output::Value(value) => value,
                Output::Si(si) => {
                    Value::Quantity(in_unit_of(spec, name, |unit| Quantity::from_si(si, unit))?)
                }
                Output::InUnit(value) => {
                    Value::Quantity(in_unit_of(spec, name, |unit| Quantity::new(value, unit))?)
                }
            };
            outputs.push((name.to_string(), value));
        }
        let (calculator, revision) = (spec.id.to_string(), spec.revision);
        let mut notes = self.notes;
        notes.extend(taken(given, &self.idle));
        notes.extend(weak(spec, &self.idle));
        Ok(Outcome {
            calculator,
            revision,
            inputs: given.listed(),
            outputs,
            notes,
        })
    }
}

/// The defaults that were taken, in a sentence.
fn taken(given: &Given, idle: &[&str]) -> Option<Note> {
    let told = given.defaulted.iter().filter(|input| !idle.contains(&input.name));
    let part = |input: &&InputSpec| {
        let value = format!(" = {}", given.values[input.name]);
        vec![input.label.to_owned(), value]
    };
    let each: Vec<Parts> = told.map(part).collect();
    (!each.is_empty()).then(|| note!("Not given, so taken: {values}.").with("values", each))
}

/// The sources that were not read in the original, in a sentence: whoever relies on the figure must know.
fn weak(spec: &Spec, idle: &[&str]) -> Option<Note> {
    let counts = |source: &&Source| source.mark.is_weak() && !idle.contains(&source.key);
    let weak = spec.sources.iter().filter(counts);
    let mut each: Vec<Parts> = weak
        .map(|source| {
            [source.key, " (", source.mark.in_words(), ")"]
                .map(str::to_owned)
                .into()
        })
        .collect();
    each.dedup();
    (!each.is_empty()).then(|| note!("Rests on weak sources: {sources}.").with("sources", each))
}

fn in_unit_of(
    spec: &'static Spec,
    name: &'static str,
    make: impl Fn(Unit) -> Result<Quantity, QuantityError>,
) -> Result<Quantity, CalcError> {
    let unit = spec
        .output(name)
        .and_then(|output| output.unit())
        .and_then(Unit::find);
    let not_finite = CalcError::NotFinite {
        calculator: spec.id,
        output: name,
    };
    match unit.map(make) {
        Some(Ok(quantity)) => Ok(quantity),
        _ => Err(not_finite),
    }
}
