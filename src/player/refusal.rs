//! Why something is not allowed now; each sentence says what to do next.

use crate::procedure::{ProcedureId, StepRef};
use crate::words::Language;
use thiserror::Error;

/// A request that the player does not carry out. Nothing changed.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Refusal {
    #[error("This job is already open. Go on with the step on the screen.")]
    AlreadyOpen,
    #[error("This job is closed. Open a new job for further work.")]
    Closed,
    #[error("No job is open. Open one first.")]
    NotOpen,
    #[error("{who} may not do this: {needs}. Call someone who may.")]
    NotYours { who: String, needs: &'static str },
    #[error(
        "The person who did the work cannot also {what} it. {who} did entry {entry}; ask another supervisor."
    )]
    SamePerson {
        who: String,
        what: &'static str,
        entry: u64,
    },
    #[error("The job card is not complete: {0}")]
    CardIncomplete(String),
    #[error("{label}: {why}")]
    CardAnswer { label: String, why: String },
    #[error("The job card does not hold together: {0}")]
    CardFails(String),
    #[error("The figure “{label}” cannot be worked out: {why}")]
    Figure { label: String, why: String },
    #[error("That is not what comes now. Now: {now}.")]
    OutOfOrder { now: String },
    #[error("Acknowledge the hazards of step {0} first.")]
    Hazards(StepRef),
    #[error("Affirm what stands before “{0}” first.")]
    NotBegun(ProcedureId),
    #[error("Step {step} still wants {reading}. Enter it first.")]
    ReadingMissing { step: StepRef, reading: String },
    #[error(
        "{reading} was already entered. To change it, open the deviation or report the step as not done as written."
    )]
    ReadingThere { reading: String },
    #[error("{label}: {why}")]
    Reading { label: String, why: String },
    #[error(
        "{label}: {shown} lies outside what can be ({from} to {to}). Check the unit and the decimal mark, then enter it again."
    )]
    Implausible {
        label: String,
        shown: String,
        from: String,
        to: String,
    },
    #[error("{label} is read with an instrument. Choose {wanted} from the register.")]
    InstrumentNeeded { label: String, wanted: String },
    #[error("{instrument}: {why}")]
    Instrument { instrument: String, why: String },
    #[error("Deviation {0} is open. Measure again, rework, or ask a supervisor for a concession.")]
    DeviationOpen(u64),
    #[error("There is no open deviation {0}.")]
    NoDeviation(u64),
    #[error("No supervisor may accept this: {0}")]
    NoConcession(String),
    #[error("Write the reason in at least three letters.")]
    ReasonMissing,
    #[error("Hold point at step {step} is not released. A supervisor must release it before {act}.")]
    Guarded { step: StepRef, act: String },
    #[error("Still to be restored: {0}.")]
    NotRestored(String),
    #[error("There is no step {0} in this job.")]
    NoStep(StepRef),
    #[error("The job is in the language `{0}` already. Go on with it.")]
    LanguageThere(Language),
    #[error("This job does not know the language `{language}`. Choose one of: {known}.")]
    NoLanguage { language: Language, known: String },
    #[error("Questions are asked in practice runs only.")]
    NotPractice,
    #[error("The record does not follow the procedure at entry {n}: {why}")]
    Replay { n: u64, why: String },
}
