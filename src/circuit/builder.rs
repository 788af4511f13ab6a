//! A netlist, part by part; what is wrong is kept until the end, so that all of it is told at once.
use std::collections::BTreeMap;
use std::sync::Arc;

use super::netlist::{
    Copper, Diode, Fuse, Joins, Kind, Load, MOST_NODES, Meter, Names, Netlist, Part, Relay,
};
use super::netlist::{Source, Switch, Terminals, Wire};
use super::{Finding, range::Range};
use crate::calc::{self, CalcError, Value};
use crate::table::Tables;

/// Made by [`Netlist::grounded_at`]. Nodes come into being where a part names them.
#[derive(Clone, Debug)]
pub struct Builder {
    nodes: Vec<String>,
    parts: Vec<Part>,
    findings: Vec<Finding>,
}

impl Builder {
    pub(super) fn new(ground: &str) -> Builder {
        Builder {
            nodes: vec![ground.to_owned()],
            parts: Vec::new(),
            findings: Vec::new(),
        }
    }

    /// A source, from plus to minus.
    #[must_use]
    pub fn source(self, name: &str, ends: [&str; 2], source: Source) -> Builder {
        self.two(name, ends, Kind::Source(source))
    }

    #[must_use]
    pub fn wire(self, name: &str, ends: [&str; 2], wire: Wire) -> Builder {
        self.two(name, ends, Kind::Wire(wire))
    }

    /// A copper wire by gauge, length and temperature.
    #[must_use]
    pub fn copper(mut self, name: &str, ends: [&str; 2], copper: Copper) -> Builder {
        match resistance_ohm(copper) {
            Ok(ohm) => self.wire(name, ends, Wire { ohm }),
            Err(source) => {
                let part = name.to_owned();
                self.findings.push(Finding::Wire { part, source });
                self
            }
        }
    }

    #[must_use]
    pub fn fuse(self, name: &str, ends: [&str; 2], fuse: Fuse) -> Builder {
        self.two(name, ends, Kind::Fuse(fuse))
    }

    #[must_use]
    pub fn switch(self, name: &str, ends: [&str; 2], switch: Switch) -> Builder {
        self.two(name, ends, Kind::Switch(switch))
    }

    #[must_use]
    pub fn solenoid(self, name: &str, ends: [&str; 2], load: Load) -> Builder {
        self.two(name, ends, Kind::Load(load))
    }

    #[must_use]
    pub fn lamp(self, name: &str, ends: [&str; 2], load: Load) -> Builder {
        self.two(name, ends, Kind::Load(load))
    }

    /// A diode, from anode to cathode.
    #[must_use]
    pub fn diode(self, name: &str, ends: [&str; 2], diode: Diode) -> Builder {
        self.two(name, ends, Kind::Diode(diode))
    }

    /// A voltmeter, from its red probe to its black one.
    #[must_use]
    pub fn voltmeter(self, name: &str, ends: [&str; 2], meter: Meter) -> Builder {
        self.two(name, ends, Kind::Meter(meter))
    }

    #[must_use]
    pub fn relay(mut self, name: &str, terminals: Terminals, relay: Relay) -> Builder {
        let Terminals {
            t85,
            t86,
            t30,
            t87,
            t87a,
        } = terminals;
        let joins = [t85, t86, t30, t87, t87a].map(|node| node.map(|node| self.node(name, node)));
        if relay.release_v >= relay.pull_in_v {
            self.findings.push(Finding::ReleaseAbovePullIn {
                part: name.to_owned(),
                release_v: relay.release_v,
                pull_in_v: relay.pull_in_v,
            });
        }
        self.add(name, joins, Kind::Relay(relay))
    }

    /// The netlist.
    ///
    /// # Errors
    /// Every fault: a figure that is not finite or out of its range, a name used twice or empty, a part with
    /// both ends at one node, nothing at ground, more than [`MOST_NODES`] nodes.
    pub fn build(mut self) -> Result<Netlist, Vec<Finding>> {
        let found = self.nodes.len();
        if found > MOST_NODES {
            let most = MOST_NODES;
            self.findings.push(Finding::TooManyNodes { found, most });
        }
        if !self.parts.iter().any(|part| part.joins.contains(&Some(0))) {
            let ground = self.nodes[0].clone();
            self.findings.push(Finding::NothingGrounded { ground });
        }
        self.findings.extend(twice(&self.parts));
        if !self.findings.is_empty() {
            return Err(self.findings);
        }
        let parts = self.parts.iter().map(|part| part.name.clone()).collect();
        let nodes = self.nodes;
        let names = Arc::new(Names { nodes, parts });
        Ok(Netlist {
            names,
            parts: self.parts,
        })
    }

    fn two(mut self, name: &str, ends: [&str; 2], kind: Kind) -> Builder {
        let [from, to] = ends.map(|node| self.node(name, node));
        if from == to {
            let (part, node) = (name.to_owned(), self.nodes[from].clone());
            self.findings.push(Finding::SameEnds { part, node });
        }
        self.add(name, [Some(from), Some(to), None, None, None], kind)
    }

    fn add(mut self, name: &str, joins: Joins, kind: Kind) -> Builder {
        let wrong = |(found, range): (f64, Range)| range.check(name, found).err();
        self.findings.extend(kind.figures().into_iter().filter_map(wrong));
        let name = name.to_owned();
        if name.trim().is_empty() {
            self.findings.push(Finding::EmptyName { part: name.clone() });
        }
        self.parts.push(Part { name, kind, joins });
        self
    }

    fn node(&mut self, part: &str, name: &str) -> usize {
        if name.trim().is_empty() {
            let part = part.to_owned();
            self.findings.push(Finding::EmptyName { part });
        }
        let known = self.nodes.iter().position(|node| node == name);
        known.unwrap_or_else(|| {
            self.nodes.push(name.to_owned());
            self.nodes.len() - 1
        })
    }
}

fn twice(parts: &[Part]) -> Vec<Finding> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for part in parts {
        *counts.entry(&part.name).or_default() += 1;
    }
    let again = counts.into_iter().filter(|(_, count)| *count > 1);
    let finding = |(part, _): (&str, usize)| Finding::SameName {
        part: part.to_owned(),
    };
    again.map(finding).collect()
}

/// The calculator itself is run, so that its ranges and refusals hold here too.
fn resistance_ohm(copper: Copper) -> Result<f64, CalcError> {
    let inputs = [
        ("gauge", copper.gauge),
        ("length", copper.length),
        ("temperature", copper.temperature),
    ];
    let inputs = inputs.map(|(name, quantity)| (name.to_owned(), Value::Quantity(quantity)));
    let outcome = calc::run("wire-resistance", &BTreeMap::from(inputs), &Tables::default())?;
    let ohm = outcome.output("resistance").and_then(Value::quantity);
    ohm.map(|ohm| ohm.si()).ok_or(CalcError::NotFinite {
        calculator: "wire-resistance",
        output: "resistance",
    })
}
