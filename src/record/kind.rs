//! Which kinds of entry there are.

use crate::player::fact::Body;
use std::fmt;

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident = $name:literal),* $(,)?) => {
        /// The kind of an entry, named in the record after the fact.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Kind { $($(#[$doc])* $kind),* }

        impl Kind {
            /// Every kind, in the order of the format's description.
            pub const ALL: &'static [Kind] = &[$(Kind::$kind),*];

            /// The name in the record.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Kind::$kind => $name),* }
            }

            /// The kind of this name.
            #[must_use]
            pub fn find(name: &str) -> Option<Kind> {
                match name { $($name => Some(Kind::$kind),)* _ => None }
            }
        }
    };
}

kinds! {
    /// The job was opened.
    Opening = "opening",
    /// The job card was accepted.
    Card = "card",
    /// The steps, holds and bands that apply.
    Plan = "plan",
    /// What stands before a procedure was affirmed.
    Begin = "begin",
    /// A step's own hazards were acknowledged.
    Acknowledgement = "acknowledgement",
    /// A reading was taken and judged.
    Reading = "reading",
    /// A figure was worked out and judged.
    WorkOut = "work-out",
    /// A step was marked as done.
    Done = "done",
    /// A deviation was opened.
    Deviation = "deviation",
    /// The person measures again.
    MeasureAgain = "measure-again",
    /// Work is done again.
    Rework = "rework",
    /// A supervisor accepts a deviation.
    Concession = "concession",
    /// A deviation ended by itself.
    Resolution = "resolution",
    /// A witness point was attended, or not.
    Witness = "witness",
    /// A hold point was released.
    Release = "release",
    /// A hold point was refused.
    SendBack = "send-back",
    /// What closes a procedure was affirmed.
    CloseOut = "close-out",
    /// A practice question was answered.
    Answer = "answer",
    /// A remark.
    Note = "note",
    /// A photograph was added.
    Photograph = "photograph",
    /// From here on the job is played in another language.
    Language = "language",
    /// The program started again on an open job.
    Resume = "resume",
    /// The person who did the work signs the job.
    SignOff = "sign-off",
    /// The supervisor releases the job.
    JobRelease = "job-release",
    /// The tablet closes the record.
    Closing = "closing",
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl From<&Body> for Kind {
    fn from(body: &Body) -> Self {
        match body {
            Body::Opening(_) => Self::Opening,
            Body::Card(_) => Self::Card,
            Body::Plan(_) => Self::Plan,
            Body::Begin { .. } => Self::Begin,
            Body::Acknowledged { .. } => Self::Acknowledgement,
            Body::Read(_) => Self::Reading,
            Body::WorkedOut(_) => Self::WorkOut,
            Body::Done { .. } => Self::Done,
            Body::Deviation { .. } => Self::Deviation,
            Body::MeasureAgain { .. } => Self::MeasureAgain,
            Body::Rework { .. } => Self::Rework,
            Body::Concession { .. } => Self::Concession,
            Body::Resolved { .. } => Self::Resolution,
            Body::Witness { .. } => Self::Witness,
            Body::Release { .. } => Self::Release,
            Body::SendBack { .. } => Self::SendBack,
            Body::CloseOut { .. } => Self::CloseOut,
            Body::Answered { .. } => Self::Answer,
            Body::Note { .. } => Self::Note,
            Body::Photograph { .. } => Self::Photograph,
            Body::Language { .. } => Self::Language,
            Body::Resume { .. } => Self::Resume,
            Body::SignOff { .. } => Self::SignOff,
            Body::JobRelease { .. } => Self::JobRelease,
            Body::Closing { .. } => Self::Closing,
        }
    }
}
