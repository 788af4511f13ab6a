//! An entry whose keys stand in the order in which they are written, read in one go and without a tree of values.
//!
//! Nearly every entry is of this form. Whatever differs is left to [`Envelope::parse`], which takes keys in any order
//! and can say what is wrong.

use std::marker::PhantomData;

use serde::de::{Deserialize, Deserializer, Error, MapAccess, Visitor};

use super::envelope::{Envelope, MAX_NUMBER, VERSION, is_job, is_kind};
use super::instant::parse_at;

/// What stands behind the keys of the envelope.
pub trait Behind: Sized {
    /// Takes all keys that are left of an entry of this kind.
    ///
    /// # Errors
    /// They are not of the kind's form, or one of them stands twice, at whatever depth.
    fn take<'de, A: MapAccess<'de>>(kind: &str, rest: A) -> Result<Self, A::Error>;
}

/// Reads an entry that begins with all keys of the envelope in their order, the job among them; none where anything
/// differs or is wrong.
pub fn parse_in_order<B: Behind>(text: &str) -> Option<Envelope<B>> {
    if !text.starts_with('{') || !text.ends_with('}') {
        return None;
    }
    let mut json = serde_json::Deserializer::from_str(text);
    let read = json.deserialize_map(InOrder(PhantomData)).ok()?;
    json.end().ok()?;
    Some(read)
}

struct InOrder<B>(PhantomData<B>);

impl<'de, B: Behind> Visitor<'de> for InOrder<B> {
    type Value = Envelope<B>;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("an entry with its keys in their order")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut keys: A) -> Result<Envelope<B>, A::Error> {
        let v = checked(next(&mut keys, "v")?, |v| *v == VERSION)?;
        let n = checked(next(&mut keys, "n")?, |n| *n <= MAX_NUMBER)?;
        let prev = next::<A, &str>(&mut keys, "prev")?;
        let at = next::<A, &str>(&mut keys, "at")?;
        let by = next::<A, &str>(&mut keys, "by")?;
        let kind = checked(next::<A, &str>(&mut keys, "kind")?, |kind| is_kind(kind))?;
        let job = checked(next::<A, &str>(&mut keys, "job")?, |job| is_job(job))?;
        Ok(Envelope {
            v,
            n,
            prev: prev.parse().map_err(A::Error::custom)?,
            at: parse_at(at).map_err(A::Error::custom)?,
            by: by.parse().map_err(A::Error::custom)?,
            kind: kind.to_owned(),
            job: Some(job.to_owned()),
            body: B::take(kind, keys)?,
        })
    }
}

/// The value of the next key, which must be this one. A text without escapes is borrowed; one with them is refused.
fn next<'de, A: MapAccess<'de>, T: Deserialize<'de>>(keys: &mut A, key: &str) -> Result<T, A::Error> {
    match keys.next_key::<&str>()? {
        Some(found) if found == key => keys.next_value(),
        _ => Err(A::Error::custom("another order")),
    }
}

fn checked<T, E: Error>(value: T, allowed: impl Fn(&T) -> bool) -> Result<T, E> {
    if allowed(&value) {
        Ok(value)
    } else {
        Err(E::custom("another form"))
    }
}
