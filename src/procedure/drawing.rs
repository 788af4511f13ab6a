//! How an author seats the parts of a circuit in its diagram, and what a step's diagram shows of it.

use super::circuit::{Circuit, Part, PartKind};
use super::model::{Condition, Text};
use std::collections::{BTreeMap, BTreeSet};

/// A cell of the diagram's grid, from 1, and where the part's second end points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seat {
    pub column: u8,
    pub row: u8,
    /// Left out, the way that makes the shortest lines is taken.
    pub towards: Option<Towards>,
}

/// Where a part's second end points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Towards {
    Right,
    Down,
    Left,
    Up,
}

impl Towards {
    /// By its word.
    pub const ALL: [(&'static str, Self); 4] = [
        ("right", Self::Right),
        ("down", Self::Down),
        ("left", Self::Left),
        ("up", Self::Up),
    ];
}

/// What works a part or flows through it, as a small sign beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    Key,
    Lever,
    Button,
    Pedal,
    Speed,
    Pressure,
    Handle,
    Nitrous,
    Fuel,
    Purge,
    Car,
    Controller,
    Ohms,
    Bolt,
}

impl Sign {
    /// By its word.
    pub const ALL: [(&'static str, Self); 14] = [
        ("key", Self::Key),
        ("lever", Self::Lever),
        ("button", Self::Button),
        ("pedal", Self::Pedal),
        ("speed", Self::Speed),
        ("pressure", Self::Pressure),
        ("handle", Self::Handle),
        ("nitrous", Self::Nitrous),
        ("fuel", Self::Fuel),
        ("purge", Self::Purge),
        ("car", Self::Car),
        ("controller", Self::Controller),
        ("ohms", Self::Ohms),
        ("bolt", Self::Bolt),
    ];
}

/// What a part or a node is called, and its sign.
#[derive(Clone, Debug, Default)]
pub struct Look {
    pub label: Option<Text>,
    pub sign: Option<Sign>,
}

/// How a circuit is drawn.
#[derive(Clone, Debug, Default)]
pub struct Looks {
    pub parts: BTreeMap<String, Look>,
    pub nodes: BTreeMap<String, Look>,
    pub views: BTreeMap<String, View>,
}

/// A diagram's parts with their seats, and those of nodes that are places of their own. Wires need none: one is drawn where
/// it leads from something that is drawn to something that is drawn.
pub type View = BTreeMap<String, Seat>;

/// What a step's picture is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Picture {
    /// A file under `media/`.
    File(String),
    /// A circuit, drawn from its netlist.
    Circuit(Shown),
}

/// What a step's diagram shows of a circuit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shown {
    pub circuit: String,
    /// The view; without one the whole circuit is drawn.
    pub view: Option<String>,
    /// Switches that are closed; not said, all are at rest and nothing is told to be live.
    pub closed: Option<Vec<String>>,
    /// Parts that are taken out.
    pub out: Vec<String>,
    /// What the numbers stand for, from 1.
    pub points: Vec<Pointed>,
}

/// What a number of a diagram points at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Pointed {
    /// A part, which is shown as the one that is worked on.
    Part(String),
    /// A probe at a node.
    Red(String),
    Black(String),
    /// The jaws of a clamp meter round a wire.
    Clamp(String),
}

impl Pointed {
    /// The key that it is written with.
    #[must_use]
    pub fn key(&self) -> &'static str {
        match self {
            Self::Part(_) => "highlight",
            Self::Red(_) => "red",
            Self::Black(_) => "black",
            Self::Clamp(_) => "clamp",
        }
    }

    /// The part or the node.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Part(name) | Self::Red(name) | Self::Black(name) | Self::Clamp(name) => name,
        }
    }

    /// Whether it is a probe at a node.
    #[must_use]
    pub fn at_node(&self) -> bool {
        matches!(self, Self::Red(_) | Self::Black(_))
    }
}

impl Shown {
    /// The seats of the view, if one is named.
    #[must_use]
    pub fn seats<'a>(&self, circuit: &'a Circuit) -> Option<&'a View> {
        circuit.looks.views.get(self.view.as_ref()?)
    }

    /// The parts that are drawn of those that apply.
    #[must_use]
    pub fn parts<'a>(&self, circuit: &'a Circuit, holds: &dyn Fn(&Condition) -> bool) -> Vec<&'a Part> {
        let applying: Vec<&Part> = circuit.parts.iter().filter(|part| holds(&part.when)).collect();
        let Some(seats) = self.seats(circuit) else {
            return applying;
        };
        let is_wire = |part: &Part| part.kind == PartKind::Wire;
        let bodies = || applying.iter().filter(|part| !is_wire(part));
        let nodes = |part: &&'a Part| part.joins.iter().map(|(_, node)| node.as_str());
        let left_out = bodies()
            .filter(|part| !seats.contains_key(&part.name))
            .flat_map(nodes);
        let mut away: BTreeSet<&str> = left_out.collect();
        for node in bodies()
            .filter(|part| seats.contains_key(&part.name))
            .flat_map(nodes)
        {
            away.remove(node);
        }
        // A node with a seat is there although its part is not, and a wire may end on it.
        let is_node = |name: &&str| circuit.part(name).is_none();
        let kept: Vec<&str> = seats
            .keys()
            .map(String::as_str)
            .filter(is_node)
            .filter(|node| away.remove(node))
            .collect();
        let drawn = |part: &&Part| {
            let joined = || part.joins.iter().all(|(_, node)| !away.contains(node.as_str()));
            if is_wire(part) {
                joined()
            } else {
                seats.contains_key(&part.name)
            }
        };
        let mut parts: Vec<&Part> = applying.into_iter().filter(drawn).collect();
        while let Some(index) = dangling(&parts, &kept) {
            parts.remove(index);
        }
        parts
    }

    /// What the numbers point at on this car, each with its place in [`Self::points`].
    pub fn points_on<'a>(
        &'a self,
        circuit: &'a Circuit,
        holds: &dyn Fn(&Condition) -> bool,
    ) -> impl Iterator<Item = (usize, &'a Pointed)> {
        let drawn = self.parts(circuit, holds);
        let there = move |pointed: &Pointed| {
            let name = pointed.name();
            let joins = |part: &&Part| part.joins.iter().any(|(_, node)| node == name);
            if pointed.at_node() {
                drawn.iter().any(joins)
            } else {
                drawn.iter().any(|part| part.name == name)
            }
        };
        self.points
            .iter()
            .enumerate()
            .filter(move |(_, pointed)| there(pointed))
    }
}

/// A wire with an end where nothing else that is drawn is joined.
fn dangling(parts: &[&Part], kept: &[&str]) -> Option<usize> {
    let joined = |node: &str, but: usize| {
        let others = parts.iter().enumerate().filter(|(index, _)| *index != but);
        others
            .into_iter()
            .any(|(_, part)| part.joins.iter().any(|(_, at)| at == node))
    };
    let loose = |index: &usize| {
        let part = parts[*index];
        part.kind == PartKind::Wire
            && part
                .joins
                .iter()
                .any(|(_, node)| !kept.contains(&node.as_str()) && !joined(node, *index))
    };
    (0..parts.len()).find(loose)
}

/// As it stands in the record: the file, or the circuit with all that was shown of it, so that the same drawing
/// can be made again from the content that the record pins.
impl std::fmt::Display for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let shown = match self {
            Self::File(path) => return f.write_str(path),
            Self::Circuit(shown) => shown,
        };
        write!(f, "diagram:{}", shown.circuit)?;
        let mut between = '#';
        let mut part = |f: &mut std::fmt::Formatter<'_>, key: &str, names: &str| {
            write!(f, "{between}{key}={names}")?;
            between = ';';
            Ok(())
        };
        if let Some(view) = &shown.view {
            part(f, "view", view)?;
        }
        if let Some(closed) = &shown.closed {
            part(f, "closed", &closed.join(","))?;
        }
        if !shown.out.is_empty() {
            part(f, "out", &shown.out.join(","))?;
        }
        shown
            .points
            .iter()
            .try_for_each(|pointed| part(f, pointed.key(), pointed.name()))
    }
}
