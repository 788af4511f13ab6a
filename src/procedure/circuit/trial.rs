//! A circuit tried out while content is checked, before any car is known: what is not fixed has a typical value.

use super::build::typical;
use super::run::{PROBES, ends_of, meter, setting, spread};
use super::{COPPER, OF_WIRE};
use super::{Call, Circuit, Ends, Find, Given, GivenLimits, Part, PartFigure, PartKind};
use crate::circuit::{End, Finding, Spread};
use crate::procedure::model::Operand;
use crate::procedure::operand::scaled;
use crate::quantity::{Dimension, Quantity};
use std::collections::BTreeMap;

/// The circuit with all its parts, those of every condition; nothing where a figure could not be read.
pub fn trial(circuit: &Circuit) -> Option<Result<Spread, Vec<Finding>>> {
    let figure = |part: &Part, name: &str, end: End| {
        let (_, figure) = part.figures.iter().find(|(known, _)| *known == name)?;
        let quantity = match figure {
            PartFigure::Fixed(quantity) => *quantity,
            PartFigure::Given(given) => ends(circuit.given(given)?, part, name)?.at(end),
        };
        (Some(quantity.dimension()) == measures(part.kind, name)).then_some(quantity)
    };
    spread(circuit, &|_| true, &figure)
}

/// The most figures that the corners of an answer are made of.
pub fn corner_figures(circuit: &Circuit, spread: &Spread, call: &Call) -> usize {
    let setting = setting(circuit, call, &|_| true);
    let plain = spread.corner_figures(&setting).unwrap_or(0);
    let probed = call.find.iter().filter_map(|(_, find)| {
        let Find::Volts { red, black } = find else {
            return None;
        };
        let black = black.as_deref().unwrap_or(&circuit.ground);
        let probed = spread
            .probed(PROBES, [red, black], meter(&BTreeMap::new()))
            .ok()?;
        probed.corner_figures(&setting).ok()
    });
    probed.fold(plain, usize::max)
}

/// Whether all figures of a part are known before any car is.
pub fn is_fixed(circuit: &Circuit, part: &Part) -> bool {
    part.figures.iter().all(|(_, figure)| match figure {
        PartFigure::Fixed(_) => true,
        PartFigure::Given(given) => circuit
            .given(given)
            .is_some_and(|given| given.is.reference().is_none()),
    })
}

fn ends(given: &Given, part: &Part, figure: &str) -> Option<Ends> {
    if let Operand::Fixed(_) = given.is {
        return ends_of(given, &|_| None).ok();
    }
    let middle = typical(part, figure)?;
    let (least, most) = match &given.limits {
        None => (middle, middle),
        Some(GivenLimits::Within(_)) => (scaled(middle, 0.9)?, scaled(middle, 1.1)?),
        Some(GivenLimits::Between(from, to)) => return between(*from, *to),
    };
    Some(Ends { middle, least, most })
}

fn between(from: Quantity, to: Quantity) -> Option<Ends> {
    let (least, most) = if from.si() > to.si() {
        (to, from)
    } else {
        (from, to)
    };
    let middle = least;
    Some(Ends { middle, least, most })
}

fn measures(kind: PartKind, figure: &str) -> Option<Dimension> {
    let slots = match kind {
        PartKind::Wire => COPPER.into_iter().chain([OF_WIRE]).collect(),
        _ => kind.figures(),
    };
    slots
        .iter()
        .find(|slot| slot.name == figure)
        .map(|slot| slot.dimension)
}
