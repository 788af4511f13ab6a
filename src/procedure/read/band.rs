//! Bands.

use super::reference::is_reference;
use super::word::Spelling;
use super::{Map, Reader};
use crate::calc::Value;
use crate::content::{Kind, Node, Spot};
use crate::procedure::draft::{Mark, Target};
use crate::procedure::form::band::{LIMITS, OUTPUT_BAND, READING_BAND};
use crate::procedure::model::{Band, Method, Operand, Tolerance};
use crate::quantity::{Dimension, Quantity};

impl Reader<'_> {
    /// The band of a reading.
    pub(super) fn reading_band(
        &mut self,
        node: &Node,
        target: &Target,
        plausible: Option<(Quantity, Quantity)>,
    ) -> Option<Band> {
        let map = self.map(node, &READING_BAND)?;
        self.band(&map, target, plausible)
    }

    /// The band of a work-out, and the output that it judges.
    pub(super) fn output_band(&mut self, node: &Node, method: &Method) -> Option<(String, Band)> {
        let map = self.map(node, &OUTPUT_BAND)?;
        let of = map.get("of").and_then(|node| self.id(node, Spelling::Name));
        let output = of
            .as_ref()
            .filter(|output| self.has_output(method, output, map.spot_of("of")));
        let target = match output {
            Some(output) => Target::Output {
                of: method.clone(),
                output: output.clone(),
            },
            None => Target::Typed(crate::procedure::draft::Type::Any),
        };
        let band = self.band(&map, &target, None);
        Some((of?, band?))
    }

    /// The limits in a map that may hold other keys too.
    pub(super) fn band(
        &mut self,
        map: &Map,
        target: &Target,
        plausible: Option<(Quantity, Quantity)>,
    ) -> Option<Band> {
        if !LIMITS.iter().any(|key| map.has(key)) {
            let fault = self.found(
                map.spot,
                "missing-key",
                "a band without a limit",
                "at least one limit",
            );
            return self.fault(fault.choose("", LIMITS));
        }
        let band = self.limits(map, target);
        let limits: Vec<(&'static str, Spot)> = LIMITS
            .iter()
            .filter_map(|key| Some((*key, map.get(key)?.spot)))
            .collect();
        self.mark(
            map.spot,
            Mark::Band {
                band: Box::new(band.clone()),
                plausible,
                limits,
            },
        );
        Some(band)
    }

    fn limits(&mut self, map: &Map, target: &Target) -> Band {
        Band {
            at_least: self.amounts(map.get("at_least"), target),
            at_most: self.amounts(map.get("at_most"), target),
            around: self.around(map, target),
            equals: map.get("equals").and_then(|node| self.equals(node, target)),
            one_of: map
                .get("one_of")
                .map(|node| self.words(node, target))
                .unwrap_or_default(),
            because: map.get("because").and_then(|node| self.text(node)),
            no_concession: map.get("no_concession").and_then(|node| self.sentence(node)),
            place: map.spot.within(self.path),
        }
    }

    /// `around` and `within`, which go together.
    fn around(&mut self, map: &Map, target: &Target) -> Option<(Operand, Tolerance)> {
        let (middle, within) = match (map.get("around"), map.get("within")) {
            (None, None) => return None,
            (Some(middle), Some(within)) => (middle, within),
            (one, _) => {
                let (here, gone) = if one.is_some() {
                    ("around", "within")
                } else {
                    ("within", "around")
                };
                let found = format!("`{here}` without `{gone}`");
                let fault = self.found(map.spot_of(here), "missing-key", found, "both of them");
                return self.fault(fault);
            }
        };
        let operand = self.amount(middle, target);
        let tolerance = self.tolerance(within);
        if let (Some(middle), Some(tolerance)) = (&operand, &tolerance) {
            let mark = Mark::Tolerance {
                middle: middle.clone(),
                within: tolerance.clone(),
            };
            self.mark(within.spot, mark);
        }
        Some((operand?, tolerance?))
    }

    /// `2 psi` or `10 %`, above nothing.
    pub(super) fn tolerance(&mut self, node: &Node) -> Option<Tolerance> {
        let quantity = self.quantity(node)?;
        if quantity.value() <= 0.0 {
            let fault = self.found(
                node.spot,
                "empty-band",
                quantity.to_string(),
                "a tolerance above 0",
            );
            return self.fault(fault);
        }
        let percent = quantity.dimension() == Dimension::Number && !quantity.unit().is_plain();
        Some(if percent {
            Tolerance::Share(quantity.si())
        } else {
            Tolerance::Absolute(quantity)
        })
    }

    fn equals(&mut self, node: &Node, target: &Target) -> Option<Operand> {
        let text = self.scalar(node, "yes, no, a choice or a reference")?;
        if is_reference(text) {
            let of = self.reference_text(text, node.spot)?;
            self.mark(
                node.spot,
                Mark::WordOf {
                    of: of.clone(),
                    target: target.clone(),
                },
            );
            return Some(Operand::Refer(of));
        }
        self.mark(
            node.spot,
            Mark::Word {
                word: text.to_owned(),
                target: target.clone(),
            },
        );
        Some(Operand::Fixed(Value::Text(text.to_owned())))
    }

    fn words(&mut self, node: &Node, target: &Target) -> Vec<String> {
        let Kind::List(items) = &node.kind else {
            let fault = self.found(node.spot, "wrong-type", node.described(), "a list of choices");
            self.report.push(fault);
            return Vec::new();
        };
        let mut words = Vec::new();
        for item in items {
            if let Some(word) = self.scalar(item, "a choice").map(str::to_owned) {
                self.mark(
                    item.spot,
                    Mark::Word {
                        word: word.clone(),
                        target: target.clone(),
                    },
                );
                words.push(word);
            }
        }
        words
    }
}

/// A band that could not be read.
pub(super) fn none(place: crate::diagnostic::Place) -> Band {
    Band {
        place,
        ..Band::default()
    }
}
