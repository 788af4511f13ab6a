//! Why something is not allowed now; each sentence says what to do next.

use crate::procedure::{ProcedureId, StepRef};
use crate::say;
use crate::words::{Language, Words};

/// A request that the player does not carry out. Nothing changed.

#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    AlreadyOpen,
    Closed,
    NotOpen,
    NotYours {
        who: String,
        needs: &'static str,
    },
    SamePerson {
        who: String,
        what: &'static str,
        entry: u64,
    },
    CardIncomplete(String),
    CardAnswer {
        label: String,
        why: String,
    },
    CardFails(String),
    Figure {
        label: String,
        why: String,
    },
    OutOfOrder {
        now: String,
    },
    Hazards(StepRef),
    NotBegun(ProcedureId),
    ReadingMissing {
        step: StepRef,
        reading: String,
    },
    ReadingThere {
        reading: String,
    },
    Reading {
        label: String,
        why: String,
    },
    Implausible {
        label: String,
        shown: String,
        from: String,
        to: String,
    },
    InstrumentNeeded {
        label: String,
        wanted: String,
    },
    Instrument {
        instrument: String,
        why: String,
    },
    Reply {
        label: String,
        why: String,
    },
    DeviationOpen(u64),
    NoDeviation(u64),
    NoConcession(String),
    ReasonMissing,
    Guarded {
        step: StepRef,
        act: String,
    },
    NotRestored(String),
    NoStep(StepRef),
    LanguageThere(Language),
    NoLanguage {
        language: Language,
        known: String,
    },
    NotPractice,
    Replay {
        n: u64,
        why: String,
    },
}

impl Refusal {
    /// The sentence in a language. What it quotes was said in the language of the job already.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        self.plain(words)
            .map(str::to_owned)
            .or_else(|| self.of_people(words))
            .or_else(|| self.of_values(words))
            .unwrap_or_else(|| self.of_steps(words))
    }

    /// Sentences that are always the same.
    fn plain<'w>(&self, words: &'w Words) -> Option<&'w str> {
        Some(match self {
            Self::AlreadyOpen => words.say("This job is already open. Go on with the step on the screen."),
            Self::Closed => words.say("This job is closed. Open a new job for further work."),
            Self::NotOpen => words.say("No job is open. Open one first."),
            Self::ReasonMissing => words.say("Write the reason in at least three letters."),
            Self::NotPractice => words.say("Questions are asked in practice runs only."),
            _ => return None,
        })
    }

    /// Who may not do it.
    fn of_people(&self, words: &Words) -> Option<String> {
        Some(match self {
            Self::NotYours { who, needs } => say!(
                words,
                "{who} may not do this: {needs}. Call someone who may.",
                who = who,
                needs = words.say(needs)
            ),
            Self::SamePerson { who, what, entry } => match *what {
                "accept" => say!(
                    words,
                    "The person who did the work cannot also accept it. {who} did entry {entry}; ask another supervisor.",
                    who = who,
                    entry = entry
                ),
                "witness" => say!(
                    words,
                    "The person who did the work cannot also witness it. {who} did entry {entry}; ask another supervisor.",
                    who = who,
                    entry = entry
                ),
                _ => say!(
                    words,
                    "The person who did the work cannot also release it. {who} did entry {entry}; ask another supervisor.",
                    who = who,
                    entry = entry
                ),
            },
            Self::NoConcession(why) => say!(words, "No supervisor may accept this: {why}", why = why),
            Self::LanguageThere(language) => say!(
                words,
                "The job is in the language `{language}` already. Go on with it.",
                language = language
            ),
            Self::NoLanguage { language, known } => say!(
                words,
                "This job does not know the language `{language}`. Choose one of: {known}.",
                language = language,
                known = known
            ),
            _ => return None,
        })
    }

    /// Which value cannot be.
    fn of_values(&self, words: &Words) -> Option<String> {
        Some(match self {
            Self::CardIncomplete(missing) => say!(
                words,
                "The job card is not complete: {missing}",
                missing = missing
            ),
            Self::CardAnswer { label, why } | Self::Reading { label, why } | Self::Reply { label, why } => {
                format!("{label}: {why}")
            }
            Self::Instrument { instrument, why } => format!("{instrument}: {why}"),
            Self::CardFails(why) => say!(words, "The job card does not hold together: {why}", why = why),
            Self::Figure { label, why } => say!(
                words,
                "The figure “{label}” cannot be worked out: {why}",
                label = label,
                why = why
            ),
            Self::ReadingThere { reading } => say!(
                words,
                "{reading} was already entered. To change it, open the deviation or report the step as not done as written.",
                reading = reading
            ),
            Self::Implausible {
                label,
                shown,
                from,
                to,
            } => say!(
                words,
                "Really {value}? {label} lies between {from} and {to}. Check the unit and the decimal mark. If it is so, say so.",
                label = label,
                value = shown,
                from = from,
                to = to
            ),
            Self::InstrumentNeeded { label, wanted } => say!(
                words,
                "{label} is read with an instrument. Choose {wanted} from the register.",
                label = label,
                wanted = wanted
            ),
            _ => return None,
        })
    }

    /// What comes first.
    fn of_steps(&self, words: &Words) -> String {
        match self {
            Self::OutOfOrder { now } => say!(words, "That is not what comes now. Now: {now}.", now = now),
            Self::Hazards(step) => say!(
                words,
                "Acknowledge the hazards of step {step} first.",
                step = step
            ),
            Self::NotBegun(procedure) => say!(
                words,
                "Affirm what stands before “{procedure}” first.",
                procedure = procedure
            ),
            Self::ReadingMissing { step, reading } => say!(
                words,
                "Step {step} still wants {reading}. Enter it first.",
                step = step,
                reading = reading
            ),
            Self::DeviationOpen(n) => say!(
                words,
                "Deviation {n} is open. Measure again, rework, or ask a supervisor for a concession.",
                n = n
            ),
            Self::NoDeviation(n) => say!(words, "There is no open deviation {n}.", n = n),
            Self::Guarded { step, act } => say!(
                words,
                "Hold point at step {step} is not released. A supervisor must release it before {act}.",
                step = step,
                act = act
            ),
            Self::NotRestored(what) => say!(words, "Still to be restored: {what}.", what = what),
            Self::NoStep(step) => say!(words, "There is no step {step} in this job.", step = step),
            Self::Replay { n, why } => say!(
                words,
                "The record does not follow the procedure at entry {n}: {why}",
                n = n,
                why = why
            ),
            other => format!("{other:?}"),
        }
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl std::error::Error for Refusal {}
