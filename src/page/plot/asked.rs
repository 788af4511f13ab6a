//! A figure whose plot is asked for, and what stands beside it at its step.

use crate::calc::Value;
use crate::player::fact::{LimitsShown, Verdict, WorkedOut};
use crate::quantity::{Dimension, Quantity, Unit};
use crate::table::Tables;
use crate::words::Words;
use std::collections::BTreeMap;

/// A figure with what its plot may show beside it.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    pub calculator: &'a str,
    pub inputs: &'a [(String, Value)],
    pub outputs: &'a [(String, Value)],
    /// The judged output with its band.
    pub judged: Option<&'a (String, LimitsShown, Verdict)>,
    pub beside: &'a Beside,
    pub tables: &'a Tables,
    /// The language of its names and sentences.
    pub words: &'a Words,
}

/// What a step knows beside the figure.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Beside {
    /// The readings whose band rests on an output of the figure.
    pub readings: Vec<Held>,
    /// How this job's bottle is filled, where a figure of the job says so.
    pub fill: Option<Quantity>,
    /// What the answers of a circuit are called, where their author says so.
    pub names: BTreeMap<String, String>,
    /// A measured value that a figure held against this one's output.
    pub measured: Option<Quantity>,
}

/// A reading that is held against the figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    pub label: String,
    /// The output that its band rests on.
    pub output: String,
    /// The unit that the step shows it in.
    pub unit: Unit,
    /// None before it is taken.
    pub value: Option<Quantity>,
    pub limits: Option<LimitsShown>,
    pub fails: bool,
}

impl<'a> Asked<'a> {
    /// A figure on the record.
    #[must_use]
    pub fn worked(worked: &'a WorkedOut, beside: &'a Beside, tables: &'a Tables, words: &'a Words) -> Self {
        Self {
            calculator: &worked.calculator,
            inputs: &worked.inputs,
            outputs: &worked.outputs,
            judged: worked.judged.as_ref(),
            beside,
            tables,
            words,
        }
    }

    pub(super) fn given(&self, name: &str) -> Option<Quantity> {
        quantity(self.inputs, name)
    }

    pub(super) fn found(&self, name: &str) -> Option<Quantity> {
        quantity(self.outputs, name)
    }

    pub(super) fn word(&self, name: &str) -> Option<&'a str> {
        let (_, value) = self.inputs.iter().find(|(other, _)| other == name)?;
        match value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The unit of the first reading beside the figure that measures this, as its step shows it.
    pub(super) fn step_unit(&self, dimension: Dimension) -> Option<Unit> {
        let units = self.beside.readings.iter().map(|held| held.unit);
        units.into_iter().find(|unit| unit.dimension() == dimension)
    }
}

impl Held {
    /// The reading in a unit.
    pub(super) fn value_in(&self, unit: Unit) -> Option<f64> {
        number(self.value?, unit)
    }

    /// Its limits in a unit.
    pub(super) fn limits_in(&self, unit: Unit) -> (Option<f64>, Option<f64>) {
        let limits = self.limits.as_ref();
        limits.map_or((None, None), |limits| limits_in(limits, unit))
    }
}

/// The number of a quantity in a unit of its dimension.
pub(super) fn number(quantity: Quantity, unit: Unit) -> Option<f64> {
    quantity.to(unit).ok().map(Quantity::value)
}

/// Both limits in a unit.
pub(super) fn limits_in(limits: &LimitsShown, unit: Unit) -> (Option<f64>, Option<f64>) {
    let one = |limit: Option<Quantity>| limit.and_then(|limit| number(limit, unit));
    (one(limits.low), one(limits.high))
}

/// A number with its unit, rounded for a person.
pub(super) fn shown(value: f64, unit: Unit) -> String {
    Quantity::new(value, unit).map_or_else(|_| String::new(), |quantity| quantity.shown(3))
}

fn quantity(values: &[(String, Value)], name: &str) -> Option<Quantity> {
    let (_, value) = values.iter().find(|(other, _)| other == name)?;
    value.quantity()
}
