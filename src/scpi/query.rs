//! One question to a meter.

use std::fmt;
use std::str::FromStr;

/// The longest question, in bytes.
const LONGEST: usize = 100;

/// A question: it asks for one value and changes nothing that the meter keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Query(String);

/// Why a text is no question.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "found `{found}`, expected one question to the meter in printable ASCII, with `?` behind its name, no `;` and at most {LONGEST} characters: `MEAS:VOLT:DC?`"
)]
pub struct QueryError {
    /// The whole text.
    pub found: String,
}

impl Query {
    /// As it is sent, without its line end.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for Query {
    type Err = QueryError;

    /// A program message unit of IEEE 488.2 that is a query: its header ends in `?`, parameters may follow it.
    fn from_str(text: &str) -> Result<Self, QueryError> {
        let header = text.split(' ').next().unwrap_or_default();
        let name = header.strip_suffix('?').unwrap_or_default();
        let in_header = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b':' | b'_' | b'*');
        let printable = text
            .bytes()
            .all(|byte| (b' '..=b'~').contains(&byte) && byte != b';');
        if text.len() <= LONGEST && !name.is_empty() && name.bytes().all(in_header) && printable {
            return Ok(Self(text.to_owned()));
        }
        Err(QueryError {
            found: text.escape_default().to_string(),
        })
    }
}

impl fmt::Display for Query {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_question_is_let_through() {
        for text in [
            "READ?",
            "MEAS:VOLT:DC?",
            "MEASure:RESistance? 100,0.001",
            ":FETC?",
            "*IDN?",
        ] {
            assert_eq!(text.parse::<Query>().unwrap().as_str(), text);
        }
        for text in [
            "",
            "?",
            "*RST",
            "OUTP ON",
            "READ?;OUTP ON",
            "READ?\nOUTP ON",
            "OUTP ON;READ?",
            "OUTP ON?",
            "MEÄS?",
        ] {
            assert!(text.parse::<Query>().is_err(), "{text}");
        }
        assert!(format!("READ? {}", "1".repeat(95)).parse::<Query>().is_err());
    }
}
