//! Read but not yet checked content: the model's types, and beside them a mark for every word that a
//! check speaks about, with its place.

use super::circuit::PartKind;
use super::layout::{Layout, Setup};
use super::model::{
    Band, Call, Circuit, Condition, Job, Method, Operand, Picture, Procedure, ProcedureId, Reference, Shared,
    Shown, StepRef,
};
use crate::content::Spot;
use crate::quantity::{Dimension, Quantity};
use crate::table::Tables;
use crate::words::{Catalogue, Language};
use std::collections::{BTreeMap, BTreeSet};

/// Everything that was read.
#[derive(Debug, Default)]
pub struct Draft {
    pub jobs: Vec<JobDraft>,
    pub procedures: BTreeMap<String, ProcedureDraft>,
    pub shared: Shared,
    /// Marks of the shared files, each with its path.
    pub shared_marks: Vec<(String, Marked)>,
    pub tables: Tables,
    pub circuits: BTreeMap<String, CircuitDraft>,
    /// Circuits whose file is there but could not be read; nothing is said about what would be in them.
    pub unreadable_circuits: BTreeSet<String>,
    pub layouts: BTreeMap<String, LayoutDraft>,
    /// Layouts whose file is there but could not be read; nothing is said about what would be in them.
    pub unreadable_layouts: BTreeSet<String>,
    /// Procedures whose file is there but could not be read; nothing is said about references into them.
    pub unreadable: BTreeSet<String>,
    /// Whether a job's file is there but could not be read, so that nothing is said about what it plays.
    pub unreadable_job: bool,
    /// Shared files that could not be read; nothing is said about the ids they would hold.
    pub unread_shared: BTreeSet<&'static str>,
    /// Entries of shared files that could not be read, each with its file.
    pub unread_ids: BTreeSet<(&'static str, String)>,
    pub catalogues: Vec<CatalogueDraft>,
    /// What people see of each file, where anything is translated at all.
    pub seen: Option<BTreeMap<String, Vec<(Spot, String)>>>,
}

/// The words of one file in another language.
#[derive(Debug)]
pub struct CatalogueDraft {
    pub path: String,
    /// The path of the file whose words they are.
    pub of: String,
    pub language: Language,
    pub catalogue: Catalogue,
}

/// A procedure with its marks, in the order of the file.
#[derive(Debug)]
pub struct ProcedureDraft {
    pub path: String,
    pub model: Procedure,
    pub marks: Vec<Marked>,
}

/// A job without its procedures, and the order in which it wants them.
#[derive(Debug)]
pub struct JobDraft {
    pub path: String,
    pub model: Job,
    pub order: Vec<(ProcedureId, Condition)>,
    pub marks: Vec<Marked>,
}

/// A circuit with its marks.
#[derive(Debug)]
pub struct CircuitDraft {
    pub path: String,
    pub model: Circuit,
    pub marks: Vec<Marked>,
}

/// A layout with its marks.
#[derive(Debug)]
pub struct LayoutDraft {
    pub path: String,
    pub model: Layout,
    pub marks: Vec<Marked>,
}

impl CircuitDraft {
    /// The condition of the given or of the part that a mark belongs to.
    pub fn when(&self, site: Site) -> &Condition {
        let own = match site {
            Site::Given(at) => self.model.given.get(at).map(|given| &given.when),
            Site::Part(at) => self.model.parts.get(at).map(|part| &part.when),
            _ => None,
        };
        own.unwrap_or(&Condition::Always)
    }
}

impl LayoutDraft {
    /// The condition of the part that a mark belongs to.
    pub fn when(&self, site: Site) -> &Condition {
        let own = match site {
            Site::Part(at) => self.model.parts.get(at).map(|part| &part.when),
            _ => None,
        };
        own.unwrap_or(&Condition::Always)
    }
}

/// A mark, where it stands, and the part of the file it belongs to.
#[derive(Debug)]
pub struct Marked {
    pub at: Spot,
    pub site: Site,
    pub mark: Mark,
}

/// The part of a file that a mark belongs to; it sets under which condition and after what the mark is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Site {
    /// The head of a file or a shared file.
    Head,
    /// A card field, counted through all groups.
    Field(usize),
    Figure(usize),
    Check(usize),
    Guard(usize),
    /// A line of the job's list of procedures.
    Order(usize),
    Before,
    Step(usize),
    CloseOut,
    /// A given of a circuit.
    Given(usize),
    /// A part of a circuit or of a layout.
    Part(usize),
}

/// What stands at a place, as far as a check needs to know.
#[derive(Debug)]
pub enum Mark {
    /// The file's own slug.
    Slug(String),
    /// A name that must be unique among its kind.
    Named {
        kind: &'static str,
        name: String,
    },
    /// A reading or a work-out, whatever became of the rest of it.
    Makes {
        name: String,
        kind: Makes,
    },
    /// A card field, `group.field`, whose kind could not be read.
    Unread(String),
    /// A use of a value.
    Refers(Reference),
    /// A use of a card answer in a condition; inside `not` nothing says that the field applies.
    Answers {
        group: String,
        field: String,
        one_of: Vec<String>,
        under_not: bool,
    },
    /// A number that must fit what it is given to.
    Amount {
        operand: Operand,
        target: Target,
    },
    /// A tolerance that must fit the middle it stands beside.
    Tolerance {
        middle: Operand,
        within: super::model::Tolerance,
    },
    /// A word that must be one of those that the target may be.
    Word {
        word: String,
        target: Target,
    },
    /// A reference whose words must all be among those that the target may be.
    WordOf {
        of: Reference,
        target: Target,
    },
    /// A whole band, the range a reading may plausibly have, and where its limits stand.
    Band {
        band: Box<Band>,
        plausible: Option<(Quantity, Quantity)>,
        limits: Vec<(&'static str, Spot)>,
    },
    /// A number's plausible range, and the dimension of its reading.
    Plausible {
        from: Quantity,
        to: Quantity,
        unit: Dimension,
    },
    Hazard(String),
    Tool(String),
    /// An instrument, and what the reading measures.
    Instrument {
        kind: String,
        measured: Option<Dimension>,
    },
    Picture(String),
    /// A picture, and how many of its numbers have words.
    Callouts {
        picture: Picture,
        count: usize,
    },
    /// What is drawn of a circuit.
    Draws(Shown),
    /// What is drawn of a layout.
    Lays(Setup),
    /// A part of a layout; one that can be open or shut where it is opened.
    LayoutPart {
        layout: String,
        part: String,
        opens: bool,
    },
    /// A node that an end of a layout's part meets.
    Joins(String),
    /// A part or a node that has a seat in a view of its circuit or layout.
    Seat {
        view: String,
        part: String,
    },
    Command(String),
    /// A sentence or a title, as it was written.
    Says(String),
    /// The condition of the part that the mark belongs to.
    When(Condition),
    Act(String),
    Temporary(String),
    Restores(String),
    Reopens(StepRef),
    Covers(StepRef),
    /// The act that a guard holds back.
    GuardedAct(String),
    /// The hold point of a guard.
    GuardAfter(StepRef),
    Plays(ProcedureId),
    Question {
        right: usize,
        answers: usize,
    },
    Revision(String),
    /// A figure of a part is this given of its circuit.
    UsesGiven(String),
    /// A question to a circuit.
    Calls(Call),
    /// A part of a circuit, of this kind where only one will do; `asked` where the answer rests on it.
    CircuitPart {
        circuit: String,
        part: String,
        only: Option<PartKind>,
        asked: bool,
    },
    /// A node of a circuit; `asked` where an answer rests on its voltage.
    CircuitNode {
        circuit: String,
        node: String,
        asked: bool,
    },
}

/// What a step makes.
#[derive(Debug)]
pub enum Makes {
    /// `None` where the reading's kind could not be read.
    Reading(Option<Type>),
    Work(Method),
}

/// What a value may be.
#[derive(Clone, Debug, PartialEq)]
pub enum Type {
    /// Not known, or known only when it is worked out.
    Any,
    Number(Dimension),
    /// One of these words.
    Among(Vec<String>),
    /// Any words.
    Words,
}

impl Type {
    /// A yes/no value.
    pub fn yes_no() -> Self {
        Self::Among(vec!["yes".to_owned(), "no".to_owned()])
    }
}

/// What an amount or a word is given to.
#[derive(Clone, Debug)]
pub enum Target {
    /// A value of this type.
    Typed(Type),
    Output {
        of: Method,
        output: String,
    },
    /// What this refers to.
    Value(Reference),
    /// An input of a calculator.
    Input {
        calc: String,
        input: String,
    },
}

impl Draft {
    /// Whether nothing can be said about this id of a shared file.
    pub fn is_unread(&self, file: &'static str, id: &str) -> bool {
        self.unread_shared.contains(file) || self.unread_ids.contains(&(file, id.to_owned()))
    }
}
