//! Bands, operands, conditions and texts, each as data in and data out.

mod band;
mod condition;
mod guard_band;
mod register;

use super::model::Reference;
use crate::calc::Value;
use crate::quantity::Quantity;

fn quantity(text: &str) -> Quantity {
    Quantity::parse(text, None).unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn card(field: &str) -> Reference {
    Reference::Card {
        group: "g".to_owned(),
        field: field.to_owned(),
    }
}

/// What the card holds in these tests, by the name of the field.
fn lookup(reference: &Reference) -> Option<Value> {
    let Reference::Card { field, .. } = reference else {
        return None;
    };
    match field.as_str() {
        "trip" => Some(Value::Quantity(quantity("35 psi"))),
        "fuse" => Some(Value::Quantity(quantity("25 A"))),
        "third" => Some(Value::Quantity(quantity("0.1 V"))),
        "wire" => Some(Value::Quantity(quantity("12 AWG"))),
        "oil" => Some(Value::Quantity(quantity("60 °C"))),
        "largest" => Some(Value::Quantity(quantity("1e300 A"))),
        "style" => Some(Value::Text("flare".to_owned())),
        "turbo" => Some(Value::Flag(true)),
        _ => None,
    }
}
