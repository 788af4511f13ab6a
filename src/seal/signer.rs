//! The id of whoever signs: a person of the shop or its tablet.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// An id of 1 to 64 characters out of `a-z 0-9 . _ -`.
///
/// Nothing that `allowed_signers` reads as a pattern can be an id: a `*` there would let anyone sign.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SignerId(String);

/// A text that cannot be an id.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{found}` is not a signer id: 1 to 64 characters out of a-z 0-9 . _ - are allowed")]
pub struct NotASignerId {
    /// The text as found, cut to a readable length.
    pub found: String,
}

impl SignerId {
    /// The longest id, in characters.
    pub const MAX: usize = 64;

    /// The id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl FromStr for SignerId {
    type Err = NotASignerId;

    fn from_str(text: &str) -> Result<SignerId, NotASignerId> {
        let allowed = |byte: u8| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'.' | b'_' | b'-');
        if (1..=SignerId::MAX).contains(&text.len()) && text.bytes().all(allowed) {
            Ok(SignerId(text.to_owned()))
        } else {
            Err(NotASignerId {
                found: text.chars().take(80).collect(),
            })
        }
    }
}

impl fmt::Display for SignerId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for SignerId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "SignerId({})", self.0)
    }
}

impl AsRef<str> for SignerId {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

impl Serialize for SignerId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for SignerId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<SignerId, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accepts_what_the_rule_says() {
        let longest = "a".repeat(64);
        for good in ["a", "ines.varga", "tablet-7f3a", "0_9", longest.as_str()] {
            assert_eq!(
                good.parse::<SignerId>().map(|id| id.to_string()),
                Ok(good.to_owned())
            );
        }
    }

    #[test]
    fn refuses_everything_else() {
        let long = "a".repeat(65);
        for bad in [
            "",
            "*",
            "!ines",
            "Ines",
            "ines varga",
            "ines,tomasz",
            "ines\n",
            "iñes",
            "a?",
            long.as_str(),
        ] {
            assert!(bad.parse::<SignerId>().is_err(), "{bad:?}");
        }
    }
}
