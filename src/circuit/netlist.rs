//! Parts and the nodes they join.
use std::sync::Arc;

use super::range::{EMF_V, FORWARD_V, OHM, PULL_IN_V, RATING_A, RELEASE_V, Range, SLOPE_OHM};
use super::{Builder, Finding};
use crate::quantity::Quantity;

/// More nodes than a workshop's diagram has; the work grows with their third power.
pub const MOST_NODES: usize = 64;

/// A source of voltage behind its internal resistance; its first end is plus.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Source {
    pub emf_v: f64,
    pub internal_ohm: f64,
}

/// A wire, crimp or strap of known resistance.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Wire {
    pub ohm: f64,
}

/// A copper wire, whose resistance the calculator `wire-resistance` gives.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Copper {
    /// AWG or mm².
    pub gauge: Quantity,
    pub length: Quantity,
    /// Of the conductor.
    pub temperature: Quantity,
}

/// A solenoid at its temperature, or a lamp at its working point.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Load {
    pub ohm: f64,
}

#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fuse {
    pub rating_a: f64,
    pub cold_ohm: f64,
}

/// Open unless the setting closes it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Switch {
    pub contact_ohm: f64,
}

/// Blocks below its forward drop, and above it conducts with `slope_ohm`; its first end is the anode.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Diode {
    pub forward_v: f64,
    pub slope_ohm: f64,
}

/// A voltmeter; its first end is the red probe.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Meter {
    pub input_ohm: f64,
}

/// Pulls in at `pull_in_v` across its coil and lets go below `release_v`, of either polarity.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Relay {
    pub coil_ohm: f64,
    pub pull_in_v: f64,
    pub release_v: f64,
    /// Of either contact when closed.
    pub contact_ohm: f64,
}

/// The nodes at a relay's terminals; none where a terminal is insulated.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Terminals<'a> {
    /// Coil, ground side.
    pub t85: Option<&'a str>,
    /// Coil, trigger side.
    pub t86: Option<&'a str>,
    /// Common.
    pub t30: Option<&'a str>,
    /// Closed while pulled in.
    pub t87: Option<&'a str>,
    /// Closed while released.
    pub t87a: Option<&'a str>,
}

/// A relay's terminal, by the number on its base.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Terminal {
    T85,
    T86,
    T30,
    T87,
    T87a,
}

/// What a part is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Kind {
    Source(Source),
    Wire(Wire),
    Load(Load),
    Fuse(Fuse),
    Switch(Switch),
    Diode(Diode),
    Meter(Meter),
    Relay(Relay),
}

impl Kind {
    /// Each figure with what it may be.
    pub(super) fn figures(self) -> Vec<(f64, Range)> {
        match self {
            Kind::Source(part) => vec![(part.emf_v, EMF_V), (part.internal_ohm, OHM)],
            Kind::Fuse(part) => vec![(part.rating_a, RATING_A), (part.cold_ohm, OHM)],
            Kind::Diode(part) => vec![(part.forward_v, FORWARD_V), (part.slope_ohm, SLOPE_OHM)],
            Kind::Relay(part) => vec![
                (part.coil_ohm, OHM),
                (part.contact_ohm, OHM),
                (part.pull_in_v, PULL_IN_V),
                (part.release_v, RELEASE_V),
            ],
            _ => vec![(self.ohm(), OHM)],
        }
    }

    /// Between the part's two ends when it conducts; of a relay, its coil's.
    pub(super) fn ohm(self) -> f64 {
        match self {
            Kind::Source(part) => part.internal_ohm,
            Kind::Wire(part) => part.ohm,
            Kind::Load(part) => part.ohm,
            Kind::Fuse(part) => part.cold_ohm,
            Kind::Switch(part) => part.contact_ohm,
            Kind::Diode(part) => part.slope_ohm,
            Kind::Meter(part) => part.input_ohm,
            Kind::Relay(part) => part.coil_ohm,
        }
    }
}

/// Nodes by number, in the order of [`Terminal`]; a part with two ends has the first two.
pub(super) type Joins = [Option<usize>; 5];

/// A named part in its place.
#[derive(Clone, PartialEq, Debug)]
pub struct Part {
    pub(super) name: String,
    pub(super) kind: Kind,
    pub(super) joins: Joins,
}

impl Part {
    pub fn name(&self) -> &str {
        &self.name
    }

    pub fn kind(&self) -> Kind {
        self.kind
    }
}

/// The names that a solution speaks of.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Names {
    /// The first is ground.
    pub nodes: Vec<String>,
    pub parts: Vec<String>,
}

impl Names {
    /// The number of a node, which is made where it is not there yet.
    fn numbered(&mut self, node: &str) -> usize {
        let known = self.nodes.iter().position(|name| name == node);
        known.unwrap_or_else(|| {
            self.nodes.push(node.to_owned());
            self.nodes.len() - 1
        })
    }
}

/// A circuit that passed its checks: named parts, each between named nodes, one of them ground.
#[derive(Clone, PartialEq, Debug)]
pub struct Netlist {
    pub(super) names: Arc<Names>,
    pub(super) parts: Vec<Part>,
}

impl Netlist {
    /// A netlist to be built, its voltages measured against the node `ground`.
    pub fn grounded_at(ground: &str) -> Builder {
        Builder::new(ground)
    }

    /// Every part, in the order it was added.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// The names of all nodes, ground first.
    pub fn nodes(&self) -> &[String] {
        &self.names.nodes
    }

    /// The same netlist with a voltmeter more.
    pub(super) fn probed(
        &self,
        name: &str,
        [red, black]: [&str; 2],
        meter: Meter,
    ) -> Result<Netlist, Finding> {
        if red == black {
            let (part, node) = (name.to_owned(), red.to_owned());
            return Err(Finding::SameEnds { part, node });
        }
        if self.numbered(name).is_ok() {
            return Err(Finding::SameName {
                part: name.to_owned(),
            });
        }
        OHM.check(name, meter.input_ohm)?;
        let (mut names, mut parts) = (Names::clone(&self.names), self.parts.clone());
        let [red, black] = [red, black].map(|node| names.numbered(node));
        names.parts.push(name.to_owned());
        parts.push(Part {
            name: name.to_owned(),
            kind: Kind::Meter(meter),
            joins: [Some(red), Some(black), None, None, None],
        });
        let names = Arc::new(names);
        Ok(Netlist { names, parts })
    }

    /// The number of a part.
    ///
    /// # Errors
    /// `UnknownPart` with the legal names.
    pub(super) fn numbered(&self, name: &str) -> Result<usize, Finding> {
        let at = self.parts.iter().position(|part| part.name == name);
        at.ok_or_else(|| Finding::UnknownPart {
            found: name.chars().take(64).collect(),
            legal: self.names.parts.clone(),
        })
    }

    /// The node at a relay's terminal; none where it is insulated or the part is no relay.
    pub fn at(&self, relay: &str, terminal: Terminal) -> Option<&str> {
        let part = self.parts.iter().find(|part| part.name == relay)?;
        let node = part.joins[terminal as usize].filter(|_| matches!(part.kind, Kind::Relay(_)))?;
        Some(&self.names.nodes[node])
    }

    /// The two ends of a part, first to second, the way its current counts as positive; none for a relay.
    pub fn ends(&self, part: &str) -> Option<[&str; 2]> {
        let part = self.parts.iter().find(|other| other.name == part)?;
        let [Some(from), Some(to), ..] = part.joins else {
            return None;
        };
        let two = !matches!(part.kind, Kind::Relay(_));
        two.then(|| [from, to].map(|node| self.names.nodes[node].as_str()))
    }
}
