//! What goes into a calculator and what comes out of it.
use std::fmt;

use crate::quantity::Quantity;

/// A quantity, a choice or verdict in words, or a yes or no.
#[derive(Clone, PartialEq, Debug)]
pub enum Value {
    Quantity(Quantity),
    Text(String),
    Flag(bool),
}

impl Value {
    /// The quantity, if this is one.
    pub fn quantity(&self) -> Option<Quantity> {
        match self {
            Value::Quantity(quantity) => Some(*quantity),
            _ => None,
        }
    }

    /// The value rounded for a person, a quantity to `digits` significant digits.
    pub fn shown(&self, digits: usize) -> String {
        match self {
            Value::Quantity(quantity) => quantity.shown(digits),
            other => other.to_string(),
        }
    }
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Quantity(quantity) => quantity.fmt(f),
            Value::Text(text) => f.write_str(text),
            Value::Flag(flag) => f.write_str(if *flag { "yes" } else { "no" }),
        }
    }
}
