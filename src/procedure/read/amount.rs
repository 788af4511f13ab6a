//! Amounts: a quantity, a reference, or a reference shifted once.

use super::Reader;
use super::reference::is_reference;
use crate::calc::Value;
use crate::content::{Kind, Node};
use crate::diagnostic::quoted;
use crate::procedure::draft::{Mark, Target};
use crate::procedure::form::band::SHIFTED;
use crate::procedure::model::{Operand, Shift};

impl Reader<'_> {
    /// An amount for `target`.
    pub(super) fn amount(&mut self, node: &Node, target: &Target) -> Option<Operand> {
        let operand = match &node.kind {
            Kind::Map(_) => self.shifted(node)?,
            _ => {
                let text = self.scalar(node, "a quantity or a reference")?;
                if is_reference(text) {
                    Operand::Refer(self.reference_text(text, node.spot)?)
                } else {
                    Operand::Fixed(Value::Quantity(self.quantity_text(text, node.spot)?))
                }
            }
        };
        self.mark(
            node.spot,
            Mark::Amount {
                operand: operand.clone(),
                target: target.clone(),
            },
        );
        Some(operand)
    }

    /// An amount or a list of amounts.
    pub(super) fn amounts(&mut self, node: Option<&Node>, target: &Target) -> Vec<Operand> {
        match node.map(|node| (node, &node.kind)) {
            None => Vec::new(),
            Some((_, Kind::List(items))) => items
                .iter()
                .filter_map(|item| self.amount(item, target))
                .collect(),
            Some((node, _)) => self.amount(node, target).into_iter().collect(),
        }
    }

    /// `{ of: reference, times: 1.25 }`
    pub(super) fn shifted(&mut self, node: &Node) -> Option<Operand> {
        let map = self.map(node, &SHIFTED)?;
        let of = map.get("of").and_then(|node| self.reference(node));
        let plus = map.get("plus").map(|node| self.quantity(node).map(Shift::Plus));
        let minus = map.get("minus").map(|node| self.quantity(node).map(Shift::Minus));
        let times = map.get("times").map(|node| self.factor(node).map(Shift::Times));
        let given: Vec<Option<Shift>> = [plus, minus, times].into_iter().flatten().collect();
        if given.len() != 1 {
            let found = format!("{} of plus, minus and times", given.len());
            let fault = self.found(node.spot, "wrong-type", found, "exactly one of them");
            return self.fault(fault);
        }
        let by = given.into_iter().next()??;
        Some(Operand::Shifted { of: of?, by })
    }

    /// A plain positive number.
    fn factor(&mut self, node: &Node) -> Option<f64> {
        let text = self.scalar(node, "a number")?;
        let quantity = self.quantity_text(text, node.spot)?;
        if quantity.unit().is_plain() && quantity.value() > 0.0 {
            return Some(quantity.value());
        }
        let fault = self.found(
            node.spot,
            "wrong-type",
            quoted(text),
            "a number above 0 without a unit",
        );
        self.fault(fault)
    }
}
