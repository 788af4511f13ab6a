//! The accepted job card: answers, figures, checks.

use super::form::{Form, Unfit, form};
use super::judged::{Band, Outcome, WorkOut};
use super::value::Value;
use crate::player::fact;
use serde::{Deserialize, Serialize};

form! {
    /// The body of `card`.
    Card for fact::Card {
        answers: Vec<Answer>,
        figures: Vec<WorkOut>,
        checks: Vec<Check>,
        reopens: Vec<String>,
    }

    /// One check and how it came out.
    Check for fact::CheckDone {
        id: String,
        says: String,
        #[serde(rename = "is")]
        value: Value,
        #[serde(rename = "band")]
        limits: Band,
        verdict: Outcome,
        advice: bool,
    }
}

/// One answer: public with `typed`, `is` and `shown`, or personal with `commitment` alone.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Answer {
    group: String,
    field: String,
    label: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    typed: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    is: Option<Value>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shown: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    commitment: Option<String>,
}

impl Form<fact::CardAnswer> for Answer {
    fn form(part: &fact::CardAnswer) -> Self {
        let (typed, is, shown, commitment) = match &part.answer {
            fact::Answer::Open { typed, value, shown } => (
                Some(typed.clone()),
                Some(Value::form(value)),
                Some(shown.clone()),
                None,
            ),
            fact::Answer::Committed { commitment } => (None, None, None, Some(commitment.clone())),
        };
        let [group, field, label] = [&part.group, &part.field, &part.label].map(Clone::clone);
        Self {
            group,
            field,
            label,
            typed,
            is,
            shown,
            commitment,
        }
    }

    fn part(self) -> Result<fact::CardAnswer, Unfit> {
        let answer = match (self.typed, self.is, self.shown, self.commitment) {
            (Some(typed), Some(is), Some(shown), None) => fact::Answer::Open {
                typed,
                value: is.part()?,
                shown,
            },
            (None, None, None, Some(commitment)) => fact::Answer::Committed { commitment },
            _ => {
                let forms = "neither typed, is and shown together nor commitment alone";
                return Err(Unfit(format!(
                    "the answer {}.{} has {forms}",
                    self.group, self.field
                )));
            }
        };
        Ok(fact::CardAnswer {
            group: self.group,
            field: self.field,
            label: self.label,
            answer,
        })
    }
}
