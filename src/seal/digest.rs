//! A SHA-256 digest, written as 64 lower-case hex digits.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest as _, Sha256};

/// A SHA-256 digest (FIPS 180-4).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

/// A text that is not 64 lower-case hex digits.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{found}` is not a SHA-256 digest: 64 digits 0-9 a-f are expected")]
pub struct NotADigest {
    /// The text as found, cut to a readable length.
    pub found: String,
}

/// The SHA-256 of `bytes`.
pub fn digest(bytes: &[u8]) -> Digest {
    Digest(Sha256::digest(bytes).into())
}

impl Digest {
    /// 64 zeros: what stands as the previous hash in the first line of a chain.
    pub const ZERO: Digest = Digest([0; 32]);

    /// The digest with these 32 bytes.
    pub const fn from_bytes(bytes: [u8; 32]) -> Digest {
        Digest(bytes)
    }

    /// The 32 bytes.
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

/// SHA-256 over bytes that arrive in pieces, so that a long file needs little memory.
#[derive(Clone, Default)]
pub struct Hasher(Sha256);

impl Hasher {
    /// A hasher that has seen nothing.
    pub fn new() -> Hasher {
        Hasher::default()
    }

    /// Adds the next piece.
    pub fn update(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// The digest of all pieces in order.
    pub fn finish(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut text = [0; 64];
        for (pair, byte) in text.chunks_exact_mut(2).zip(self.0) {
            pair.copy_from_slice(&[digit(byte >> 4), digit(byte & 15)]);
        }
        f.write_str(std::str::from_utf8(&text).map_err(|_| fmt::Error)?)
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

impl FromStr for Digest {
    type Err = NotADigest;

    fn from_str(text: &str) -> Result<Digest, NotADigest> {
        let fault = || NotADigest {
            found: text.chars().take(80).collect(),
        };
        let pairs: &[u8; 64] = text.as_bytes().try_into().map_err(|_| fault())?;
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(pairs.chunks_exact(2)) {
            let (high, low) = (
                nibble(pair[0]).ok_or_else(fault)?,
                nibble(pair[1]).ok_or_else(fault)?,
            );
            *byte = high << 4 | low;
        }
        Ok(Digest(bytes))
    }
}

/// The hex digit of a value below 16.
const fn digit(value: u8) -> u8 {
    match value {
        0..=9 => b'0' + value,
        _ => b'a' + value - 10,
    }
}

/// The value of one hex digit. Capitals are refused, so that a digest has one spelling.
fn nibble(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    }
}

impl Serialize for Digest {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Digest {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Digest, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's example messages, as kept in `tests/vectors/seal/sha256.txt`.
    #[test]
    fn agrees_with_the_standards_examples() {
        let rows = include_str!("../../tests/vectors/seal/sha256.txt");
        let mut seen = 0;
        for row in rows.lines().filter(|row| !row.starts_with('#')) {
            let (message, expected) = row.rsplit_once(' ').expect("a message and a digest");
            assert_eq!(digest(message.as_bytes()).to_string(), expected, "{message:?}");
            seen += 1;
        }
        assert_eq!(seen, 3);
    }

    /// FIPS 180-4's long example: one million letters a, fed in uneven pieces.
    #[test]
    fn pieces_give_the_digest_of_the_whole() {
        let mut hasher = Hasher::new();
        let (mut left, mut piece) = (1_000_000_usize, 1);
        while left > 0 {
            let size = piece.min(left);
            hasher.update(&vec![b'a'; size]);
            left -= size;
            piece = piece * 3 % 4097 + 1;
        }
        let expected = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0";
        assert_eq!(hasher.finish().to_string(), expected);
    }

    #[test]
    fn text_and_back() {
        let one = digest(b"abc");
        assert_eq!(one.to_string().parse(), Ok(one));
        assert_eq!(Digest::ZERO.to_string(), "0".repeat(64));
    }

    #[test]
    fn refuses_other_spellings() {
        let good = digest(b"abc").to_string();
        for bad in [
            "",
            "ab",
            &good[1..],
            &good.to_uppercase(),
            &format!("{good}0"),
            &"g".repeat(64),
            &"é".repeat(32),
        ] {
            assert!(bad.parse::<Digest>().is_err(), "{bad:?}");
        }
    }
}
