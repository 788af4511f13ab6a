//! What was decided: the one truth of a job, in order. Each fact becomes one entry of the record.

use crate::calc::Value;
use crate::procedure::{GuardBand, HazardId, ProcedureId, SignalWord, StepRef};
use crate::quantity::Quantity;
use crate::words::Language;
use chrono::{DateTime, FixedOffset, NaiveDate};

/// A fact with its number, its time and its author.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// Counted from 0 without a gap; equal to the entry's number.
    pub n: u64,
    pub at: DateTime<FixedOffset>,
    /// The signer's id: a person, or the tablet for what it does itself.
    pub by: String,
    pub body: Body,
}

/// The kinds of fact.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// The job was opened; pins the content and the roster.
    Opening(Opening),
    /// The job card was accepted, for the first time or anew.
    Card(Card),
    /// The steps, holds and bands that apply; follows every accepted card.
    Plan(Vec<PlannedProcedure>),
    /// What stands before a procedure was affirmed and its hazards acknowledged.
    Begin {
        procedure: ProcedureId,
        title: String,
        conditions: Vec<String>,
        people: Vec<String>,
        tools: Vec<String>,
        hazards: Vec<HazardShown>,
    },
    /// The hazards of a step were acknowledged before its command was shown.
    Acknowledged {
        step: StepRef,
        hazards: Vec<HazardShown>,
    },
    /// A reading was taken and judged.
    Read(ReadingTaken),
    /// A figure was worked out and judged.
    WorkedOut(WorkedOut),
    /// A step was marked as done.
    Done { step: StepRef, wording: Wording },
    /// A deviation was opened; its number is this fact's number.
    Deviation {
        step: StepRef,
        concerns: Option<u64>,
        what: String,
    },
    /// The person measures again; the first value stays.
    MeasureAgain { deviation: u64, reason: String },
    /// The work is done again; these steps are open again.
    Rework {
        deviation: u64,
        what: String,
        reopens: Vec<StepRef>,
    },
    /// A supervisor accepts the deviation.
    Concession { deviation: u64, reason: String },
    /// A deviation ended because what it concerned now lies in its band.
    Resolved { deviation: u64, by_entry: u64 },
    /// The supervisor was called to a witness point, and came or did not.
    Witness {
        step: StepRef,
        says: String,
        attended: bool,
    },
    /// A hold point was released; lists the entries that the release covers.
    Release {
        step: StepRef,
        says: String,
        covers: Vec<u64>,
    },
    /// A hold point was refused; these steps are open again.
    SendBack {
        step: StepRef,
        reason: String,
        reopens: Vec<StepRef>,
    },
    /// What closes a procedure was affirmed.
    CloseOut {
        procedure: ProcedureId,
        lines: Vec<String>,
    },
    /// A question of a practice run was answered.
    Answered {
        step: StepRef,
        ask: String,
        chosen: String,
        right: bool,
    },
    /// A remark in free words.
    Note { step: Option<StepRef>, text: String },
    /// A photograph that somebody added, by the name of its file: to a step, to a deviation of it, or to the job.
    Photograph {
        step: Option<StepRef>,
        deviation: Option<u64>,
        photo: String,
    },
    /// From here on the job is played in this language.
    Language { language: Language },
    /// The program started again on an open job.
    Resume { torn: Option<String> },
    /// The person who did the work signs the whole job off.
    SignOff { statement: String, covers: Vec<u64> },
    /// The supervisor releases the whole job.
    JobRelease { statement: String, covers: Vec<u64> },
    /// The tablet closes the record.
    Closing { entries: u64 },
}

/// What entry 0 pins.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// The job's number in the shop, e.g. `2026-0001`.
    pub number: String,
    /// The authored job's slug, title and revision.
    pub job: String,
    pub title: String,
    pub revision: u32,
    pub practice: bool,
    pub language: String,
    pub program: String,
    pub shop: String,
    /// The hash of the roster's last line at the time, and how many lines it had.
    pub roster_head: String,
    pub roster_lines: u64,
    /// Every authored file: path and SHA-256.
    pub content: Vec<(String, String)>,
    pub caution: String,
    /// Which approval the content has; none in a practice run, and in records older than approvals.
    pub approval: Option<ApprovalPinned>,
    /// The rule by which readings are judged, agreed before the first one. Nothing in records from before
    /// there was a choice: simple acceptance.
    pub decision: Option<DecisionRule>,
}

/// The shop's approval under which a job was opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ApprovalPinned {
    /// The number of its line, and that line's hash.
    pub n: u64,
    pub line: String,
    /// The hash of the list that it approves.
    pub content: String,
    /// The hash of the last line of approvals at the time, and how many lines there were.
    pub head: String,
    pub lines: u64,
}

/// How a measured value is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DecisionRule {
    /// In only where it lies in its band by at least the instrument's expanded uncertainty, with k = 2.
    GuardedAcceptance,
}

/// The accepted job card.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    pub answers: Vec<CardAnswer>,
    pub figures: Vec<WorkedOut>,
    pub checks: Vec<CheckDone>,
    /// Steps that this change of the card opens again.
    pub reopens: Vec<StepRef>,
}

/// One answer of the job card.
#[derive(Clone, Debug, PartialEq)]
pub struct CardAnswer {
    pub group: String,
    pub field: String,
    pub label: String,
    pub answer: Answer,
}

/// A public answer, or the commitment to a personal one.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    Open {
        typed: String,
        value: Value,
        shown: String,
    },
    /// SHA-256 of a salt and the text; both stand outside the record.
    Committed { commitment: String },
}

/// A check of the card and how it came out.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckDone {
    pub id: String,
    pub says: String,
    pub value: Value,
    pub limits: LimitsShown,
    pub verdict: Verdict,
    pub advice: bool,
}

/// A band as it stood when it judged.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitsShown {
    pub low: Option<Quantity>,
    pub high: Option<Quantity>,
    pub one_of: Option<Vec<String>>,
    /// Where the limits came from, in words.
    pub origin: String,
    pub because: Option<String>,
    pub no_concession: Option<String>,
}

/// How a value lies to its band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    In,
    /// In its band, but nearer to a limit than its instrument can tell.
    Undecided,
    Below,
    Above,
    NotAmong,
    /// The author gave a reason why no band judges it.
    Unjudged,
}

impl Verdict {
    /// Whether a deviation follows.
    #[must_use]
    pub fn fails(self) -> bool {
        matches!(self, Self::Undecided | Self::Below | Self::Above | Self::NotAmong)
    }
}

/// One procedure of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedProcedure {
    pub procedure: ProcedureId,
    pub title: String,
    pub revision: u32,
    pub steps: Vec<PlannedStep>,
}

/// One step of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedStep {
    pub step: StepRef,
    pub command: String,
    /// Readings and work-outs: name and label.
    pub readings: Vec<(String, String)>,
    pub hold: bool,
    pub witness: bool,
}

/// A hazard as it was shown.
#[derive(Clone, Debug, PartialEq)]
pub struct HazardShown {
    pub id: HazardId,
    pub word: SignalWord,
    pub sign: String,
    pub what: String,
    pub happens: String,
    pub avoid: Vec<String>,
}

/// A reading as it was typed, understood and judged.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingTaken {
    pub step: StepRef,
    pub name: String,
    pub label: String,
    pub typed: String,
    pub value: Value,
    pub shown: String,
    pub instrument: Option<InstrumentUsed>,
    /// What the instrument itself said; nothing where a person typed what they read.
    pub live: Option<Box<Live>>,
    pub limits: Option<LimitsShown>,
    /// The guard band inside these limits, where the instrument's uncertainty guards them.
    pub guard_band: Option<GuardBand>,
    pub unjudged: Option<String>,
    pub verdict: Verdict,
    /// It lies outside what the author holds possible; the person was asked, and says that it is so.
    pub confirmed: bool,
}

/// What an instrument said for a reading, as it came: each of at most [`Live::LONGEST`] characters of printable ASCII.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Live {
    /// Its reply to `*IDN?`: maker, model, serial number, firmware.
    pub identity: String,
    /// The question, as the register has it.
    pub asked: String,
    /// The reply, a bare number in the unit of the question.
    pub reply: String,
}

impl Live {
    /// The longest text of an instrument, in characters.
    pub const LONGEST: usize = 256;

    /// Whether a text is what an instrument may have said: printable ASCII, not empty, and not too long.
    #[must_use]
    pub fn may_say(text: &str) -> bool {
        (1..=Self::LONGEST).contains(&text.len()) && text.bytes().all(|byte| (b' '..=b'~').contains(&byte))
    }
}

/// The instrument of a reading, with the calibration that it had.
#[derive(Clone, Debug, PartialEq)]
pub struct InstrumentUsed {
    pub id: String,
    pub name: String,
    pub serial: String,
    pub calibrated: NaiveDate,
    pub due: NaiveDate,
    /// Its expanded uncertainty at this reading, with k = 2, and what the register says of it. Nothing in a
    /// record of simple acceptance.
    pub uncertainty: Option<Quantity>,
    pub stated: Option<String>,
    /// SHA-256 of its calibration certificate's photograph; nothing where the register names none.
    pub certificate: Option<String>,
}

/// A calculator's run.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkedOut {
    /// Nowhere for a figure of the job card.
    pub step: Option<StepRef>,
    pub name: String,
    pub label: String,
    pub calculator: String,
    pub revision: u32,
    pub inputs: Vec<(String, Value)>,
    pub outputs: Vec<(String, Value)>,
    pub notes: Vec<String>,
    /// The judged output with its band.
    pub judged: Option<(String, LimitsShown, Verdict)>,
}

impl WorkedOut {
    /// Whether its judged output fails, so that a deviation follows.
    #[must_use]
    pub fn fails(&self) -> bool {
        let judged = self.judged.as_ref();
        judged.is_some_and(|(_, _, verdict)| verdict.fails())
    }
}

/// The wording that stood on the screen.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wording {
    pub command: String,
    pub why: String,
    pub right: String,
    pub wrong: String,
    pub hazards: Vec<String>,
    pub tools: Vec<String>,
    pub picture: Option<String>,
    /// What the numbers in the picture stood for.
    pub callouts: Vec<String>,
}
