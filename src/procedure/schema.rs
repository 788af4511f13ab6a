//! The form of each kind of file as a JSON Schema (draft 2020-12), for editors that complete and check while an
//! author types.
//!
//! A schema is made from the very tables that the readers use ([`super::form`]), so it knows every key, and no
//! other. It says what one file alone can show: keys, kinds of values, spellings, and the calculators with their
//! inputs. What needs the rest of the content, [`super::check`] says.

mod shape;

use super::form::{Keys, circuit, job, layout, procedure, register, shared};
use crate::calc::{self, Need};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// The name of each schema, and what it is for.
const FILES: [(&str, &Keys, &str); 10] = [
    (
        "procedure",
        &procedure::PROCEDURE,
        "A procedure: a file under `procedures/`.",
    ),
    ("job", &job::JOB, "A job: a file under `jobs/`."),
    (
        "circuit",
        &circuit::CIRCUIT,
        "A circuit: a file under `circuits/`.",
    ),
    ("layout", &layout::LAYOUT, "A layout: a file under `layouts/`."),
    ("hazards", &shared::HAZARDS, "`hazards.yaml`."),
    ("tools", &shared::TOOLS, "`tools.yaml`."),
    (
        "instruments",
        &shared::INSTRUMENTS,
        "`instruments.yaml` of the content: the kinds of instruments.",
    ),
    ("glossary", &shared::GLOSSARY, "`glossary.yaml`."),
    ("table", &shared::TABLE, "A table: a file under `tables/`."),
    (
        "register",
        &register::REGISTER,
        "`instruments.yaml` in a shop's folder: the shop's own instruments.",
    ),
];

/// Every schema by the name of its file, such as `procedure.json`.
#[must_use]
pub fn schemas() -> BTreeMap<String, String> {
    let file =
        |(name, keys, about): &(&str, &'static Keys, &str)| (format!("{name}.json"), text(keys, about));
    FILES.iter().map(file).collect()
}

/// The name of the schema for a file of a content folder. None for what has no form, and for what is unknown.
#[must_use]
pub fn schema_of(path: &str) -> Option<&'static str> {
    let (folder, name) = path.split_once('/').unwrap_or(("", path));
    let stem = name.strip_suffix(".yaml")?;
    let wanted = match folder {
        "procedures" => "procedure",
        "jobs" => "job",
        "circuits" => "circuit",
        "layouts" => "layout",
        "tables" => "table",
        "" if matches!(stem, "hazards" | "tools" | "instruments" | "glossary") => stem,
        _ => return None,
    };
    let mut names = FILES.iter().map(|(name, ..)| *name);
    names.find(|name| *name == wanted)
}

fn text(keys: &'static Keys, about: &str) -> String {
    let mut defs = Defs::default();
    let root = defs.reference(keys);
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "description": about,
    });
    schema["$ref"] = root["$ref"].clone();
    schema["$defs"] = Value::Object(defs.done.into_iter().collect());
    let mut text = serde_json::to_string_pretty(&schema).unwrap_or_default();
    text.push('\n');
    text
}

/// The maps that a schema speaks of, each once.
#[derive(Default)]
struct Defs {
    done: BTreeMap<String, Value>,
}

impl Defs {
    /// A reference to a map's form, which is made where it is not there yet.
    fn reference(&mut self, keys: &'static Keys) -> Value {
        let name = name_of(keys);
        if !self.done.contains_key(&name) {
            // Set first, so that a form that leads back to itself ends.
            self.done.insert(name.clone(), Value::Null);
            let form = self.map(keys);
            self.done.insert(name.clone(), form);
        }
        json!({ "$ref": format!("#/$defs/{name}") })
    }

    fn map(&mut self, keys: &'static Keys) -> Value {
        let mut properties = Map::new();
        for entry in keys.entries {
            let mut holds = self.shape(entry.holds);
            holds["description"] = json!(entry.about);
            properties.insert(entry.name.to_owned(), holds);
        }
        let needed: Vec<&str> = keys.needed().collect();
        let mut form = json!({
            "type": "object",
            "properties": properties,
            "additionalProperties": false,
        });
        if !needed.is_empty() {
            form["required"] = json!(needed);
        }
        let mut all: Vec<Value> = Vec::new();
        for group in keys.exactly_one {
            all.push(json!({ "oneOf": each_required(group) }));
        }
        if !keys.at_least_one.is_empty() {
            all.push(json!({ "anyOf": each_required(keys.at_least_one) }));
        }
        if keys.names().any(|name| name == "calc") {
            all.extend(
                calc::all()
                    .iter()
                    .map(|calculator| self.inputs_of(calculator.spec)),
            );
        }
        if !all.is_empty() {
            form["allOf"] = json!(all);
        }
        form
    }

    /// Where this calculator is named, its inputs and no others.
    fn inputs_of(&mut self, spec: &'static calc::Spec) -> Value {
        let mut inputs = Map::new();
        for input in spec.inputs {
            let mut holds = self.input(&input.kind);
            holds["description"] = json!(about(input));
            inputs.insert(input.name.to_owned(), holds);
        }
        let needed = spec.inputs.iter().filter(|input| input.need == Need::Required);
        let needed: Vec<&str> = needed.map(|input| input.name).collect();
        json!({
            "if": { "properties": { "calc": { "const": spec.id } }, "required": ["calc"] },
            "then": { "required": ["with"], "properties": { "with": {
                "description": spec.title,
                "properties": inputs, "additionalProperties": false, "required": needed,
            } } },
        })
    }

    /// A form that is no map of ours, under a name of its own.
    fn named(&mut self, name: &str, form: impl FnOnce(&mut Self) -> Value) -> Value {
        if !self.done.contains_key(name) {
            self.done.insert(name.to_owned(), Value::Null);
            let form = form(self);
            self.done.insert(name.to_owned(), form);
        }
        json!({ "$ref": format!("#/$defs/{name}") })
    }
}

/// `a hold or witness point` as `a-hold-or-witness-point`.
fn name_of(keys: &Keys) -> String {
    let words = keys.of.split(|c: char| !c.is_ascii_alphanumeric());
    words
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join("-")
}

fn each_required(group: &[&str]) -> Vec<Value> {
    group.iter().map(|name| json!({ "required": [name] })).collect()
}

/// What an input is, with its range or its choices.
fn about(input: &calc::InputSpec) -> String {
    let range = match input.kind.options() {
        [] => input
            .kind
            .ranges()
            .iter()
            .map(|range| range.in_words())
            .collect::<Vec<_>>()
            .join(", or "),
        options => format!("One of: {}.", options.join(", ")),
    };
    format!("{} {range}", input.about).trim().to_owned()
}
