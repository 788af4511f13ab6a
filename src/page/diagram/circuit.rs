//! A circuit as it is on this car, as a plan: the parts that apply, in the setting that is shown.

use super::glyph;
use super::live;
use super::plan::{Body, Line, Plan, Shape};
use crate::procedure::circuit::{Circuit, Part, PartKind, Sight};
use crate::procedure::drawing::Shown;
use std::collections::BTreeSet;

/// The plan of what is shown of a circuit.
#[must_use]
pub fn of_circuit(circuit: &Circuit, shown: &Shown, sight: &Sight) -> Plan {
    let mut plan = everything(circuit, shown, sight);
    if plan.told_live {
        settle(&mut plan);
        plan.live = live::live(&plan);
    }
    let points = shown.points_on(circuit, sight.holds);
    plan.marks = points.map(|(_, pointed)| pointed.clone()).collect();
    plan.work_on_marked();
    tell_worked_wires_alone(&mut plan);
    // What is live rests on the whole circuit, however little of it is drawn.
    let drawn: BTreeSet<&str> = shown
        .parts(circuit, sight.holds)
        .iter()
        .map(|part| part.name.as_str())
        .collect();
    plan.lines.retain(|line| drawn.contains(line.name.as_str()));
    plan.bodies.retain(|body| drawn.contains(body.name.as_str()));
    let look = |node: &str| {
        let sign = circuit.looks.nodes.get(node).and_then(|look| look.sign);
        let seat = shown.seats(circuit).and_then(|seats| seats.get(node).copied());
        (seat, sign)
    };
    plan.add_joints(&look);
    plan
}

/// A wire's gauge and length stand beside it only where it is worked on: elsewhere nobody needs them.
fn tell_worked_wires_alone(plan: &mut Plan) {
    let idle = plan.lines.iter_mut().filter(|line| !line.worked);
    idle.for_each(|line| line.text.clear());
}

/// All parts that apply, in the setting that is shown.
fn everything(circuit: &Circuit, shown: &Shown, sight: &Sight) -> Plan {
    let applying = circuit.parts.iter().filter(|part| (sight.holds)(&part.when));
    let (wires, parts): (Vec<&Part>, Vec<&Part>) = applying.partition(|part| part.is_line(circuit));
    let text = |part: &Part| {
        let told = part.told(circuit, sight).join("  ");
        if glyph::has(&told) { told } else { String::new() }
    };
    let seats = shown.seats(circuit);
    let body = |part: &Part| Body {
        name: part.name.clone(),
        shape: shape(part.kind),
        nodes: nodes(part),
        seat: seats.and_then(|seats| seats.get(&part.name).copied()),
        sign: circuit.looks.parts.get(&part.name).and_then(|look| look.sign),
        text: text(part),
        acting: shown.closed.iter().flatten().any(|closed| *closed == part.name),
        out: shown.out.contains(&part.name),
        worked: false,
    };
    let line = |part: &Part| Line {
        name: part.name.clone(),
        ends: [0, 1].map(|end| {
            part.joins
                .get(end)
                .map_or_else(String::new, |(_, node)| node.clone())
        }),
        text: text(part),
        worked: false,
        out: shown.out.contains(&part.name),
        clamped: false,
    };
    Plan {
        bodies: parts.into_iter().map(body).collect(),
        lines: wires.into_iter().map(line).collect(),
        told_live: shown.closed.is_some(),
        ..Plan::default()
    }
}

/// Relays act as their coils do, one on the other, at most once each.
fn settle(plan: &mut Plan) {
    for _ in 0..plan.bodies.len() {
        let pulls = plan
            .bodies
            .iter()
            .map(|body| body.shape == Shape::Relay && live::pulls(plan, body));
        let pulls: Vec<bool> = pulls.collect();
        let mut changed = false;
        for (body, pulls) in plan.bodies.iter_mut().zip(pulls) {
            if body.shape == Shape::Relay && body.acting != pulls {
                body.acting = pulls;
                changed = true;
            }
        }
        if !changed {
            return;
        }
    }
}

/// The nodes at the pins of the part's shape.
fn nodes(part: &Part) -> Vec<Option<String>> {
    let at = |pin: &&str| {
        let join = part.joins.iter().find(|(end, _)| end == pin);
        join.map(|(_, node)| node.clone())
    };
    shape(part.kind).pins().iter().map(at).collect()
}

fn shape(kind: PartKind) -> Shape {
    match kind {
        PartKind::Source => Shape::Source,
        PartKind::Fuse => Shape::Fuse,
        PartKind::Switch => Shape::Switch,
        PartKind::Relay => Shape::Relay,
        PartKind::Solenoid => Shape::Solenoid,
        PartKind::Lamp => Shape::Lamp,
        PartKind::Diode => Shape::Diode,
        PartKind::Meter => Shape::Meter,
        PartKind::Wire => Shape::Joint,
    }
}
