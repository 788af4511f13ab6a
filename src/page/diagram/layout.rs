//! A layout as it is on this car, as a plan: the parts that are there, in the setting that is shown.

use super::glyph;
use super::live;
use super::plan::{Body, Line, Plan, Shape};
use crate::calc::Value;
use crate::procedure::circuit::Sight;
use crate::procedure::drawing::View;
use crate::procedure::layout::{Fitting, FittingKind, Layout, Setup};
use std::collections::BTreeSet;

/// The plan of what is shown of a layout.
#[must_use]
pub fn of_layout(layout: &Layout, setup: &Setup, sight: &Sight) -> Plan {
    let there = setup.there(layout, sight.holds);
    let (lines, bodies): (Vec<&Fitting>, Vec<&Fitting>) = there.iter().partition(|part| part.kind.is_line());
    let seats = setup.seats(layout);
    let mut plan = Plan {
        bodies: bodies
            .into_iter()
            .map(|part| body(part, setup, seats, sight))
            .collect(),
        lines: lines.into_iter().map(|part| line(part, setup, sight)).collect(),
        told_live: setup.pressure.is_some(),
        ..Plan::default()
    };
    plan.live = live::spread(&plan, &from(&there, setup), &open_ends(&there, setup));
    for body in &mut plan.bodies {
        if let Shape::Fluid(FittingKind::Gauge | FittingKind::PressureSwitch) = body.shape {
            body.acting = !body.out && body.nodes.iter().flatten().any(|node| plan.live.contains(node));
        }
    }
    let points = setup.points_on(layout, sight.holds);
    plan.marks = points.map(|(_, pointed)| pointed.clone()).collect();
    plan.work_on_marked();
    // Where pressure stands rests on all parts that are there, however few of them are drawn.
    let parts = setup.parts(layout, sight.holds);
    let drawn: BTreeSet<&str> = parts.iter().map(|part| part.name.as_str()).collect();
    plan.lines.retain(|line| drawn.contains(line.name.as_str()));
    plan.bodies.retain(|body| drawn.contains(body.name.as_str()));
    plan.add_joints(&|_| (None, None));
    plan
}

fn body(part: &Fitting, setup: &Setup, seats: Option<&View>, sight: &Sight) -> Body {
    let at = |pin: &&str| {
        let join = part.joins.iter().find(|(end, _)| end == pin);
        join.map(|(_, node)| node.clone())
    };
    let shape = Shape::Fluid(part.kind);
    Body {
        name: part.name.clone(),
        shape,
        nodes: shape.pins().iter().map(at).collect(),
        seat: seats.and_then(|seats| seats.get(&part.name).copied()),
        sign: None,
        text: text(part, sight),
        acting: setup.open.contains(&part.name),
        out: setup.out.contains(&part.name),
        worked: false,
    }
}

fn line(part: &Fitting, setup: &Setup, sight: &Sight) -> Line {
    let end = |at: usize| {
        part.joins
            .get(at)
            .map_or_else(String::new, |(_, node)| node.clone())
    };
    Line {
        name: part.name.clone(),
        ends: [0, 1].map(end),
        text: text(part, sight),
        worked: false,
        out: setup.out.contains(&part.name),
        clamped: part.kind.is_clamped(),
    }
}

/// The value beside the part, as far as it is known and can be drawn.
fn text(part: &Fitting, sight: &Sight) -> String {
    let value = part.shows.as_ref().and_then(|reference| (sight.value)(reference));
    let told = match value {
        Some(Value::Quantity(quantity)) => quantity.shown(3),
        _ => return String::new(),
    };
    if glyph::has(&told) { told } else { String::new() }
}

/// The nodes that pressure comes from: what a tank, a bottle and a pump give, and all ends of another part.
fn from(there: &[&Fitting], setup: &Setup) -> BTreeSet<String> {
    let named = there.iter().filter(|part| {
        let named = setup.pressure.iter().flatten().any(|name| *name == part.name);
        named && !setup.out.contains(&part.name)
    });
    let gives = |part: &&&Fitting| {
        matches!(
            part.kind,
            FittingKind::Tank | FittingKind::Bottle | FittingKind::Pump
        )
    };
    let nodes = named.flat_map(|part| {
        let only_out = gives(&part);
        let joins = part.joins.iter().filter(move |(end, _)| {
            if only_out {
                *end == "to"
            } else {
                *end != "reference"
            }
        });
        joins.map(|(_, node)| node.clone())
    });
    nodes.collect()
}

/// The nodes that are open to the air.
fn open_ends(there: &[&Fitting], setup: &Setup) -> BTreeSet<String> {
    let mut nodes = BTreeSet::new();
    for part in there.iter().filter(|part| !setup.out.contains(&part.name)) {
        let end = match part.kind {
            FittingKind::Nozzle | FittingKind::Vent | FittingKind::Can => "from",
            FittingKind::Tank => "back",
            _ => continue,
        };
        let joins = part.joins.iter().filter(|(name, _)| *name == end);
        nodes.extend(joins.map(|(_, node)| node.clone()));
    }
    nodes
}
