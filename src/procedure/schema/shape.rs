//! What a key holds, as a schema.

use super::Defs;
use crate::calc::{self, InputKind};
use crate::procedure::form::band::{SHIFTED, UNCERTAINTY};
use crate::procedure::form::drawing::{DIAGRAM, MOST_CELLS, TOWARDS};
use crate::procedure::form::layout::SETUP;
use crate::procedure::form::{Naming, Shape};
use crate::procedure::read::{Spelling, bare_name, dimensions};
use crate::quantity::Unit;
use serde_json::{Value, json};

/// Text, or what YAML may take for a number or a truth value.
fn scalar() -> Value {
    json!({ "type": ["string", "number", "boolean"], "pattern": "\\S" })
}

fn spelled(spelling: Spelling) -> Value {
    json!({ "type": "string", "pattern": spelling.pattern() })
}

/// A number that has a unit is text; one without may be a number.
fn quantity() -> Value {
    json!({ "type": ["string", "number"], "pattern": "[0-9]", "examples": ["35 psi", "3.6 bar", "10 %"] })
}

fn reference() -> Value {
    let word = "[A-Za-z0-9_-]+";
    let forms = [
        format!("card\\.{word}\\.{word}"),
        format!("read(\\.{word}){{1,2}}"),
        format!("work(\\.{word}){{2,3}}"),
        format!("figure\\.{word}\\.{word}"),
    ];
    json!({ "type": "string", "pattern": format!("^({})$", forms.join("|")) })
}

fn step_ref() -> Value {
    json!({ "type": "string", "pattern": "\\S", "examples": ["tighten", "fuel-tap-flare.tighten"] })
}

fn list(of: Value, least: usize) -> Value {
    match least {
        0 => json!({ "type": "array", "items": of }),
        least => json!({ "type": "array", "items": of, "minItems": least }),
    }
}

/// A column, a row, and if wanted where the second end points.
fn seat() -> Value {
    let numbers: Vec<String> = (1..=MOST_CELLS).map(|number| number.to_string()).collect();
    let cell = json!({
        "type": ["integer", "string"], "minimum": 1, "maximum": MOST_CELLS,
        "pattern": format!("^\\+?0*({})$", numbers.join("|")),
    });
    json!({
        "type": "array", "prefixItems": [cell, cell, { "enum": TOWARDS }], "minItems": 2, "maxItems": 3,
        "examples": [[3, 1, "right"]],
    })
}

impl Defs {
    pub(super) fn shape(&mut self, shape: Shape) -> Value {
        match shape {
            Shape::Slug => spelled(Spelling::Slug),
            Shape::Name => spelled(Spelling::Name),
            Shape::Sentence | Shape::Text | Shape::Scalar | Shape::Word => scalar(),
            Shape::Revision => {
                json!({ "type": ["integer", "string"], "minimum": 1, "pattern": "^[1-9][0-9]*$" })
            }
            Shape::Count(most) => json!({
                "type": ["integer", "string"], "minimum": 1, "maximum": most, "pattern": "^[1-9][0-9]*$",
            }),
            Shape::YesNo => json!({ "enum": ["yes", "no"] }),
            Shape::Yes => json!({ "const": "yes" }),
            Shape::Quantity => quantity(),
            Shape::Factor => {
                json!({ "type": ["string", "number"], "exclusiveMinimum": 0, "pattern": "[0-9]" })
            }
            Shape::Unit => json!({
                "type": ["string", "number"], "examples": Unit::all().map(Unit::symbol).collect::<Vec<_>>(),
            }),
            Shape::Dimension => dimension(),
            Shape::Reference => reference(),
            Shape::StepRef => step_ref(),
            Shape::Covers => json!({ "anyOf": [{ "const": "everything-so-far" }, list(step_ref(), 1)] }),
            Shape::Calculator => {
                let ids: Vec<&str> = calc::all().iter().map(|calculator| calculator.spec.id).collect();
                json!({ "enum": ids })
            }
            Shape::Date => json!({ "type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" }),
            Shape::PartFigure => json!({ "anyOf": [quantity(), spelled(Spelling::Name)] }),
            Shape::OneOf(words) => json!({ "enum": words }),
            _ => self.made(shape),
        }
    }

    /// Shapes that are made of others.
    fn made(&mut self, shape: Shape) -> Value {
        match shape {
            Shape::Amount => self.amount(),
            Shape::Amounts => {
                let amount = self.amount();
                json!({ "anyOf": [amount, list(amount, 0)] })
            }
            Shape::Condition => self.named("condition", Self::condition),
            Shape::Inputs => {
                let shifted = self.reference(&SHIFTED);
                json!({ "type": "object", "additionalProperties": { "anyOf": [scalar(), shifted] } })
            }
            Shape::Nodes => {
                let node = spelled(Spelling::Slug);
                let two = json!({ "type": "array", "items": node, "minItems": 2, "maxItems": 2, "uniqueItems": true });
                json!({ "anyOf": [node, two] })
            }
            Shape::Uncertainty => {
                let map = self.reference(&UNCERTAINTY);
                json!({ "anyOf": [quantity(), map] })
            }
            Shape::Picture => {
                let (circuit, layout) = (self.reference(&DIAGRAM), self.reference(&SETUP));
                json!({ "anyOf": [scalar(), circuit, layout] })
            }
            Shape::Seat => seat(),
            Shape::Map(keys) => self.reference(keys),
            Shape::AnyMap(all) => {
                let each: Vec<Value> = all.iter().map(|keys| self.reference(keys)).collect();
                json!({ "oneOf": each })
            }
            Shape::List(of, full) => {
                let of = self.shape(*of);
                list(of, usize::from(full))
            }
            Shape::Named(naming, of, least) => self.by_name(naming, *of, least),
            _ => json!({}),
        }
    }

    fn by_name(&mut self, naming: Naming, of: Shape, least: usize) -> Value {
        let mut map = json!({ "type": "object", "additionalProperties": self.shape(of) });
        if let Some(spelling) = naming.spelling() {
            map["propertyNames"] = json!({ "pattern": spelling.pattern() });
        }
        if least > 0 {
            map["minProperties"] = json!(least);
        }
        map
    }

    /// What an input of a calculator may be: an amount, or a choice or a reference to one.
    pub(super) fn input(&mut self, kind: &InputKind) -> Value {
        if let InputKind::Number(_) | InputKind::Either(..) | InputKind::AnyQuantity = kind {
            return self.amount();
        }
        let shifted = self.reference(&SHIFTED);
        json!({ "anyOf": [scalar(), shifted] })
    }

    fn amount(&mut self) -> Value {
        self.named("amount", |defs| {
            let shifted = defs.reference(&SHIFTED);
            json!({ "anyOf": [quantity(), reference(), shifted] })
        })
    }

    fn condition(&mut self) -> Value {
        let condition = json!({ "$ref": "#/$defs/condition" });
        json!({
            "type": "object",
            "minProperties": 1,
            "properties": {
                "any": {
                    "description": "One of these conditions holds.",
                    "type": "array", "items": condition, "minItems": 1,
                },
                "not": { "description": "This condition does not hold.", "$ref": "#/$defs/condition" },
            },
            "patternProperties": { "^card\\.[^.]+\\.[^.]+$": {
                "description": "The answer on the job card, or a list of answers of which any will do.",
                "anyOf": [scalar(), list(scalar(), 1)],
            } },
            "additionalProperties": false,
        })
    }
}

/// Dimensions are written with spaces or with hyphens.
fn dimension() -> Value {
    let mut names: Vec<String> = dimensions()
        .into_iter()
        .map(|one| bare_name(one).to_owned())
        .collect();
    let hyphened: Vec<String> = names
        .iter()
        .filter(|name| name.contains(' '))
        .map(|name| name.replace(' ', "-"))
        .collect();
    names.extend(hyphened);
    json!({ "enum": names })
}

impl Naming {
    fn spelling(self) -> Option<Spelling> {
        match self {
            Naming::Slug => Some(Spelling::Slug),
            Naming::Name => Some(Spelling::Name),
            Naming::Choice => Some(Spelling::Choice),
            Naming::Any => None,
        }
    }
}
