//! JSON that two readers cannot read differently: no key stands twice in one object.
//!
//! Readers differ on a repeated key (some take the first, some the last), so a signed text with one could
//! mean two things. It is refused at any depth.

use std::fmt;

use serde::de::{Deserialize, DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};

/// A text that is not strict JSON, or not an object.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct NotJson {
    /// What was found, and at which column.
    pub what: String,
}

/// Reads one JSON object from a whole text, refusing repeated keys at any depth and anything around it.
///
/// Depth is bounded by the parser (128 levels), size by the text itself.
///
/// # Errors
/// The text is no JSON object, has a repeated key, or has more after the object.
pub fn parse_object(text: &str) -> Result<Map<String, Value>, NotJson> {
    if text.trim() != text {
        let what = "blanks stand before `{` or after `}`".to_owned();
        return Err(NotJson { what });
    }
    match serde_json::from_str::<Strict>(text) {
        Ok(Strict(Value::Object(map))) => Ok(map),
        Ok(Strict(other)) => Err(NotJson {
            what: format!("found {}, an object is expected", name(&other)),
        }),
        Err(error) => Err(NotJson {
            what: error.to_string(),
        }),
    }
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
            if map.contains_key(&key) {
                return Err(A::Error::custom(format_args!(
                    "the key `{key}` stands twice in one object"
                )));
            }
            let value = access.next_value_seed(StrictVisitor)?;
            map.insert(key, value);
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
    fn says_which_key_and_where() {
        let fault = parse_object(r#"{"a":1,"a":2}"#).expect_err("a repeated key");
        assert!(
            fault.what.contains("`a`") && fault.what.contains("column"),
            "{fault}"
        );
    }
}
