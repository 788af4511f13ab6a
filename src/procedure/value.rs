//! The parts of the model that stand for values: bands, operands, references, texts and conditions.

use super::model::ProcedureId;
use crate::calc::Value;
use crate::diagnostic::Place;
use crate::quantity::Quantity;

/// What a value must lie in. Every part given must hold.
#[derive(Clone, Debug, Default)]
pub struct Band {
    pub at_least: Vec<Operand>,
    pub at_most: Vec<Operand>,
    pub around: Option<(Operand, Tolerance)>,
    pub equals: Option<Operand>,
    pub one_of: Vec<String>,
    pub because: Option<Text>,
    pub no_concession: Option<String>,
    pub place: Place,
}

/// How far from the middle of an `around` band a value may lie.
#[derive(Clone, Debug)]
pub enum Tolerance {
    Absolute(Quantity),
    /// A share of the middle, 0.1 for `10 %`.
    Share(f64),
}

/// A value known when the step is played.
#[derive(Clone, Debug, PartialEq)]
pub enum Operand {
    Fixed(Value),
    Refer(Reference),
    Shifted { of: Reference, by: Shift },
}

/// The one change that an operand may make to what it refers to.
#[derive(Clone, Debug, PartialEq)]
pub enum Shift {
    Plus(Quantity),
    Minus(Quantity),
    Times(f64),
}

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reference {
    Card {
        group: String,
        field: String,
    },
    /// The procedure is always spelled out here, also for a local reading.
    Read {
        procedure: ProcedureId,
        name: String,
    },
    Work {
        procedure: ProcedureId,
        name: String,
        output: String,
    },
    Figure {
        name: String,
        output: String,
    },
}

impl std::fmt::Display for Reference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Card { group, field } => write!(f, "card.{group}.{field}"),
            Self::Read { procedure, name } => write!(f, "read.{procedure}.{name}"),
            Self::Work {
                procedure,
                name,
                output,
            } => write!(f, "work.{procedure}.{name}.{output}"),
            Self::Figure { name, output } => write!(f, "figure.{name}.{output}"),
        }
    }
}

/// Authored text with the references that stand in its braces.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Text(pub Vec<Piece>);

/// A run of plain text or a value to show.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    Plain(String),
    Show(Reference),
}

/// When a part applies, from card answers alone.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Condition {
    #[default]
    Always,
    /// The answer at `group.field` is one of these (`yes`/`no` for a yes/no field).
    Answer {
        group: String,
        field: String,
        one_of: Vec<String>,
    },
    All(Vec<Condition>),
    Any(Vec<Condition>),
    Not(Box<Condition>),
}
