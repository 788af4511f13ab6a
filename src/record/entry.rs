//! A fact as an entry, and an entry as a fact.

use super::{Kind, Unfit, body};
use crate::player::fact::{Body, Fact};
use crate::seal::envelope::EnvelopeError;
use crate::seal::instant::{format_at, parse_at};
use crate::seal::{Digest, Envelope, Link, NotASignerId};
use serde_json::Value;

/// Why a fact is no entry, or an entry no fact.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RecordError {
    /// The envelope is not of its form.
    #[error(transparent)]
    Envelope(#[from] EnvelopeError),
    /// The author is no signer's id.
    #[error(transparent)]
    By(#[from] NotASignerId),
    /// The time would not read back as the same.
    #[error(
        "the time {found} cannot be written: whole seconds from 1970 to 9999 and an offset in minutes are"
    )]
    At {
        /// The time found.
        found: String,
    },
    /// There is no such kind.
    #[error("`{found}` is no kind of entry of a job; the kinds are {}", kinds())]
    Kind {
        /// The kind found.
        found: String,
    },
    /// An entry of a job names no job, or another one than its opening.
    #[error("the entry's `job` is {found}; {expected} is expected")]
    Job {
        /// What was found.
        found: String,
        /// What is allowed.
        expected: String,
    },
    /// The body is not of its kind's form.
    #[error("the body of `{kind}` is not of its form: {why}")]
    Body {
        /// The entry's kind.
        kind: Kind,
        /// What was found and expected.
        why: Unfit,
    },
}

fn kinds() -> String {
    Kind::ALL
        .iter()
        .map(|kind| kind.as_str())
        .collect::<Vec<_>>()
        .join(", ")
}

/// The entry that says what `fact` says, in the record of `job`, after the line with the hash `prev`.
///
/// # Errors
/// The author, the time or the job's number cannot stand in an entry.
pub fn to_entry(fact: &Fact, prev: Digest, job: &str) -> Result<Envelope, RecordError> {
    let at = format_at(&fact.at);
    if parse_at(&at).ok().map(|read| (read, *read.offset())) != Some((fact.at, *fact.at.offset())) {
        return Err(RecordError::At {
            found: fact.at.to_rfc3339(),
        });
    }
    check_number(&fact.body, job)?;
    let by = fact.by.parse()?;
    let (kind, body) = body::write(&fact.body).map_err(|why| RecordError::Body {
        kind: (&fact.body).into(),
        why,
    })?;
    let link = Link { n: fact.n, prev };
    Ok(Envelope::new(link, fact.at, by, kind.as_str(), Some(job), body))
}

/// The text of that entry: the exact bytes to sign.
///
/// # Errors
/// As [`to_entry`], and when the text would not read back.
pub fn write(fact: &Fact, prev: Digest, job: &str) -> Result<String, RecordError> {
    Ok(to_entry(fact, prev, job)?.to_text()?)
}

/// The fact that an entry says.
///
/// Strict: every key of the kind's form, none besides, and no null.
///
/// # Errors
/// What is missing, unknown or not of its form.
pub fn fact(entry: Envelope) -> Result<Fact, RecordError> {
    let kind = Kind::find(&entry.kind).ok_or_else(|| RecordError::Kind {
        found: entry.kind.clone(),
    })?;
    let job = entry.job.as_deref().ok_or_else(|| RecordError::Job {
        found: "missing".into(),
        expected: "the job's number".into(),
    })?;
    let in_body = |why| RecordError::Body { kind, why };
    refuse_null(&entry.body).map_err(in_body)?;
    let body = body::read(kind, Value::Object(entry.body)).map_err(|error| in_body(error.into()))?;
    check_number(&body, job)?;
    Ok(Fact {
        n: entry.n,
        at: entry.at,
        by: entry.by.to_string(),
        body,
    })
}

/// Reads an entry's text as its envelope and the fact that it says.
///
/// # Errors
/// As [`fact`], and when the text is no entry.
pub fn read(text: &str) -> Result<(Envelope, Fact), RecordError> {
    let entry = Envelope::parse(text)?;
    let fact = fact(entry.clone())?;
    Ok((entry, fact))
}

/// What a record's lines are signed for: a practice run never passes as a job.
#[must_use]
pub fn namespace(practice: bool) -> crate::seal::Namespace {
    if practice {
        crate::seal::Namespace::PracticeRecord
    } else {
        crate::seal::Namespace::JobRecord
    }
}

/// The opening says the job's number in its body too, so that no other entry can stand in for it.
pub(super) fn check_number(body: &Body, job: &str) -> Result<(), RecordError> {
    match body {
        Body::Opening(opening) if opening.number != job => Err(RecordError::Job {
            found: format!("`{job}`"),
            expected: format!("`{}`, its `number`,", opening.number),
        }),
        _ => Ok(()),
    }
}

/// What is not there is left out, so that there is one way to say it.
fn refuse_null(body: &serde_json::Map<String, Value>) -> Result<(), Unfit> {
    fn has_null(value: &Value) -> bool {
        match value {
            Value::Null => true,
            Value::Array(items) => items.iter().any(has_null),
            Value::Object(map) => map.values().any(has_null),
            _ => false,
        }
    }
    match body.iter().find(|(_, value)| has_null(value)) {
        Some((key, _)) => Err(Unfit(format!(
            "`{key}` holds a null; what is not there is left out"
        ))),
        None => Ok(()),
    }
}
