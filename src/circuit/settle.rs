//! Relays and diodes followed until they rest.
use super::branch::{Branch, Coil, Layout, When};
use super::netlist::Netlist;
use super::nodal::{Potentials, potentials};
use super::setting::{Setting, conditions};
use super::{Finding, Solution};

/// Beyond this many rounds relays count as chattering; a chain of twenty pulls in well before.
const MOST_ROUNDS: usize = 64;
/// While it is decided which diodes conduct, a blocking one leaks through this, so that the node between two
/// of them is not lost. No part may resist so much.
const LEAK_OHM: f64 = 1e12;
/// Above what leaks, and far below what a part could show.
const REVERSE_A: f64 = 1e-9;
const FORWARD_V: f64 = 1e-9;
/// How many roundings of the voltages around a diode may look like its current.
const ROUNDINGS: f64 = 64.0;

/// Which relays are pulled in, and which diodes conduct.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct State {
    pub pulled: Vec<bool>,
    pub conducting: Vec<bool>,
}

impl State {
    pub fn closes(&self, branch: &Branch) -> bool {
        match branch.when {
            When::Always => true,
            When::Pulled(relay) => self.pulled[relay],
            When::Released(relay) => !self.pulled[relay],
            When::Conducting(diode) => self.conducting[diode],
        }
    }
}

pub(super) fn settle(netlist: &Netlist, setting: &Setting) -> Result<Solution, Finding> {
    let layout = Layout::of(netlist, &conditions(netlist, setting)?);
    let circuit = Circuit::new(netlist, layout);
    let mut state = circuit.start();
    let mut seen: Vec<Vec<bool>> = Vec::new();
    loop {
        let found = circuit.settle_diodes(&mut state)?;
        let next = circuit.pulled_next(&state, &found);
        if next == state.pulled {
            return Ok(Solution::of(netlist, &circuit.layout, &state, &found));
        }
        if seen.contains(&next) || seen.len() >= MOST_ROUNDS {
            return Err(circuit.chatter(&state.pulled, &next));
        }
        seen.push(std::mem::replace(&mut state.pulled, next));
    }
}

/// The voltage at a coil's own resistance, 86 over 85 below zero; zero where it is open or not wired.
pub(super) fn coil_v(coil: &Coil, layout: &Layout, found: &Potentials) -> f64 {
    coil.branch.map_or(0.0, |branch| {
        found.current_a(&layout.branches[branch]) * coil.relay.coil_ohm
    })
}

pub(super) struct Circuit<'a> {
    netlist: &'a Netlist,
    pub layout: Layout,
}

impl<'a> Circuit<'a> {
    pub fn new(netlist: &'a Netlist, layout: Layout) -> Circuit<'a> {
        Circuit { netlist, layout }
    }

    /// Relays as they were before, and every diode conducting.
    pub fn start(&self) -> State {
        let coils = self.layout.coils.iter();
        State {
            pulled: coils.map(|coil| coil.pulled_before).collect(),
            conducting: vec![true; self.layout.valves.len()],
        }
    }

    pub fn part_name(&self, part: usize) -> String {
        self.netlist.parts[part].name.clone()
    }

    /// The potentials in this very state.
    ///
    /// # Errors
    /// `Turns` where the diodes do not rest in it.
    pub fn settled_as(&self, state: &State) -> Result<Potentials, Finding> {
        if self.layout.valves.is_empty() {
            return Ok(self.potentials(state));
        }
        let mut settled = state.clone();
        let found = self.settle_diodes(&mut settled)?;
        let valves = self.layout.valves.iter().enumerate();
        let turned: Vec<String> = valves
            .filter(|(at, _)| settled.conducting[*at] != state.conducting[*at])
            .map(|(_, valve)| self.part_name(valve.part))
            .collect();
        if turned.is_empty() {
            Ok(found)
        } else {
            Err(Finding::Turns { diodes: turned })
        }
    }

    fn potentials(&self, state: &State) -> Potentials {
        let nodes = self.netlist.names.nodes.len();
        let closed = self.layout.branches.iter().filter(|branch| state.closes(branch));
        potentials(nodes, closed)
    }

    /// Every relay moves at once: none is faster than another.
    fn pulled_next(&self, state: &State, found: &Potentials) -> Vec<bool> {
        let coils = self.layout.coils.iter().zip(&state.pulled);
        coils
            .map(|(coil, pulled)| {
                let least_v = if *pulled {
                    coil.relay.release_v
                } else {
                    coil.relay.pull_in_v
                };
                coil_v(coil, &self.layout, found).abs() >= least_v
            })
            .collect()
    }

    pub fn chatter(&self, pulled: &[bool], next: &[bool]) -> Finding {
        let moving = pulled.iter().zip(next).zip(&self.layout.coils);
        let relays = moving
            .filter(|((before, after), _)| before != after)
            .map(|(_, coil)| self.netlist.parts[coil.part].name.clone())
            .collect();
        Finding::Chatter { relays }
    }

    /// All that are wrong change at first; if that goes round in circles, one at a time, the first of them.
    pub fn settle_diodes(&self, state: &mut State) -> Result<Potentials, Finding> {
        let diodes = self.layout.valves.len();
        for round in 0..8 + 64 * diodes {
            let wrong = self.wrong(state);
            if wrong.is_empty() {
                return Ok(self.without_idle(state));
            }
            let changed = if round < 8 { wrong.len() } else { 1 };
            for diode in &wrong[..changed] {
                state.conducting[*diode] ^= true;
            }
        }
        let name = |diode: &usize| self.netlist.parts[self.layout.valves[*diode].part].name.clone();
        let diodes = self.wrong(state).iter().map(name).collect();
        Err(Finding::Undecided { diodes })
    }

    /// A diode that carries nothing must not lend a voltage to what hangs on it alone.
    fn without_idle(&self, state: &mut State) -> Potentials {
        let found = self.potentials(state);
        let before = state.conducting.clone();
        for (valve, conducting) in self.layout.valves.iter().zip(&mut state.conducting) {
            let branch = &self.layout.branches[valve.branch];
            let volts = found.volt[branch.from].abs() + found.volt[branch.to].abs() + branch.emf_v.abs();
            *conducting &= found.current_a(branch) > ROUNDINGS * f64::EPSILON * volts / branch.ohm;
        }
        if state.conducting == before {
            found
        } else {
            self.potentials(state)
        }
    }

    /// The diodes that carry a current backwards, or block above their drop.
    fn wrong(&self, state: &State) -> Vec<usize> {
        if self.layout.valves.is_empty() {
            return Vec::new();
        }
        let leak = |valve: usize| Branch {
            emf_v: 0.0,
            ohm: LEAK_OHM,
            when: When::Always,
            ..self.layout.branches[self.layout.valves[valve].branch]
        };
        let blocking = (0..self.layout.valves.len()).filter(|valve| !state.conducting[*valve]);
        let leaks: Vec<Branch> = blocking.map(leak).collect();
        let closed = self.layout.branches.iter().filter(|branch| state.closes(branch));
        let found = potentials(self.netlist.names.nodes.len(), closed.chain(&leaks));
        let is_wrong = |valve: &usize| {
            let branch = &self.layout.branches[self.layout.valves[*valve].branch];
            if state.conducting[*valve] {
                found.current_a(branch) < -REVERSE_A
            } else {
                found.across_v(branch) + branch.emf_v > FORWARD_V
            }
        };
        (0..self.layout.valves.len()).filter(is_wrong).collect()
    }
}
