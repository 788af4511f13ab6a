//! How an author seats the parts of a circuit in its diagram, and what a step's diagram shows of it.

use super::circuit::{Circuit, Part};
pub use super::drawn::Member;
use super::drawn::drawn;
use super::layout::Setup;
use super::model::{Condition, Text};
use std::collections::BTreeMap;

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
    /// Nothing: the part sits inside a device that is drawn, and a wire stands for it.
    Inside,
}

impl Sign {
    /// By its word.
    pub const ALL: [(&'static str, Self); 15] = [
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
        ("inside", Self::Inside),
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
    /// A layout, drawn from its parts.
    Layout(Setup),
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
    /// A node itself, such as a relay's terminal.
    Node(String),
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
            Self::Node(_) => "at",
        }
    }

    /// The part or the node.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Part(name) | Self::Red(name) | Self::Black(name) | Self::Clamp(name) | Self::Node(name) => {
                name
            }
        }
    }

    /// Whether it stands at a node.
    #[must_use]
    pub fn at_node(&self) -> bool {
        matches!(self, Self::Red(_) | Self::Black(_) | Self::Node(_))
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
        let members: Vec<Member> = applying.iter().map(|part| part.member(circuit)).collect();
        let drawn = drawn(&members, self.seats(circuit), &|name| {
            circuit.part(name).is_some()
        });
        applying
            .into_iter()
            .filter(|part| drawn.contains(part.name.as_str()))
            .collect()
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

/// As it stands in the record: the file, or the circuit or the layout with all that was shown of it, so that the
/// same drawing can be made again from the content that the record pins.
impl std::fmt::Display for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (of, said) = match self {
            Self::File(path) => return f.write_str(path),
            Self::Circuit(shown) => (&shown.circuit, shown.said()),
            Self::Layout(setup) => (&setup.layout, setup.said()),
        };
        write!(f, "diagram:{of}")?;
        for (index, (key, names)) in said.iter().enumerate() {
            write!(f, "{}{key}={names}", if index == 0 { '#' } else { ';' })?;
        }
        Ok(())
    }
}

impl Shown {
    /// All that is shown of the circuit, by the keys of the step.
    fn said(&self) -> Vec<(&'static str, String)> {
        let mut said: Vec<(&str, String)> = Vec::new();
        said.extend(self.view.iter().map(|view| ("view", view.clone())));
        said.extend(self.closed.iter().map(|closed| ("closed", closed.join(","))));
        if !self.out.is_empty() {
            said.push(("out", self.out.join(",")));
        }
        let points = self.points.iter();
        said.extend(points.map(|pointed| (pointed.key(), pointed.name().to_owned())));
        said
    }
}
