//! JSON that two readers cannot read differently: no key stands twice in one object.
//!
//! Readers differ on a repeated key (some take the first, some the last), so a signed text with one could
//! mean two things. It is refused at any depth.

use std::fmt;

use serde::de::{Deserialize, DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::map::Entry;
use serde_json::{Map, Number, Value};

/// A text that is not strict JSON, or not an object.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct NotJson {
    /// What was found, and at which column.
    pub what: String,
}

/// The values of some keys of an object, in the order in which they were asked for, and all the others.
pub type Parted<const N: usize> = ([Option<Value>; N], Map<String, Value>);

/// Reads one JSON object from a whole text, refusing repeated keys at any depth and anything around it.
///
/// Depth is bounded by the parser (128 levels), size by the text itself.
///
/// # Errors
/// The text is no JSON object, has a repeated key, or has more after the object.
pub fn parse_object(text: &str) -> Result<Map<String, Value>, NotJson> {
    parse_apart(text, []).map(|([], map)| map)
}

/// Reads one JSON object as [`parse_object`] does, with the values of these keys apart from all others.
///
/// # Errors
/// As [`parse_object`].
pub fn parse_apart<const N: usize>(text: &str, keys: [&str; N]) -> Result<Parted<N>, NotJson> {
    if text.trim() != text {
        let what = "blanks stand before `{` or after `}`".to_owned();
        return Err(NotJson { what });
    }
    let wrong = |error: serde_json::Error| NotJson {
        what: error.to_string(),
    };
    if !text.starts_with('{') {
        let Strict(other) = serde_json::from_str(text).map_err(wrong)?;
        let what = format!("found {}, an object is expected", name(&other));
        return Err(NotJson { what });
    }
    let mut json = serde_json::Deserializer::from_str(text);
    let read = json.deserialize_map(Apart { keys }).map_err(wrong)?;
    json.end().map_err(wrong)?;
    Ok(read)
}

fn name(value: &Value) -> &'static str {
    match value {
        Value::Null => "null",
        Value::Bool(_) => "true or false",
        Value::Number(_) => "a number",
        Value::String(_) => "a string",
        Value::Array(_) => "an array",
        Value::Object(_) => "an object",
    }
}

/// A value whose objects have no repeated key.
struct Strict(Value);

impl<'de> Deserialize<'de> for Strict {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Strict, D::Error> {
        StrictVisitor.deserialize(deserializer).map(Strict)
    }
}

/// Takes an object whose values of some keys stand apart.
struct Apart<'k, const N: usize> {
    keys: [&'k str; N],
}

impl<'de, const N: usize> Visitor<'de> for Apart<'_, N> {
    type Value = Parted<N>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Self::Value, A::Error> {
        let (mut apart, mut map) = ([const { None }; N], Map::new());
        while let Some(key) = access.next_key::<String>()? {
            match self.keys.iter().position(|wanted| *wanted == key) {
                None => next_value(&mut access, &mut map, key)?,
                Some(place) if apart[place].is_some() => return Err(twice(&key)),
                Some(place) => apart[place] = Some(access.next_value_seed(StrictVisitor)?),
            }
        }
        Ok((apart, map))
    }
}

/// Reads the value of a key that stands in this object for the first time.
fn next_value<'de, A: MapAccess<'de>>(
    access: &mut A,
    map: &mut Map<String, Value>,
    key: String,
) -> Result<(), A::Error> {
    match map.entry(key) {
        Entry::Occupied(there) => Err(twice(there.key())),
        Entry::Vacant(free) => {
            free.insert(access.next_value_seed(StrictVisitor)?);
            Ok(())
        }
    }
}

fn twice<E: Error>(key: &str) -> E {
    E::custom(format_args!("the key `{key}` stands twice in one object"))
}

#[derive(Clone, Copy)]
struct StrictVisitor;

impl<'de> DeserializeSeed<'de> for StrictVisitor {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for StrictVisitor {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E: Error>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        let number = Number::from_f64(value).ok_or_else(|| E::custom("a number is not finite"))?;
        Ok(Value::Number(number))
    }

    fn visit_str<E: Error>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }

    fn visit_string<E: Error>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut access: A) -> Result<Value, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = access.next_element_seed(StrictVisitor)? {
            items.push(item);
        }
        Ok(Value::Array(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = access.next_key::<String>()? {
            next_value(&mut access, &mut map, key)?;
        }
        Ok(Value::Object(map))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_values_and_their_order() {
        let text = r#"{"b":[1,-2,0.5,true,null,{"x":"é"}],"a":18446744073709551615}"#;
        let map = parse_object(text).expect("strict JSON");
        assert_eq!(Value::Object(map).to_string(), text);
    }

    #[test]
    fn refuses_what_readers_read_differently() {
        for bad in [
            r#"{"a":1,"a":1}"#,
            r#"{"a":{"b":1,"c":2,"b":3}}"#,
            r#"{"a":[{"b":1,"\u0062":2}]}"#,
            r#"{"a":1} {"#,
            r#"{"a":1}x"#,
            r#"{"a":1e999}"#,
            r#"{"a":NaN}"#,
            r#"{"a":"\ud800"}"#,
            r#"{"a":1,}"#,
            "[]",
            "null",
            "",
            "\u{feff}{}",
        ] {
            assert!(parse_object(bad).is_err(), "{bad:?}");
        }
    }

    #[test]
    fn depth_is_bounded() {
        let deep = format!("{{\"a\":{}{}}}", "[".repeat(100_000), "]".repeat(100_000));
        assert!(parse_object(&deep).is_err());
    }

    #[test]
    fn values_apart_are_held_to_the_same() {
        let ([a, b], rest) = parse_apart(r#"{"c":1,"a":[2],"d":3}"#, ["a", "b"]).expect("strict JSON");
        assert_eq!((a, b), (Some(serde_json::json!([2])), None));
        assert_eq!(Value::Object(rest).to_string(), r#"{"c":1,"d":3}"#);
        for text in [
            r#"{"a":1,"a":2}"#,
            r#"{"a":null,"b":1,"\u0061":2}"#,
            r#"{"a":{"b":1,"b":2}}"#,
            r#"{"a":1} x"#,
            r#"{"a":1"#,
            r#"{"a":1e999}"#,
            " {}",
            "[]",
            "7",
            "",
        ] {
            let (apart, whole) = (parse_apart(text, ["a"]), parse_object(text));
            assert_eq!(apart.map(|_| ()), whole.map(|_| ()), "{text:?}");
            assert!(parse_apart(text, ["a"]).is_err(), "{text:?}");
        }
    }

    #[test]
    fn says_which_key_and_where() {
        let fault = parse_object(r#"{"a":1,"a":2}"#).expect_err("a repeated key");
        assert!(
            fault.what.contains("`a`") && fault.what.contains("column"),
            "{fault}"
        );
    }
}
