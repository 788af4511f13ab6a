//! Which nodes stand under the source's voltage, from what is joined to what.

use super::plan::{Body, Plan, Shape};
use crate::procedure::layout::FittingKind;
use std::collections::BTreeSet;

/// The nodes that a voltmeter against ground would show the source's voltage at, less what lies between.
///
/// Closed contacts, fuses, lines and diodes in their direction carry it on; so does a load whose other side is
/// not held at the source's minus, since no current flows through it then.
#[must_use]
pub fn live(plan: &Plan) -> Vec<String> {
    spread(plan, &starts(plan, 0), &starts(plan, 1))
}

/// The nodes that the same voltage or pressure reaches from some nodes, where others are held at none.
#[must_use]
pub fn spread(plan: &Plan, from: &BTreeSet<String>, none: &BTreeSet<String>) -> Vec<String> {
    let minus = reach(plan, none, Pass::Back);
    let plus = reach(plan, from, Pass::On);
    let grounded: BTreeSet<String> = minus.difference(&plus).cloned().collect();
    let mut live = plus;
    loop {
        let mut more: BTreeSet<String> = live.clone();
        let loads = plan.bodies.iter().flat_map(|body| pairs(body, Link::Load));
        for (from, to) in loads {
            for (one, other) in [(from, to), (to, from)] {
                if live.contains(one) && !grounded.contains(other) {
                    more.insert(other.to_owned());
                }
            }
        }
        more = reach(plan, &more, Pass::On);
        if more == live {
            return live.into_iter().collect();
        }
        live = more;
    }
}

/// Whether a relay pulls in: its coil lies between a live node and a grounded one.
#[must_use]
pub fn pulls(plan: &Plan, relay: &Body) -> bool {
    let plus = reach(plan, &starts(plan, 0), Pass::On);
    let minus = reach(plan, &starts(plan, 1), Pass::Back);
    let at = |pin: usize| relay.nodes[pin].as_ref();
    let across = |live: Option<&String>, ground: Option<&String>| {
        live.is_some_and(|node| plus.contains(node)) && ground.is_some_and(|node| minus.contains(node))
    };
    !relay.out && (across(at(0), at(1)) || across(at(1), at(0)))
}

#[derive(Clone, Copy, PartialEq)]
enum Pass {
    /// With the current.
    On,
    /// Against it.
    Back,
}

#[derive(Clone, Copy, PartialEq)]
enum Link {
    Both,
    Forward,
    Load,
}

fn starts(plan: &Plan, end: usize) -> BTreeSet<String> {
    let sources = plan
        .bodies
        .iter()
        .filter(|body| body.shape == Shape::Source && !body.out);
    sources.filter_map(|body| body.nodes[end].clone()).collect()
}

/// The nodes that a body links so.
fn pairs(body: &Body, link: Link) -> Vec<(&str, &str)> {
    let pair = |one: usize, other: usize| {
        let at = |pin: usize| body.nodes.get(pin)?.as_deref();
        at(one).zip(at(other)).into_iter().collect::<Vec<_>>()
    };
    if body.out {
        return Vec::new();
    }
    match (body.shape, link) {
        (Shape::Fuse, Link::Both) | (Shape::Diode, Link::Forward) => pair(0, 1),
        (Shape::Switch, Link::Both) if body.acting => pair(0, 1),
        (Shape::Solenoid | Shape::Lamp, Link::Load) => pair(0, 1),
        (Shape::Relay, Link::Load) => pair(0, 1),
        (Shape::Relay, Link::Both) => pair(2, if body.acting { 3 } else { 4 }),
        (Shape::Fluid(kind), _) => fluid(body, kind, link),
        _ => Vec::new(),
    }
}

/// The nodes that a part of a layout links so. A jet and a regulator hold pressure back only while what lies behind
/// them is open to the air.
fn fluid(body: &Body, kind: FittingKind, link: Link) -> Vec<(&str, &str)> {
    let links = match kind {
        FittingKind::Check | FittingKind::Pump => Link::Forward,
        FittingKind::Jet | FittingKind::Regulator => Link::Load,
        _ if kind.opens() && !body.acting => return Vec::new(),
        // What is in the tank stands under no pressure.
        FittingKind::Tank => return Vec::new(),
        // A whole disc holds what its vessel holds.
        FittingKind::Disc => return Vec::new(),
        _ => Link::Both,
    };
    if links != link {
        return Vec::new();
    }
    // What a regulator follows is another pressure than the one that it holds.
    let through = if kind == FittingKind::Regulator {
        2
    } else {
        body.nodes.len()
    };
    let nodes = body.nodes.iter().take(through).flatten();
    let nodes: Vec<&str> = nodes.map(String::as_str).collect();
    nodes.windows(2).map(|two| (two[0], two[1])).collect()
}

/// Everything that conductors join to these nodes.
fn reach(plan: &Plan, from: &BTreeSet<String>, pass: Pass) -> BTreeSet<String> {
    let mut reached = from.clone();
    loop {
        let before = reached.len();
        let lines = plan.lines.iter().filter(|line| !line.out);
        let lines = lines.map(|line| (line.ends[0].as_str(), line.ends[1].as_str()));
        let bodies = plan.bodies.iter().flat_map(|body| pairs(body, Link::Both));
        for (one, other) in lines.chain(bodies) {
            if reached.contains(one) || reached.contains(other) {
                reached.extend([one.to_owned(), other.to_owned()]);
            }
        }
        for (from, to) in plan.bodies.iter().flat_map(|body| pairs(body, Link::Forward)) {
            let (seen, next) = if pass == Pass::On { (from, to) } else { (to, from) };
            if reached.contains(seen) {
                reached.insert(next.to_owned());
            }
        }
        if reached.len() == before {
            return reached;
        }
    }
}
