//! The checked form of authored content: what the player plays.
//!
//! Every value here has passed the checks, so ids resolve, units fit and references
//! point backwards. Places in the source stay with the parts that checks speak about.

pub use super::circuit::{Call, Circuit, Find};
pub use super::drawing::{Picture, Pointed, Shown};
pub use super::language::Languages;
pub use super::layout::{Layout, Setup};
pub use super::value::*;
use crate::diagnostic::Place;
use crate::quantity::{Quantity, Unit};
use std::collections::BTreeMap;

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub String);
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
        impl $name {
            /// The id as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }
        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }
    };
}

id!(/// A job's slug.
    JobId);
id!(/// A procedure's slug.
    ProcedureId);
id!(/// A step's id, unique in its procedure.
    StepId);
id!(/// A hazard's id in `hazards.yaml`.
    HazardId);
id!(/// A tool's id in `tools.yaml`.
    ToolId);
id!(/// A kind of instrument in `instruments.yaml`.
    InstrumentKind);

/// A step's full name: `procedure.step`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StepRef {
    pub procedure: ProcedureId,
    pub step: StepId,
}

impl std::fmt::Display for StepRef {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{}", self.procedure, self.step)
    }
}

/// One job with everything it refers to.
#[derive(Clone, Debug)]
pub struct Job {
    pub id: JobId,
    pub title: String,
    pub revision: u32,
    pub about: String,
    pub caution: String,
    pub card: Vec<Group>,
    pub figures: Vec<Figure>,
    pub checks: Vec<CardCheck>,
    pub guards: Vec<Guard>,
    /// The procedures in the order of work, each under its condition.
    pub procedures: Vec<(Procedure, Condition)>,
}

/// All shared content beside jobs and procedures.
#[derive(Clone, Debug, Default)]
pub struct Shared {
    pub hazards: BTreeMap<HazardId, Hazard>,
    pub tools: BTreeMap<ToolId, Tool>,
    pub instruments: BTreeMap<InstrumentKind, InstrumentSort>,
    pub terms: BTreeMap<String, String>,
    /// By their slugs.
    pub circuits: BTreeMap<String, Circuit>,
    /// By their slugs.
    pub layouts: BTreeMap<String, Layout>,
    /// The same content in other languages.
    pub languages: Languages,
}

/// A whole content folder, checked.
#[derive(Clone, Debug)]
pub struct Library {
    pub jobs: Vec<Job>,
    pub shared: Shared,
    pub tables: crate::table::Tables,
    /// Every file that was read, by its path inside the folder, for pinning.
    pub files: BTreeMap<String, Vec<u8>>,
}

/// A group of card fields.
#[derive(Clone, Debug)]
pub struct Group {
    pub id: String,
    pub title: String,
    pub ask: Vec<Field>,
}

/// One question of the job card, answered at `card.<group>.<id>`.
#[derive(Clone, Debug)]
pub struct Field {
    pub group: String,
    pub id: String,
    pub label: Text,
    pub help: Option<Text>,
    pub kind: FieldKind,
    pub when: Condition,
    /// Choices that the work forbids, with the reason (`yes`/`no` for a yes/no field).
    pub refuse: BTreeMap<String, String>,
    pub personal: bool,
    /// What the author's example car answers, as it is typed, and where it stands.
    pub example: Option<(String, Place)>,
    pub place: Place,
}

/// What an answer on the card may be.
#[derive(Clone, Debug)]
pub enum FieldKind {
    Text {
        most: usize,
    },
    Choice(Vec<(String, String)>),
    Quantity {
        unit: Unit,
        from: Quantity,
        to: Quantity,
    },
    YesNo,
}

/// A figure of the whole job, worked out from the card.
#[derive(Clone, Debug)]
pub struct Figure {
    pub name: String,
    pub label: Text,
    pub method: Method,
    pub when: Condition,
    pub place: Place,
}

/// How a figure is worked out.
#[derive(Clone, Debug)]
pub enum Method {
    Calculator {
        /// The calculator's id.
        calc: String,
        with: Vec<(String, Operand)>,
    },
    Circuit(Call),
}

/// A test of the card: the referenced value against a band.
#[derive(Clone, Debug)]
pub struct CardCheck {
    pub id: String,
    pub of: Reference,
    pub band: Band,
    pub says: Text,
    pub fits: Option<Text>,
    pub advice: bool,
    pub when: Condition,
    pub place: Place,
}

/// An act that only a released hold point allows.
#[derive(Clone, Debug)]
pub struct Guard {
    pub act: String,
    pub after: StepRef,
    pub because: String,
    pub place: Place,
}

/// A procedure, in its fixed order.
#[derive(Clone, Debug)]
pub struct Procedure {
    pub id: ProcedureId,
    pub title: String,
    pub revision: u32,
    pub before: Before,
    pub steps: Vec<Step>,
    pub close_out: Vec<Text>,
    pub place: Place,
}

/// What stands before the first step.
#[derive(Clone, Debug, Default)]
pub struct Before {
    pub conditions: Vec<Text>,
    pub people: Vec<Text>,
    pub tools: Vec<ToolId>,
    pub hazards: Vec<HazardId>,
}

/// One command with everything around it.
#[derive(Clone, Debug)]
pub struct Step {
    pub id: StepId,
    pub when: Condition,
    pub hazards: Vec<HazardId>,
    pub command: Text,
    pub why: Text,
    pub right: Text,
    pub wrong: Text,
    pub tools: Vec<ToolId>,
    pub picture: Option<Picture>,
    /// What the numbers in the picture stand for, from 1.
    pub callouts: Vec<Text>,
    pub read: Vec<Reading>,
    pub work_out: Vec<WorkOut>,
    pub acts: Vec<String>,
    pub temporary: Option<String>,
    pub restores: Option<String>,
    pub reopens: Vec<StepRef>,
    pub hold: Option<Point>,
    pub witness: Option<Point>,
    pub question: Option<Question>,
    pub place: Place,
}

/// A hold or witness point.
#[derive(Clone, Debug)]
pub struct Point {
    /// The role that releases or attends; always `supervisor` in this revision.
    pub by: String,
    /// The covered steps, `everything-so-far` already spelled out.
    pub covers: Vec<StepRef>,
    pub says: Text,
    pub place: Place,
}

/// A question of a practice run.
#[derive(Clone, Debug)]
pub struct Question {
    pub ask: String,
    pub answers: Vec<Answer>,
}

/// One offered answer and the reason why it is right or wrong.
#[derive(Clone, Debug)]
pub struct Answer {
    pub says: String,
    pub right: bool,
    pub because: String,
}

/// A reading that a step asks for.
#[derive(Clone, Debug)]
pub struct Reading {
    pub name: String,
    pub label: Text,
    pub kind: ReadingKind,
    pub with: Option<InstrumentKind>,
    /// The band, or the author's reason for having none.
    pub judged: Judged,
    pub place: Place,
}

/// What a reading may be.
#[derive(Clone, Debug)]
pub enum ReadingKind {
    Number {
        unit: Unit,
        from: Quantity,
        to: Quantity,
    },
    YesNo,
    Choice(Vec<(String, String)>),
    Text {
        most: usize,
    },
    /// A photograph that is kept with the record; its value is the name of its file.
    Photo,
}

/// Whether and how a reading is judged.
#[derive(Clone, Debug)]
#[expect(clippy::large_enum_variant, reason = "nearly every reading has a band")]
pub enum Judged {
    Band(Band),
    Unjudged(String),
}

/// A figure worked out at a step.
#[derive(Clone, Debug)]
pub struct WorkOut {
    pub name: String,
    pub label: Text,
    pub method: Method,
    pub band: Option<(String, Band)>,
    pub place: Place,
}

/// A hazard, worded by the signal-word standard.
#[derive(Clone, Debug)]
pub struct Hazard {
    pub word: SignalWord,
    pub sign: String,
    pub what: String,
    pub happens: String,
    pub avoid: Vec<String>,
    /// The tools without which nobody works beside it.
    pub needs: Vec<ToolId>,
}

/// The four signal words, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SignalWord {
    Danger,
    Warning,
    Caution,
    Notice,
}

/// A tool.
#[derive(Clone, Debug)]
pub struct Tool {
    pub name: String,
    /// Whether it is worn or read the whole time, so that no single step names it.
    pub throughout: bool,
}

/// A kind of instrument and the dimension that it measures.
#[derive(Clone, Debug)]
pub struct InstrumentSort {
    pub name: String,
    pub measures: crate::quantity::Dimension,
    /// The best that such an instrument has, if the author states it.
    pub finest: Option<Finest>,
}

/// The best that an instrument of a kind has.
#[derive(Clone, Debug)]
pub struct Finest {
    pub resolution: Quantity,
    pub uncertainty: Option<super::Uncertainty>,
}

/// One instrument of the shop's register (`instruments.yaml` in the shop's folder).
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    pub id: String,
    pub kind: InstrumentKind,
    pub name: String,
    pub serial: String,
    pub from: Quantity,
    pub to: Quantity,
    pub resolution: Quantity,
    /// What its calibration certificate states; nothing in a register that says nothing of it.
    pub uncertainty: Option<super::Uncertainty>,
    /// The file of its calibration certificate, in `certificates/` of the shop's folder.
    pub certificate: Option<String>,
    pub calibrated: chrono::NaiveDate,
    pub due: chrono::NaiveDate,
    /// How it is asked for its values; nothing for one that a person reads.
    pub meter: Option<super::MeterLine>,
}
