//! What is to be drawn: bodies with their pins, lines between nodes, and what is pointed at.

use crate::procedure::drawing::{Pointed, Seat, Sign};

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
    /// A switch that is closed, a relay that is pulled in, a valve that is open.
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
            _ => &["from", "to"],
        }
    }
}
