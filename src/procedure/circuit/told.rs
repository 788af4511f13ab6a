//! What tells a part from others like it.

use super::{Circuit, Part, PartFigure, PartKind, Sight, ends_of};
use crate::procedure::drawing::{Member, Sign};
use crate::quantity::Quantity;

impl Part {
    /// The part as far as it matters what is drawn.
    #[must_use]
    pub fn member(&self, circuit: &Circuit) -> Member<'_> {
        Member {
            name: &self.name,
            nodes: self.joins.iter().map(|(_, node)| node.as_str()).collect(),
            is_line: self.is_line(circuit),
        }
    }

    /// Whether a wire stands for it in a drawing: it is one, or it sits inside a device.
    #[must_use]
    pub fn is_line(&self, circuit: &Circuit) -> bool {
        let sign = circuit.looks.parts.get(&self.name).and_then(|look| look.sign);
        self.kind == PartKind::Wire || sign == Some(Sign::Inside)
    }

    /// The figures that tell the part from others like it, as far as they are known now: a fuse's rating, a wire's
    /// gauge and length.
    #[must_use]
    pub fn told(&self, circuit: &Circuit, sight: &Sight) -> Vec<String> {
        let names: &[&str] = match self.kind {
            PartKind::Fuse => &["rating"],
            PartKind::Wire => &["gauge", "length"],
            _ => &[],
        };
        let known = names.iter().filter_map(|name| self.figure(circuit, name, sight));
        known.map(|quantity| quantity.shown(3)).collect()
    }

    /// The figure at the middle of its limits; nothing while it is not known.
    fn figure(&self, circuit: &Circuit, name: &str, sight: &Sight) -> Option<Quantity> {
        let (_, figure) = self.figures.iter().find(|(known, _)| *known == name)?;
        match figure {
            PartFigure::Fixed(quantity) => Some(*quantity),
            PartFigure::Given(given) => Some(ends_of(circuit.given(given)?, sight.value).ok()?.middle),
        }
    }
}
