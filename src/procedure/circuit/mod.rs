//! Circuits of the content: a netlist whose figures come from this car, and what is asked of it.

mod build;
mod kind;
mod refused;
mod run;
mod told;
mod trial;

pub use build::{Figures, netlist};
pub(super) use kind::{COPPER, OF_WIRE};
pub use kind::{PartKind, Slot};
pub use refused::Refused;
pub use run::{Ends, METER_OHM, SOLVER, Sight, ends_of, run};
pub(super) use trial::{corner_figures, is_fixed, trial};

use super::drawing::Looks;
use super::model::{Condition, Operand, Tolerance};
use crate::diagnostic::Place;
use crate::quantity::{Dimension, Quantity};
use std::collections::BTreeMap;

/// The given that the voltmeter's input resistance is taken from, where a circuit has it.
pub const METER_INPUT: &str = "meter_input";

/// A circuit with its places in the source.
#[derive(Clone, Debug)]
pub struct Circuit {
    pub id: String,
    pub title: String,
    pub revision: u32,
    /// The node that voltages are measured against.
    pub ground: String,
    pub given: Vec<Given>,
    pub parts: Vec<Part>,
    /// How its parts and nodes stand in its diagram.
    pub looks: Looks,
    pub place: Place,
}

/// A figure that is not the same in all cars.
#[derive(Clone, Debug)]
pub struct Given {
    pub name: String,
    pub label: String,
    pub is: Operand,
    pub limits: Option<GivenLimits>,
    pub when: Condition,
    pub place: Place,
}

/// How far a given may be from what it is taken to be.
#[derive(Clone, Debug)]
pub enum GivenLimits {
    Within(Tolerance),
    Between(Quantity, Quantity),
}

/// A part between its nodes.
#[derive(Clone, Debug)]
pub struct Part {
    pub name: String,
    pub kind: PartKind,
    /// The nodes by the names of the part's ends, in the order of its kind; an insulated one is left out.
    pub joins: Vec<(&'static str, String)>,
    /// The figures by their names, in the order of its kind.
    pub figures: Vec<(&'static str, PartFigure)>,
    pub when: Condition,
    pub place: Place,
}

/// A part's figure: written beside it, or a given.
#[derive(Clone, Debug, PartialEq)]
pub enum PartFigure {
    Fixed(Quantity),
    Given(String),
}

/// A question to a circuit in one setting.
#[derive(Clone, Debug, PartialEq)]
pub struct Call {
    /// The circuit's slug.
    pub circuit: String,
    /// Switches that are closed; all others are open.
    pub closed: Vec<String>,
    /// Parts that are taken out.
    pub out: Vec<String>,
    /// Relays that were pulled in just before.
    pub held: Vec<String>,
    pub find: Vec<(String, Find)>,
    /// What answers are called, by their names, where their author says so.
    pub labels: BTreeMap<String, String>,
}

/// What is asked for.
#[derive(Clone, Debug, PartialEq)]
pub enum Find {
    Volts {
        red: String,
        black: Option<String>,
    },
    Amps(String),
    ContactAmps(String),
    /// What the circuit across this source, which stands for an ohmmeter, resists.
    Ohms(String),
    Pulled(String),
}

impl Find {
    /// What its answer measures; nothing for yes or no.
    #[must_use]
    pub fn dimension(&self) -> Option<Dimension> {
        match self {
            Self::Volts { .. } => Some(Dimension::Voltage),
            Self::Amps(_) | Self::ContactAmps(_) => Some(Dimension::Current),
            Self::Ohms(_) => Some(Dimension::Resistance),
            Self::Pulled(_) => None,
        }
    }

    /// The part that is asked, where it is no question of nodes.
    #[must_use]
    pub fn part(&self) -> Option<&str> {
        match self {
            Self::Volts { .. } => None,
            Self::Amps(part) | Self::ContactAmps(part) | Self::Ohms(part) | Self::Pulled(part) => Some(part),
        }
    }
}

impl Call {
    /// The outputs with what each measures; nothing for yes or no.
    #[must_use]
    pub fn outputs(&self) -> Vec<(String, Option<Dimension>)> {
        let of = |(name, find): &(String, Find)| match find.dimension() {
            None => vec![(name.clone(), None)],
            dimension => ["", "_low", "_high"]
                .map(|end| (format!("{name}{end}"), dimension))
                .to_vec(),
        };
        self.find.iter().flat_map(of).collect()
    }
}

impl Circuit {
    /// The given of this name.
    #[must_use]
    pub fn given(&self, name: &str) -> Option<&Given> {
        self.given.iter().find(|given| given.name == name)
    }

    /// The part of this name.
    #[must_use]
    pub fn part(&self, name: &str) -> Option<&Part> {
        self.parts.iter().find(|part| part.name == name)
    }

    /// Every node once, ground first, in the order of the parts.
    #[must_use]
    pub fn nodes(&self) -> Vec<&str> {
        let mut nodes = vec![self.ground.as_str()];
        for (_, node) in self.parts.iter().flat_map(|part| &part.joins) {
            if !nodes.contains(&node.as_str()) {
                nodes.push(node);
            }
        }
        nodes
    }

    /// The parts that a node joins.
    pub fn parts_at<'a>(&'a self, node: &'a str) -> impl Iterator<Item = &'a Part> {
        self.parts
            .iter()
            .filter(move |part| part.joins.iter().any(|(_, at)| at == node))
    }
}
