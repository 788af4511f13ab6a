//! How a figure is worked out: by a calculator or by a circuit.

use super::draft::Type;
use super::model::{Method, Operand};
use crate::calc::{self, OutputKind};
use crate::quantity::Unit;

impl Method {
    /// The name under which a record keeps it: a calculator's id, or `circuit.` and a circuit's slug.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::Calculator { calc, .. } => calc.clone(),
            Self::Circuit(call) => format!("circuit.{}", call.circuit),
        }
    }

    /// The names of its outputs; nothing where there is no such calculator.
    #[must_use]
    pub fn outputs(&self) -> Option<Vec<String>> {
        match self {
            Self::Calculator { calc, .. } => {
                let outputs = calc::find(calc)?.spec.outputs.iter();
                Some(outputs.map(|output| output.name.to_owned()).collect())
            }
            Self::Circuit(call) => Some(call.outputs().into_iter().map(|(name, _)| name).collect()),
        }
    }

    /// What an output may be: a number of a dimension, one of its closed words, or text that is only read.
    #[must_use]
    pub(super) fn type_of(&self, output: &str) -> Type {
        match self {
            Self::Calculator { calc, .. } => of_calculator(calc, output),
            Self::Circuit(call) => {
                let outputs = call.outputs();
                match outputs.into_iter().find(|(name, _)| name == output) {
                    Some((_, Some(dimension))) => Type::Number(dimension),
                    Some((_, None)) => Type::yes_no(),
                    None => Type::Any,
                }
            }
        }
    }

    /// The inputs of a calculator; a circuit has its givens instead.
    #[must_use]
    pub fn inputs(&self) -> &[(String, Operand)] {
        match self {
            Self::Calculator { with, .. } => with,
            Self::Circuit(_) => &[],
        }
    }
}

fn of_calculator(calc: &str, output: &str) -> Type {
    let output = calc::find(calc).and_then(|calculator| calculator.spec.output(output));
    match output.map(|output| (output.kind, output.legal_words())) {
        Some((OutputKind::Quantity(unit), _)) => {
            Unit::find(unit).map_or(Type::Any, |unit| Type::Number(unit.dimension()))
        }
        Some((OutputKind::Text, _)) => Type::Words,
        Some((_, [])) | None => Type::Any,
        Some((_, words)) => Type::Among(words.iter().map(|word| (*word).to_owned()).collect()),
    }
}
