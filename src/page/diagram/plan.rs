//! What is to be drawn: bodies with their pins, lines between nodes, and what is pointed at.

use crate::procedure::drawing::{Pointed, Seat, Sign};
use crate::procedure::layout::FittingKind;
use std::collections::{BTreeMap, BTreeSet};

/// Everything that one diagram shows. Which end meets which node comes from the netlist alone.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    pub bodies: Vec<Body>,
    pub lines: Vec<Line>,
    pub marks: Vec<Pointed>,
    /// Whether lines say by their weight what is live; without it all are alike.
    pub told_live: bool,
    /// The nodes that stand under the source's voltage or pressure.
    pub live: Vec<String>,
}

/// A node's own seat and sign, where it has one.
type NodeLook<'a> = dyn Fn(&str) -> (Option<Seat>, Option<Sign>) + 'a;

impl Plan {
    /// What the numbers point at is shown as worked on.
    pub(super) fn work_on_marked(&mut self) {
        for mark in &self.marks {
            let Pointed::Part(name) = mark else { continue };
            let bodies = self.bodies.iter_mut().filter(|body| body.name == *name);
            bodies.for_each(|body| body.worked = true);
            let lines = self.lines.iter_mut().filter(|line| line.name == *name);
            lines.for_each(|line| line.worked = true);
        }
    }

    /// Nodes that no body touches are places of their own, as wide as their lines need.
    pub(super) fn add_joints(&mut self, look: &NodeLook) {
        let bodies = self.bodies.iter();
        let touched: BTreeSet<&String> = bodies.flat_map(|body| body.nodes.iter().flatten()).collect();
        let mut bare: BTreeMap<String, usize> = BTreeMap::new();
        for node in self.lines.iter().flat_map(|line| &line.ends) {
            if !touched.contains(node) {
                *bare.entry(node.clone()).or_default() += 1;
            }
        }
        for (node, lines) in bare {
            let (seat, sign) = look(&node);
            let places = lines.saturating_sub(1).div_ceil(2).max(1);
            self.bodies.push(Body {
                name: String::new(),
                shape: Shape::Joint,
                nodes: vec![Some(node); places],
                seat,
                sign,
                text: String::new(),
                acting: false,
                out: false,
                worked: false,
            });
        }
    }
}

/// A part that is drawn as a body, or a node that is a place of its own.
#[derive(Clone, Debug)]
pub struct Body {
    pub name: String,
    pub shape: Shape,
    /// The node at each pin, in the order of [`Shape::pins`]; an insulated pin has none.
    pub nodes: Vec<Option<String>>,
    pub seat: Option<Seat>,
    pub sign: Option<Sign>,
    /// What stands below it, such as `20 A`.
    pub text: String,
    /// A switch that is closed, a relay that is pulled in, a valve that is open, a gauge under pressure.
    pub acting: bool,
    /// Taken out.
    pub out: bool,
    /// The part that is worked on.
    pub worked: bool,
}

/// A wire, hose or pipe between two nodes.
#[derive(Clone, Debug)]
pub struct Line {
    pub name: String,
    pub ends: [String; 2],
    pub text: String,
    pub worked: bool,
    pub out: bool,
    /// Whether clamps hold its ends.
    pub clamped: bool,
}

/// The bodies that there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    Source,
    Fuse,
    Switch,
    Relay,
    Solenoid,
    Lamp,
    Diode,
    Meter,
    /// A part of a layout.
    Fluid(FittingKind),
    /// A node that no body touches.
    Joint,
}

impl Shape {
    /// The names of its pins, in their order.
    #[must_use]
    pub fn pins(self) -> &'static [&'static str] {
        match self {
            Self::Source => &["plus", "minus"],
            Self::Meter => &["red", "black"],
            Self::Relay => &["t86", "t85", "t30", "t87", "t87a"],
            Self::Joint => &["at"],
            Self::Fluid(kind) => match kind {
                FittingKind::Tank => &["to", "back"],
                FittingKind::Bottle => &["to"],
                FittingKind::Regulator => &["from", "to", "reference"],
                FittingKind::FlareTap | FittingKind::QuickTap | FittingKind::HoseTap => {
                    &["from", "to", "branch", "spare"]
                }
                _ if kind.ends().0.len() == 1 => &["from"],
                _ => &["from", "to"],
            },
            _ => &["from", "to"],
        }
    }
}
