//! What the program itself says in a fact, as against what the content says.
//!
//! Translations get better with each version of the program. A record of another version keeps the sentences that
//! were shown then; all that they were made of is compared besides.

use crate::calc::Value;
use crate::player::fact::{Answer, Body, LimitsShown, WorkedOut};

/// The fact without the program's own sentences.
pub(super) fn left_out(body: &Body) -> Body {
    let mut body = body.clone();
    match &mut body {
        Body::Read(taken) => {
            taken.limits.as_mut().into_iter().for_each(band);
            flag(&taken.value, &mut taken.shown);
        }
        Body::WorkedOut(worked) => figure(worked),
        Body::Card(card) => {
            card.figures.iter_mut().for_each(figure);
            card.checks.iter_mut().for_each(|check| band(&mut check.limits));
            for answer in &mut card.answers {
                if let Answer::Open { value, shown, .. } = &mut answer.answer {
                    flag(value, shown);
                }
            }
        }
        Body::Deviation {
            concerns: Some(_),
            what,
            ..
        } => what.clear(),
        _ => {}
    }
    body
}

fn band(limits: &mut LimitsShown) {
    limits.origin.clear();
}

fn flag(value: &Value, shown: &mut String) {
    if matches!(value, Value::Flag(_)) {
        shown.clear();
    }
}

fn figure(worked: &mut WorkedOut) {
    worked.notes.clear();
    if let Some((_, limits, _)) = &mut worked.judged {
        band(limits);
    }
}
