//! The bodies of entries: one struct for each kind, and nothing of the player inside.
//!
//! A change of the player never changes a line on disk by itself: it has to pass through here.

mod card;
mod form;
mod judged;
mod plan;
mod shown;
mod value;

pub use form::Unfit;

use super::Kind;
use crate::player::fact::Body;
use form::Form;
use serde::Serialize;
use serde::de::{Deserialize, Deserializer, Error};
use serde_json::{Map, Value};

/// Every kind: its body on disk and the fact that it tells, in one exhaustive table.
macro_rules! bodies {
    (
        whole { $($whole_kind:ident: $whole:ty as $whole_fact:ident),* $(,)? }
        keyed { $(
            $(#[$doc:meta])*
            $kind:ident as $fact:ident { $($(#[$attribute:meta])* $field:ident: $type:ty),* $(,)? }
        )* }
    ) => {
        $(
            $(#[$doc])*
            #[derive(Serialize, serde::Deserialize)]
            #[serde(deny_unknown_fields)]
            struct $kind { $($(#[$attribute])* $field: $type),* }
        )*

        /// The kind and the body of the entry that says what the fact says.
        ///
        /// # Errors
        /// Something that JSON cannot say; no fact is known to hold such a thing.
        pub(super) fn write(fact: &Body) -> Result<(Kind, Map<String, Value>), Unfit> {
            match fact {
                $(Body::$whole_fact(part) => Ok((Kind::$whole_kind, map(&<$whole>::form(part))?)),)*
                $(Body::$fact { $($field),* } => {
                    let body = $kind { $($field: Form::form($field)),* };
                    Ok((Kind::$kind, map(&body)?))
                })*
            }
        }

        /// The fact that an entry's body says.
        ///
        /// # Errors
        /// A key is missing, unknown, twice there or not of its form, or a value cannot be.
        pub(super) fn read<'de, D: Deserializer<'de>>(kind: Kind, from: D) -> Result<Body, D::Error> {
            match kind {
                $(Kind::$whole_kind => {
                    let body = <$whole>::deserialize(from)?;
                    Ok(Body::$whole_fact(body.part().map_err(D::Error::custom)?))
                })*
                $(Kind::$kind => {
                    let body = $kind::deserialize(from)?;
                    Ok(Body::$fact { $($field: Form::part(body.$field).map_err(D::Error::custom)?),* })
                })*
            }
        }
    };
}

bodies! {
    whole {
        Opening: plan::Opening as Opening,
        Card: card::Card as Card,
        Plan: plan::Plan as Plan,
        Reading: judged::Reading as Read,
        WorkOut: judged::WorkOut as WorkedOut,
    }
    keyed {
        /// What stands before a procedure was affirmed.
        Begin as Begin {
            procedure: String,
            title: String,
            conditions: Vec<String>,
            people: Vec<String>,
            tools: Vec<String>,
            hazards: Vec<shown::Hazard>,
        }
        /// A step's own hazards were acknowledged.
        Acknowledgement as Acknowledged { step: String, hazards: Vec<shown::Hazard> }
        /// A step was marked as done.
        Done as Done { step: String, wording: shown::Wording }
        /// A deviation was opened.
        Deviation as Deviation {
            step: String,
            #[serde(skip_serializing_if = "Option::is_none")]
            concerns: Option<u64>,
            what: String,
        }
        /// A person measures again.
        MeasureAgain as MeasureAgain { deviation: u64, reason: String }
        /// Work is done again.
        Rework as Rework { deviation: u64, what: String, reopens: Vec<String> }
        /// A supervisor accepts a deviation.
        Concession as Concession { deviation: u64, reason: String }
        /// A deviation ended by itself.
        Resolution as Resolved { deviation: u64, by_entry: u64 }
        /// The supervisor was called to a witness point.
        Witness as Witness { step: String, says: String, attended: bool }
        /// A hold point was released.
        Release as Release { step: String, says: String, covers: Vec<u64> }
        /// A hold point was refused.
        SendBack as SendBack { step: String, reason: String, reopens: Vec<String> }
        /// What closes a procedure was affirmed.
        CloseOut as CloseOut { procedure: String, lines: Vec<String> }
        /// A practice question was answered.
        Answer as Answered { step: String, ask: String, chosen: String, right: bool }
        /// A remark.
        Note as Note {
            #[serde(skip_serializing_if = "Option::is_none")]
            step: Option<String>,
            text: String,
        }
        /// A photograph was added.
        Photograph as Photograph {
            #[serde(skip_serializing_if = "Option::is_none")]
            step: Option<String>,
            #[serde(skip_serializing_if = "Option::is_none")]
            deviation: Option<u64>,
            photo: String,
        }
        /// From here on in this language.
        Language as Language { language: String }
        /// The program started again.
        Resume as Resume {
            #[serde(skip_serializing_if = "Option::is_none")]
            torn: Option<String>,
        }
        /// The person who did the work signs the job.
        SignOff as SignOff { statement: String, covers: Vec<u64> }
        /// The supervisor releases the job.
        JobRelease as JobRelease { statement: String, covers: Vec<u64> }
        /// The tablet closes the record.
        Closing as Closing { entries: u64 }
    }
}

fn map(body: &impl Serialize) -> Result<Map<String, Value>, Unfit> {
    match serde_json::to_value(body)? {
        Value::Object(map) => Ok(map),
        other => Err(Unfit(format!("{other} is not a body"))),
    }
}
