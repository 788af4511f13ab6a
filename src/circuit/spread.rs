//! A circuit whose figures are known within limits: what it does in the middle, and the least and the most of
//! what it can do.
//!
//! With relays and diodes in fixed states each current is, in every single resistance and source by itself,
//! a quotient of two straight lines, so it rises or falls all the way: its extremes over all figures together
//! lie at corners, where every figure is at one of its ends. A voltage is the current through the meter that
//! shows it. What resists in series counts as one figure, and what carries nothing counts not at all.
use super::branch::{Branch, Layout, Role};
use super::corner::{Corners, Ends};
use super::netlist::{Kind, Meter, Netlist};
use super::setting::{Setting, conditions};
use super::settle::{Circuit, State, coil_v};
use super::{Builder, Finding, Solution, solve};
use crate::to_say;

/// With relays and diodes followed, so many corners are worked out in a moment.
pub const MOST_CORNER_FIGURES: usize = 14;
/// As with [`solve`], relays that go on beyond this many rounds count as chattering.
const MOST_ROUNDS: usize = 64;

/// Which figure of those that a part may have.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    Middle,
    Least,
    Most,
}

/// What is asked of a circuit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Asked<'a> {
    /// As [`Solution::current_a`], in A.
    Amps(&'a str),
    /// As [`Solution::contact_a`], in A.
    ContactAmps(&'a str),
    /// As [`Solution::reading_v`], in V.
    Reading(&'a str),
}

/// A figure with its limits, in the unit of what was asked.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Spanned {
    pub middle: f64,
    pub low: f64,
    pub high: f64,
}

/// What a circuit does within its limits.
#[derive(Clone, PartialEq, Debug)]
pub struct Outlook {
    /// In the order of what was asked.
    pub spanned: Vec<Spanned>,
    /// With every figure in its middle.
    pub middle: Solution,
}

/// One circuit three times: with each figure in the middle, at its least, and at its most.
#[derive(Clone, Debug)]
pub struct Spread {
    middle: Netlist,
    least: Netlist,
    most: Netlist,
}

impl Spread {
    /// The same circuit with its figures in the middle, at their least and at their most.
    ///
    /// # Errors
    /// What the first of the three that is wrong has wrong; `Unlike` where they are not the same parts in the
    /// same places.
    pub fn of([middle, least, most]: [Builder; 3]) -> Result<Spread, Vec<Finding>> {
        let (middle, least, most) = (middle.build()?, least.build()?, most.build()?);
        if !(alike(&middle, &least) && alike(&middle, &most)) {
            return Err(vec![Finding::Unlike]);
        }
        Ok(Spread { middle, least, most })
    }

    /// The circuit with every figure in its middle.
    pub fn middle(&self) -> &Netlist {
        &self.middle
    }

    /// The same circuit with a voltmeter more, from its red probe to its black one; a node that is not there yet
    /// comes into being and hangs on the meter alone.
    ///
    /// # Errors
    /// A name that is taken, or a node twice: `SameName`, `SameEnds`.
    pub fn probed(&self, name: &str, probes: [&str; 2], meters: [Meter; 3]) -> Result<Spread, Finding> {
        let [middle, least, most] = meters;
        Ok(Spread {
            middle: self.middle.probed(name, probes, middle)?,
            least: self.least.probed(name, probes, least)?,
            most: self.most.probed(name, probes, most)?,
        })
    }

    /// How many figures the corners of this setting are made of.
    ///
    /// # Errors
    /// A setting that does not fit the circuit.
    pub fn corner_figures(&self, setting: &Setting) -> Result<usize, Finding> {
        Ok(Corners::of(self.middle.names.nodes.len(), &self.ends(setting)?).count())
    }

    /// Answers in the middle and over all corners.
    ///
    /// # Errors
    /// As [`solve`]; a part that cannot be asked this; more than [`MOST_CORNER_FIGURES`]; a relay or a diode
    /// whose state is not the same at all corners.
    pub fn ask(&self, setting: &Setting, asked: &[Asked]) -> Result<Outlook, Finding> {
        let ends = self.ends(setting)?;
        let corners = Corners::of(self.middle.names.nodes.len(), &ends);
        if corners.count() > MOST_CORNER_FIGURES {
            return Err(Finding::TooManyCorners {
                found: corners.count(),
                most: MOST_CORNER_FIGURES,
            });
        }
        let probes: Result<Vec<Probe>, Finding> = asked
            .iter()
            .map(|asked| Probe::of(&self.middle, &ends.middle, *asked))
            .collect();
        let middle = solve(&self.middle, setting)?;
        let mut walk = Walk {
            ends: &ends,
            corners: &corners,
            probes: &probes?,
            circuit: Circuit::new(&self.middle, ends.least.clone()),
        };
        let spanned = walk.follow()?;
        Ok(Outlook { spanned, middle })
    }

    fn ends(&self, setting: &Setting) -> Result<Ends, Finding> {
        let layout = |netlist| Ok(Layout::of(netlist, &conditions(netlist, setting)?));
        Ok(Ends {
            middle: layout(&self.middle)?,
            least: layout(&self.least)?,
            most: layout(&self.most)?,
        })
    }
}

fn alike(one: &Netlist, other: &Netlist) -> bool {
    let kind = |kind: &Kind| std::mem::discriminant(kind);
    let pairs = || one.parts.iter().zip(&other.parts);
    one.names == other.names && pairs().all(|(a, b)| a.joins == b.joins && kind(&a.kind) == kind(&b.kind))
}

/// Where an answer is read off: branches, each with the sign of its current.
struct Probe {
    branches: Vec<(usize, f64)>,
    /// Of a voltmeter, whose current is told as the voltage that drives it.
    volts: bool,
}

impl Probe {
    fn of(netlist: &Netlist, layout: &Layout, asked: Asked) -> Result<Probe, Finding> {
        let (Asked::Amps(name) | Asked::ContactAmps(name) | Asked::Reading(name)) = asked;
        let part = netlist.numbered(name)?;
        let kind = netlist.parts[part].kind;
        let unfit = |what, expected| Finding::Unfit {
            part: name.to_owned(),
            what,
            expected,
        };
        match (asked, kind) {
            (Asked::ContactAmps(_), Kind::Relay(_)) | (Asked::Amps(_), _) => {}
            (Asked::Reading(_), Kind::Meter(Meter { .. })) => {}
            (Asked::ContactAmps(_), _) => return Err(unfit("asked for a contact's current", "a relay")),
            (Asked::Reading(_), _) => return Err(unfit("asked for a voltage", "a voltmeter")),
        }
        let contact = matches!(asked, Asked::ContactAmps(_));
        let sign = if matches!(kind, Kind::Source(_)) {
            -1.0
        } else {
            1.0
        };
        let own = |branch: &Branch| branch.part == part && (branch.role == Role::Contact) == contact;
        let all = layout.branches.iter().enumerate();
        Ok(Probe {
            branches: all
                .filter(|(_, branch)| own(branch))
                .map(|(at, _)| (at, sign))
                .collect(),
            volts: matches!(asked, Asked::Reading(_)),
        })
    }

    fn read(&self, layout: &Layout, state: &State, found: &super::nodal::Potentials) -> f64 {
        let one = |&(at, sign): &(usize, f64)| {
            let branch = &layout.branches[at];
            let factor = if self.volts { branch.ohm } else { 1.0 };
            if state.closes(branch) {
                sign * factor * found.current_a(branch)
            } else {
                0.0
            }
        };
        // Adding zero turns a negative zero into a plain one.
        self.branches.iter().map(one).sum::<f64>() + 0.0
    }
}

/// All corners together, from one state of the relays to the next, until the relays rest at all of them.
struct Walk<'a> {
    ends: &'a Ends,
    corners: &'a Corners,
    probes: &'a [Probe],
    circuit: Circuit<'a>,
}

/// The least and the most that was met at the corners.
#[derive(Clone)]
struct Met {
    coils: Vec<(f64, f64)>,
    probes: Vec<(f64, f64)>,
}

fn widen((low, high): &mut (f64, f64), value: f64) {
    (*low, *high) = (low.min(value), high.max(value));
}

impl Walk<'_> {
    fn follow(&mut self) -> Result<Vec<Spanned>, Finding> {
        let mut state = self.circuit.start();
        let mut seen: Vec<Vec<bool>> = Vec::new();
        loop {
            let met = self.at_corners(&mut state)?;
            let next = self.next(&state, &met)?;
            if next == state.pulled {
                return self.with_middle(state, met);
            }
            if seen.contains(&next) || seen.len() >= MOST_ROUNDS {
                return Err(self.circuit.chatter(&state.pulled, &next));
            }
            seen.push(std::mem::replace(&mut state.pulled, next));
        }
    }

    /// The first corner settles the diodes; at every other they must stand the same.
    fn at_corners(&mut self, state: &mut State) -> Result<Met, Finding> {
        let nowhere = (f64::INFINITY, f64::NEG_INFINITY);
        let mut met = Met {
            coils: vec![nowhere; self.ends.middle.coils.len()],
            probes: vec![nowhere; self.probes.len()],
        };
        self.circuit.layout = self.ends.least.clone();
        for corner in 0..self.corners.corners() {
            self.corners.turn(corner, self.ends, &mut self.circuit.layout);
            if corner == 0 {
                self.circuit.settle_diodes(state)?;
            }
            let found = self.circuit.settled_as(state)?;
            let layout = &self.circuit.layout;
            for (coil, met) in layout.coils.iter().zip(&mut met.coils) {
                widen(met, coil_v(coil, layout, &found));
            }
            for (probe, met) in self.probes.iter().zip(&mut met.probes) {
                widen(met, probe.read(layout, state, &found));
            }
        }
        Ok(met)
    }

    /// Every relay moves at once, where all corners and all of its thresholds agree that it does.
    fn next(&self, state: &State, met: &Met) -> Result<Vec<bool>, Finding> {
        let relays = state.pulled.iter().zip(&met.coils).enumerate();
        relays
            .map(|(at, (pulled, (low_v, high_v)))| {
                let ends = [&self.ends.least, &self.ends.most].map(|end| end.coils[at].relay);
                let [from_v, to_v] =
                    ends.map(|relay| if *pulled { relay.release_v } else { relay.pull_in_v });
                // Between two corners of opposite sign the coil may have no voltage at all.
                let least_v = if low_v.signum() == high_v.signum() {
                    low_v.abs().min(high_v.abs())
                } else {
                    0.0
                };
                let most_v = low_v.abs().max(high_v.abs());
                match (least_v >= to_v, most_v < from_v) {
                    (true, _) => Ok(true),
                    (_, true) => Ok(false),
                    _ => Err(Finding::Unsure {
                        relay: self.circuit.part_name(self.ends.middle.coils[at].part),
                        least_v,
                        most_v,
                        does: if *pulled {
                            to_say!("lets go")
                        } else {
                            to_say!("pulls in")
                        },
                        from_v,
                        to_v,
                    }),
                }
            })
            .collect()
    }

    /// The middle lies within; where rounding puts it outside by a hair, it is an end.
    fn with_middle(&mut self, mut state: State, met: Met) -> Result<Vec<Spanned>, Finding> {
        self.circuit.layout = self.ends.middle.clone();
        let found = self.circuit.settle_diodes(&mut state)?;
        let read = |probe: &Probe| probe.read(&self.circuit.layout, &state, &found);
        let pairs = self.probes.iter().zip(met.probes);
        Ok(pairs
            .map(|(probe, mut ends)| {
                let middle = read(probe);
                widen(&mut ends, middle);
                let (low, high) = ends;
                Spanned { middle, low, high }
            })
            .collect())
    }
}
