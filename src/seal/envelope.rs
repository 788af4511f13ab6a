//! What every entry carries, whatever its kind: version, number, previous hash, time, author, kind, job.

use chrono::{DateTime, FixedOffset};
use serde_json::{Map, Value};

use super::chain::Link;
use super::digest::Digest;
use super::instant::{format_at, parse_at};
use super::json::parse_apart;
use super::signer::SignerId;

/// The version of the format that is written, and the only one that is read.
pub const VERSION: u64 = 1;

/// The largest number that every JSON reader keeps exactly: 2^53 - 1.
pub const MAX_NUMBER: u64 = (1 << 53) - 1;

/// The keys of the envelope, in the order in which they are written, before the body's.
pub const KEYS: [&str; 7] = ["v", "n", "prev", "at", "by", "kind", "job"];

/// An entry. Its body is what stands behind the keys of the envelope: as a rule those keys with their values, not yet
/// read any further.
#[derive(Debug, Clone, PartialEq)]
pub struct Envelope<B = Map<String, Value>> {
    /// Version of the format.
    pub v: u64,
    /// The entry's number in its chain, from 0.
    pub n: u64,
    /// SHA-256 of the line before, without its LF; zeros for the first.
    pub prev: Digest,
    /// When the entry was made, by the tablet's clock.
    pub at: DateTime<FixedOffset>,
    /// Who made it: the line's signer.
    pub by: SignerId,
    /// Which kind of entry it is: `[a-z0-9-]{1,32}`.
    pub kind: String,
    /// The job, in a job's or a practice run's record: `[A-Za-z0-9][A-Za-z0-9._-]{0,63}`.
    pub job: Option<String>,
    /// Everything else, by kind.
    pub body: B,
}

/// Why a text is not an entry, or an entry cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EnvelopeError {
    /// The text is no object without repeated keys.
    #[error("the entry is not a JSON object that all readers read alike: {what}")]
    Json {
        /// What was found.
        what: String,
    },
    /// A key is missing or its value is not of the form that it has.
    #[error("the entry's `{key}` is {found}; {expected} is expected")]
    Key {
        /// The key.
        key: &'static str,
        /// What was found, cut to a readable length.
        found: String,
        /// The form.
        expected: &'static str,
    },
    /// The format is of another version.
    #[error("the entry is of version {found}; this program reads version {VERSION}")]
    Version {
        /// The version found.
        found: u64,
    },
    /// The body uses a key of the envelope.
    #[error("the body must not carry the envelope's key `{key}`")]
    ReservedKey {
        /// The key.
        key: String,
    },
}

impl<B> Envelope<B> {
    /// The same entry with this body.
    pub fn with<C>(self, body: C) -> Envelope<C> {
        Envelope {
            v: self.v,
            n: self.n,
            prev: self.prev,
            at: self.at,
            by: self.by,
            kind: self.kind,
            job: self.job,
            body,
        }
    }
}

impl Envelope {
    /// An entry of the current version that follows what `link` names.
    pub fn new(
        link: Link,
        at: DateTime<FixedOffset>,
        by: SignerId,
        kind: &str,
        job: Option<&str>,
        body: Map<String, Value>,
    ) -> Envelope {
        let job = job.map(str::to_owned);
        Envelope {
            v: VERSION,
            n: link.n,
            prev: link.prev,
            at,
            by,
            kind: kind.to_owned(),
            job,
            body,
        }
    }

    /// Reads an entry's text.
    ///
    /// # Errors
    /// See [`EnvelopeError`].
    pub fn parse(text: &str) -> Result<Envelope, EnvelopeError> {
        let (apart, body) =
            parse_apart(text, KEYS).map_err(|fault| EnvelopeError::Json { what: fault.what })?;
        let [v, n, prev, at, by, kind, job] = &apart;
        let v = number(v, "v")?;
        if v != VERSION {
            return Err(EnvelopeError::Version { found: v });
        }
        Ok(Envelope {
            v,
            n: number(n, "n")?,
            prev: read(prev, "prev", "64 hex digits", |text| text.parse().ok())?,
            at: read(at, "at", "a time with an offset", |text| parse_at(text).ok())?,
            by: read(by, "by", "a signer id", |text| text.parse().ok())?,
            kind: read(kind, "kind", KIND_FORM, |text| {
                is_kind(text).then(|| text.to_owned())
            })?,
            job: match job {
                Some(_) => Some(read(job, "job", JOB_FORM, |text| {
                    is_job(text).then(|| text.to_owned())
                })?),
                None => None,
            },
            body,
        })
    }

    /// Writes the entry's text: the envelope's keys in their order, then the body's in its own.
    ///
    /// # Errors
    /// The kind or job is not of its form, the number is too large, or the body uses a key of the envelope.
    pub fn to_text(&self) -> Result<String, EnvelopeError> {
        if let Some(key) = self.body.keys().find(|key| KEYS.contains(&key.as_str())) {
            return Err(EnvelopeError::ReservedKey { key: key.clone() });
        }
        let mut map = Map::new();
        map.insert("v".into(), self.v.into());
        map.insert("n".into(), self.n.into());
        map.insert("prev".into(), self.prev.to_string().into());
        map.insert("at".into(), format_at(&self.at).into());
        map.insert("by".into(), self.by.as_str().into());
        map.insert("kind".into(), self.kind.as_str().into());
        if let Some(job) = &self.job {
            map.insert("job".into(), job.as_str().into());
        }
        map.extend(self.body.iter().map(|(key, value)| (key.clone(), value.clone())));
        let text = Value::Object(map).to_string();
        // What is written must be readable, so the reader's own rules judge it.
        Envelope::parse(&text).map(|_| text)
    }
}

const KIND_FORM: &str = "1 to 32 characters out of a-z 0-9 -";
const JOB_FORM: &str = "1 to 64 characters out of A-Z a-z 0-9 . _ -, not beginning with . _ or -,";

/// Whether the text can be an entry's kind.
pub(super) fn is_kind(text: &str) -> bool {
    let allowed = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
    (1..=32).contains(&text.len()) && text.bytes().all(allowed)
}

/// Whether the text can be a job's id, which is also its folder's name.
pub fn is_job(text: &str) -> bool {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-');
    let begins = text
        .bytes()
        .next()
        .is_some_and(|byte| byte.is_ascii_alphanumeric());
    begins && text.len() <= 64 && text.bytes().all(allowed)
}

fn number(value: &Option<Value>, key: &'static str) -> Result<u64, EnvelopeError> {
    let value = value.as_ref();
    let found = value
        .and_then(Value::as_u64)
        .filter(|number| *number <= MAX_NUMBER);
    found.ok_or_else(|| fault(key, value, "a whole number from 0 to 2^53 - 1"))
}

fn read<T>(
    value: &Option<Value>,
    key: &'static str,
    expected: &'static str,
    take: impl Fn(&str) -> Option<T>,
) -> Result<T, EnvelopeError> {
    let value = value.as_ref();
    let found = value.and_then(Value::as_str).and_then(take);
    found.ok_or_else(|| fault(key, value, expected))
}

fn fault(key: &'static str, value: Option<&Value>, expected: &'static str) -> EnvelopeError {
    let found = match value {
        None => "missing".to_owned(),
        Some(value) => format!("`{}`", value.to_string().chars().take(60).collect::<String>()),
    };
    EnvelopeError::Key { key, found, expected }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = concat!(
        r#"{"v":1,"n":3,"prev":"0000000000000000000000000000000000000000000000000000000000000000","#,
        r#""at":"2026-03-14T09:26:53+01:00","by":"ines.varga","kind":"reading","job":"2026-014","#,
        r#""value":11.9}"#
    );

    #[test]
    fn text_and_back() {
        let envelope = Envelope::parse(TEXT).expect("an entry");
        assert_eq!(
            (envelope.n, envelope.kind.as_str(), envelope.job.as_deref()),
            (3, "reading", Some("2026-014"))
        );
        assert_eq!(envelope.body.keys().collect::<Vec<_>>(), ["value"]);
        assert_eq!(envelope.to_text().as_deref(), Ok(TEXT));
    }

    #[test]
    fn a_body_cannot_pose_as_the_envelope() {
        let mut envelope = Envelope::parse(TEXT).expect("an entry");
        envelope.body.insert("by".into(), "tomasz.okafor".into());
        assert_eq!(
            envelope.to_text(),
            Err(EnvelopeError::ReservedKey { key: "by".into() })
        );
    }

    #[test]
    fn what_a_reader_would_refuse_is_not_written() {
        let good = Envelope::parse(TEXT).expect("an entry");
        for bad in [
            Envelope {
                kind: "Reading".into(),
                ..good.clone()
            },
            Envelope {
                job: Some("../x".into()),
                ..good.clone()
            },
            Envelope {
                n: MAX_NUMBER + 1,
                ..good.clone()
            },
            Envelope { v: 2, ..good.clone() },
        ] {
            assert!(bad.to_text().is_err(), "{bad:?}");
        }
    }

    #[test]
    fn each_key_is_checked() {
        for (from, to) in [
            ("\"v\":1", "\"v\":2"),
            ("\"v\":1", "\"v\":\"1\""),
            ("\"n\":3", "\"n\":-3"),
            ("\"n\":3", "\"n\":3.5"),
            ("\"n\":3", "\"n\":9007199254740992"),
            ("\"n\":3,", ""),
            ("\"prev\":\"0", "\"prev\":\"x"),
            ("+01:00", ""),
            ("ines.varga", "*"),
            ("reading", "a reading"),
            ("2026-014", ".."),
            ("\"2026-014\"", "null"),
            ("\"value\"", "\"n\""),
        ] {
            let bad = TEXT.replacen(from, to, 1);
            assert_ne!(bad, TEXT, "{from}");
            assert!(Envelope::parse(&bad).is_err(), "{bad}");
        }
    }
}
