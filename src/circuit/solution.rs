//! What was found: voltages, currents, relays, and what is worth knowing.
use std::sync::Arc;

use super::Finding;
use super::branch::{Branch, Layout, Role};
use super::netlist::{Kind, Names, Netlist};
use super::nodal::Potentials;
use super::settle::{State, coil_v};

/// The circuit at rest.
#[derive(Clone, PartialEq, Debug)]
pub struct Solution {
    names: Arc<Names>,
    volt: Vec<Option<f64>>,
    part_a: Vec<f64>,
    contact_a: Vec<f64>,
    meter_v: Vec<Option<f64>>,
    pulled: Vec<Option<bool>>,
    findings: Vec<Finding>,
}

impl Solution {
    /// A node's voltage against ground, in V; none where nothing joins it to ground, or there is no such node.
    pub fn voltage_v(&self, node: &str) -> Option<f64> {
        self.volt[self.names.nodes.iter().position(|name| name == node)?]
    }

    /// The voltage of one node over another, in V, without a meter's load; none where either has none.
    pub fn between_v(&self, red: &str, black: &str) -> Option<f64> {
        Some(self.voltage_v(red)? - self.voltage_v(black)?)
    }

    /// The current through a part, in A, from its first end to its second; of a source, what it delivers out of
    /// its plus; of a relay, through its coil from 85 to 86. None where there is no such part.
    pub fn current_a(&self, part: &str) -> Option<f64> {
        Some(self.part_a[self.part(part)?])
    }

    /// The current through a relay's closed contact, in A, from 30 outwards; none where it is no relay.
    pub fn contact_a(&self, relay: &str) -> Option<f64> {
        let at = self.part(relay)?;
        self.pulled[at].map(|_| self.contact_a[at])
    }

    /// What a voltmeter shows, in V, red against black; none where the part is no voltmeter.
    pub fn reading_v(&self, meter: &str) -> Option<f64> {
        self.meter_v[self.part(meter)?]
    }

    /// Whether a relay is pulled in; none where the part is no relay.
    pub fn pulled(&self, relay: &str) -> Option<bool> {
        self.pulled[self.part(relay)?]
    }

    /// The relays that are pulled in, in the netlist's order.
    pub fn relays_pulled(&self) -> impl Iterator<Item = &str> {
        let pulled = self.names.parts.iter().zip(&self.pulled);
        pulled.filter_map(|(name, pulled)| pulled.unwrap_or(false).then_some(name.as_str()))
    }

    /// Every node with its voltage, ground first.
    pub fn voltages_v(&self) -> impl Iterator<Item = (&str, Option<f64>)> {
        let names = self.names.nodes.iter().map(String::as_str);
        names.zip(self.volt.iter().copied())
    }

    /// Floating nodes, shorted sources, overloaded fuses, relays that hold only.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    pub(super) fn of(netlist: &Netlist, layout: &Layout, state: &State, found: &Potentials) -> Solution {
        let parts = netlist.parts.len();
        let mut solution = Solution {
            names: Arc::clone(&netlist.names),
            volt: grounded(found),
            part_a: vec![0.0; parts],
            contact_a: vec![0.0; parts],
            meter_v: vec![None; parts],
            pulled: vec![None; parts],
            findings: Vec::new(),
        };
        for branch in layout.branches.iter().filter(|branch| state.closes(branch)) {
            solution.count(netlist, branch, found);
        }
        for (coil, pulled) in layout.coils.iter().zip(&state.pulled) {
            solution.pulled[coil.part] = Some(*pulled);
        }
        solution.read_meters(netlist, layout, found);
        solution.remark(netlist, layout, found);
        solution
    }

    fn part(&self, name: &str) -> Option<usize> {
        self.names.parts.iter().position(|part| part == name)
    }

    /// A part's branches side by side count together, a bridge with what it bridges.
    fn count(&mut self, netlist: &Netlist, branch: &Branch, found: &Potentials) {
        let current_a = found.current_a(branch);
        match (branch.role, netlist.parts[branch.part].kind) {
            (Role::Contact, _) => self.contact_a[branch.part] += current_a,
            (_, Kind::Source(_)) => self.part_a[branch.part] -= current_a,
            (_, _) => self.part_a[branch.part] += current_a,
        }
    }

    /// A voltmeter shows what drives its own current; one that is open shows nothing.
    fn read_meters(&mut self, netlist: &Netlist, layout: &Layout, found: &Potentials) {
        for (at, part) in netlist.parts.iter().enumerate() {
            if let Kind::Meter(meter) = part.kind {
                let own_a = body(layout, at).map_or(0.0, |branch| found.current_a(branch));
                self.meter_v[at] = Some(own_a * meter.input_ohm);
            }
        }
    }

    fn remark(&mut self, netlist: &Netlist, layout: &Layout, found: &Potentials) {
        let nodes = self.names.nodes.iter().zip(&self.volt);
        let floating = nodes.filter(|(_, volt)| volt.is_none());
        let floating = floating.map(|(node, _)| Finding::Floating { node: node.clone() });
        let mut findings: Vec<Finding> = floating.collect();
        for (at, part) in netlist.parts.iter().enumerate() {
            let finding = match part.kind {
                Kind::Source(source) => self.shorted(at, source.emf_v, found, layout),
                Kind::Fuse(fuse) => self.overload(at, fuse.rating_a),
                _ => None,
            };
            findings.extend(finding);
        }
        for coil in &layout.coils {
            let (volt, relay) = (coil_v(coil, layout, found).abs(), coil.relay);
            if (relay.release_v..relay.pull_in_v).contains(&volt) {
                let relay = self.names.parts[coil.part].clone();
                findings.push(Finding::HoldsOnly { relay, coil_v: volt });
            }
        }
        self.findings = findings;
    }

    fn shorted(&self, at: usize, emf_v: f64, found: &Potentials, layout: &Layout) -> Option<Finding> {
        let own = body(layout, at)?;
        let terminal_v = found.across_v(own);
        (terminal_v < emf_v / 2.0).then(|| Finding::ShortedSource {
            source_part: self.names.parts[at].clone(),
            current_a: -found.current_a(own),
            terminal_v,
        })
    }

    fn overload(&self, at: usize, rating_a: f64) -> Option<Finding> {
        let current_a = self.part_a[at].abs();
        (current_a > rating_a).then(|| Finding::Overload {
            fuse: self.names.parts[at].clone(),
            current_a,
            rating_a,
        })
    }
}

/// A part's own branch; none while it is open. Of a source or a meter it conducts whenever it is there.
fn body(layout: &Layout, part: usize) -> Option<&Branch> {
    let own = |branch: &&Branch| branch.part == part && branch.role == Role::Body;
    layout.branches.iter().find(own)
}

/// A potential is a voltage where the island is that of ground, which is the first node.
fn grounded(found: &Potentials) -> Vec<Option<f64>> {
    let nodes = found.volt.iter().zip(&found.island);
    // Adding zero turns a negative zero into a plain one.
    nodes
        .map(|(volt, island)| (*island == 0).then_some(volt + 0.0))
        .collect()
}
