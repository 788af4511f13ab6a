//! An entry of a record as it is read from a line: its fact at once where it has the form in which facts are written.

use super::body;
use super::entry::{RecordError, check_number, fact};
use super::kind::Kind;
use crate::player::fact::{Body, Fact};
use crate::seal::envelope::EnvelopeError;
use crate::seal::{Behind, ChainFinding, Envelope, Opened, RawLine, parse_in_order};
use serde::de::{Error, MapAccess, value::MapAccessDeserializer};
use serde_json::{Map, Value};

/// What an entry says behind the keys of its envelope.
#[derive(Clone, Debug, PartialEq)]
pub enum Said {
    /// A fact. No text of the entry has a character written as `\u`.
    Fact(Box<Body>),
    /// Anything else: a fact that is written in another way, or what is none.
    Other(Map<String, Value>),
}

/// Only facts are taken here.
impl Behind for Said {
    fn take<'de, A: MapAccess<'de>>(kind: &str, rest: A) -> Result<Self, A::Error> {
        let kind = Kind::find(kind).ok_or_else(|| A::Error::custom("no kind of a record"))?;
        let fact = body::read(kind, MapAccessDeserializer::new(rest))?;
        Ok(Self::Fact(Box::new(fact)))
    }
}

impl Said {
    /// Whether it says that a practice run is opened.
    #[must_use]
    pub fn practice(&self) -> bool {
        match self {
            Self::Fact(body) => matches!(&**body, Body::Opening(opening) if opening.practice),
            Self::Other(map) => map.get("practice").and_then(Value::as_bool) == Some(true),
        }
    }
}

/// Reads a line of a record as it came from its file, and what its entry says.
///
/// # Errors
/// A finding of `malformed-line`. An entry that is whole and says no fact is none: see [`said`].
pub fn open(line: &RawLine) -> Result<Opened<Said>, ChainFinding> {
    Opened::read_as(line, parse)
}

fn parse(text: &str) -> Result<Envelope<Said>, EnvelopeError> {
    let mut entry = match in_usual_form(text) {
        Some(entry) => return Ok(entry),
        None => Envelope::parse(text)?,
    };
    let map = std::mem::take(&mut entry.body);
    Ok(entry.with(Said::Other(map)))
}

/// An entry that has the form in which facts are written; none where anything differs or is wrong.
fn in_usual_form(text: &str) -> Option<Envelope<Said>> {
    // A null would be read as what is not there, and is refused.
    if text.contains("null") || text.contains("\\u") {
        return None;
    }
    let entry: Envelope<Said> = parse_in_order(text)?;
    match &entry.body {
        Said::Fact(body) => check_number(body, entry.job.as_deref()?).ok()?,
        Said::Other(_) => return None,
    }
    Some(entry)
}

/// The fact that an entry says.
///
/// # Errors
/// As [`fact`].
pub fn said(mut entry: Envelope<Said>) -> Result<Fact, RecordError> {
    match std::mem::replace(&mut entry.body, Said::Other(Map::new())) {
        Said::Fact(body) => Ok(Fact {
            n: entry.n,
            at: entry.at,
            by: entry.by.to_string(),
            body: *body,
        }),
        Said::Other(map) => fact(entry.with(map)),
    }
}
