//! Calls of calculators, in figures and work-outs. What stands fixed is bound to the calculator here.

use super::Reader;
use super::reference::is_reference;
use super::word::is_not_a_number;
use crate::calc::{self, CalcError, Need, Spec, Value};
use crate::content::{Kind, Node, Spot};
use crate::diagnostic::quoted;
use crate::procedure::draft::{Mark, Target};
use crate::procedure::model::{Method, Operand};
use crate::quantity::{Dimension, Quantity, QuantityError};

impl Reader<'_> {
    /// The calculator that a node names.
    pub(super) fn calculator(&mut self, node: &Node) -> Option<(String, Option<&'static Spec>)> {
        let id = self.scalar(node, "the id of a calculator")?.to_owned();
        let spec = calc::find(&id).map(|calculator| calculator.spec);
        if spec.is_none() {
            let found = format!("the calculator {}", quoted(&id));
            let fault = self.found(node.spot, "unknown-calculator", found, "the id of a calculator");
            let ids = calc::all().iter().map(|calculator| calculator.spec.id);
            self.report.push(fault.choose(&id, ids));
        }
        Some((id, spec))
    }

    /// The inputs of a calculator.
    pub(super) fn inputs(
        &mut self,
        node: Option<&Node>,
        spec: Option<&'static Spec>,
        call: Spot,
    ) -> Vec<(String, Operand)> {
        let entries = node
            .and_then(|node| self.entries(node, "the inputs of a calculator"))
            .unwrap_or_default();
        let mut inputs = Vec::new();
        for (key, value) in entries {
            if let Some(spec) = spec.filter(|spec| spec.input(&key.text).is_none()) {
                let found = format!("the input {} of `{}`", quoted(&key.text), spec.id);
                let fault = self.found(key.spot, "unknown-input", found, "an input of this calculator");
                self.report
                    .push(fault.choose(&key.text, spec.inputs.iter().map(|input| input.name)));
            } else if let Some(operand) = self.input(&key.text, value, spec) {
                inputs.push((key.text.clone(), operand));
            }
        }
        if let Some(spec) = spec {
            let given = |name: &str| entries.iter().any(|(key, _)| key.text == name);
            self.missing_inputs(spec, &given, node.map_or(call, |node| node.spot));
        }
        inputs
    }

    fn missing_inputs(&mut self, spec: &'static Spec, given: &dyn Fn(&str) -> bool, at: Spot) {
        for input in spec
            .inputs
            .iter()
            .filter(|input| input.need == Need::Required && !given(input.name))
        {
            let found = format!("`{}` without `{}`", spec.id, input.name);
            let fault = self.found(at, "missing-input", found, "every needed input");
            self.report
                .push(fault.help(format!("{}: {}", input.name, input.about)));
        }
    }

    fn input(&mut self, name: &str, node: &Node, spec: Option<&'static Spec>) -> Option<Operand> {
        if let Kind::Map(_) = node.kind {
            let operand = self.shifted(node)?;
            self.mark_input(node.spot, name, &operand, spec);
            return Some(operand);
        }
        let text = self.scalar(node, "a quantity, a choice or a reference")?;
        if !is_reference(text) {
            return self.fixed(name, text, node.spot, spec).map(Operand::Fixed);
        }
        let operand = Operand::Refer(self.reference_text(text, node.spot)?);
        self.mark_input(node.spot, name, &operand, spec);
        Some(operand)
    }

    fn mark_input(&mut self, at: Spot, name: &str, operand: &Operand, spec: Option<&'static Spec>) {
        if let Some(spec) = spec {
            let target = Target::Input {
                calc: spec.id.to_owned(),
                input: name.to_owned(),
            };
            self.mark(
                at,
                Mark::Amount {
                    operand: operand.clone(),
                    target,
                },
            );
        }
    }

    /// A fixed input, read as the calculator reads it.
    fn fixed(&mut self, name: &str, text: &str, at: Spot, spec: Option<&'static Spec>) -> Option<Value> {
        let Some(spec) = spec else {
            return Some(Value::Text(text.to_owned()));
        };
        if let Some(dimension) = bare_number(spec, name, text) {
            let expected = format!("{} with its unit", dimension.name());
            let fault = self.found(at, "unit-mismatch", quoted(text), &expected);
            return self.fault(fault.help(dimension.with_units()));
        }
        match calc::bind(spec, name, text) {
            Ok(value) => Some(value),
            Err(error) => {
                let expected = format!("a value for `{name}` of `{}`", spec.id);
                let fault = self.found(at, rule_of(&error, text), quoted(text), &expected);
                self.fault(fault.help(error.to_string()))
            }
        }
    }

    /// Whether a figure has an output; an unknown one is reported.
    pub(super) fn has_output(&mut self, method: &Method, output: &str, at: Spot) -> bool {
        let Some(outputs) = method.outputs() else {
            return false;
        };
        if outputs.iter().any(|known| known == output) {
            return true;
        }
        let found = format!("the output {} of `{}`", quoted(output), method.name());
        let expected = match method {
            Method::Calculator { .. } => "an output of this calculator",
            Method::Circuit(_) => "what `find` asks for",
        };
        let fault = self.found(at, "unknown-output", found, expected);
        self.report.push(fault.choose(output, outputs));
        false
    }
}

/// The dimension that a number without a unit lacks.
fn bare_number(spec: &Spec, name: &str, text: &str) -> Option<Dimension> {
    let quantity = Quantity::parse(text, None)
        .ok()
        .filter(|quantity| quantity.unit().is_plain())?;
    let ranges = spec.input(name)?.kind.ranges();
    let takes_plain = ranges
        .iter()
        .any(|range| range.unit().dimension() == quantity.dimension());
    ranges
        .first()
        .map(|range| range.unit().dimension())
        .filter(|_| !takes_plain)
}

fn rule_of(error: &CalcError, text: &str) -> &'static str {
    match error {
        CalcError::OutOfRange { .. } => "input-out-of-range",
        CalcError::NotAChoice { .. } => "unknown-choice",
        CalcError::NotAQuantity {
            source: QuantityError::NotFinite { .. },
            ..
        } => "not-finite",
        _ if is_not_a_number(text) => "not-finite",
        CalcError::NotAQuantity {
            source: QuantityError::WrongDimension { .. },
            ..
        } => "unit-mismatch",
        CalcError::NotAQuantity {
            source: QuantityError::UnknownUnit { .. },
            ..
        } => "unknown-unit",
        _ => "wrong-type",
    }
}
