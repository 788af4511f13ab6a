//! What a person, or the tablet itself, asks of the player.

use super::fact::{Live, Opening};
use crate::procedure::{ProcedureId, StepRef};
use crate::words::Language;
use chrono::{DateTime, FixedOffset};

/// Who acts, and when: clock and people arrive as arguments.
#[derive(Clone, Debug)]
pub struct Actor {
    pub id: String,
    /// May release hold points, grant concessions and release the job.
    pub supervisor: bool,
    /// May work on steps.
    pub worker: bool,
    /// Is the tablet itself.
    pub tablet: bool,
    pub at: DateTime<FixedOffset>,
}

/// One request. Each is answered by facts, or by a refusal and nothing else.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// By the tablet: the job begins.
    Open(Opening),
    /// The whole job card, as typed; personal answers come as commitments.
    Card(Vec<(String, String, Typed)>),
    /// What stands before the procedure is affirmed, its hazards acknowledged.
    Begin {
        procedure: ProcedureId,
    },
    /// The step's own hazards are acknowledged.
    Acknowledge {
        step: StepRef,
    },
    /// A reading, as typed; or as the instrument itself gave it, with what it said.
    Read {
        step: StepRef,
        name: String,
        typed: String,
        instrument: Option<String>,
        live: Option<Box<Live>>,
    },
    /// The person was asked whether such a reading can be, and says that it is so.
    Sure(Box<Event>),
    /// The stripe across the step.
    Done {
        step: StepRef,
    },
    /// The step cannot be done as it is written.
    NotAsWritten {
        step: StepRef,
        what: String,
    },
    MeasureAgain {
        deviation: u64,
        reason: String,
    },
    Rework {
        deviation: u64,
        what: String,
    },
    /// By a supervisor.
    Concede {
        deviation: u64,
        reason: String,
    },
    /// By the supervisor who came, or by the worker when nobody could.
    Witness {
        step: StepRef,
        attended: bool,
    },
    /// By a supervisor.
    Release {
        step: StepRef,
    },
    /// By a supervisor: these steps are to be done again.
    SendBack {
        step: StepRef,
        reason: String,
        reopen: Vec<StepRef>,
    },
    CloseOut {
        procedure: ProcedureId,
    },
    /// Practice only: the answer at this place of the list, counted from 0.
    Answer {
        step: StepRef,
        choice: usize,
    },
    Note {
        step: Option<StepRef>,
        text: String,
    },
    /// A photograph that the job keeps, by the name of its file.
    Photograph {
        step: Option<StepRef>,
        deviation: Option<u64>,
        photo: String,
    },
    /// By a person or the tablet: from here on in this language.
    Language(Language),
    /// By the tablet, at start-up.
    Resume {
        torn: Option<String>,
    },
    SignOff,
    /// By a supervisor who did none of the work.
    ReleaseJob,
    /// By the tablet.
    Close,
}

/// An answer of the job card as it arrives.
#[derive(Clone, Debug, PartialEq)]
pub enum Typed {
    Open(String),
    Committed(String),
}
