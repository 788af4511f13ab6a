//! The customer's data. They stand beside the record; the record holds commitments alone.
//!
//! A commitment is the SHA-256 of the salt, as its 64 hex digits, followed by the text in UTF-8. Without
//! the salt nobody can find the text by trying names; with both, anyone can check it:
//! `printf %s%s "$salt" "$text" | sha256sum`.

use crate::seal::{Digest, Hasher};
use serde::{Deserialize, Serialize};

/// 32 random bytes, a fresh one for each answer.
pub type Salt = [u8; 32];

/// What `personal.json` holds.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Personal {
    /// The version of this file's form: 1.
    pub v: u32,
    /// The answers, as often as they were given; an older one still opens its older commitment.
    pub answers: Vec<PersonalAnswer>,
}

/// One answer with its salt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonalAnswer {
    /// The group of the card.
    pub group: String,
    /// The field in it.
    pub field: String,
    /// The salt.
    pub salt: Digest,
    /// The text as typed.
    pub text: String,
}

impl Personal {
    /// No answers yet.
    #[must_use]
    pub fn new() -> Self {
        Self {
            v: 1,
            answers: Vec::new(),
        }
    }

    /// Keeps an answer and gives the commitment that the record holds.
    pub fn commit(&mut self, group: &str, field: &str, text: &str, salt: Salt) -> Digest {
        let salt = Digest::from_bytes(salt);
        let [group, field, kept] = [group, field, text].map(str::to_owned);
        self.answers.push(PersonalAnswer {
            group,
            field,
            salt,
            text: kept,
        });
        commitment(&salt, text)
    }

    /// The text behind a commitment, where it is known.
    #[must_use]
    pub fn text(&self, commitment: &str) -> Option<&str> {
        let opens = |answer: &&PersonalAnswer| answer.commitment().to_string() == commitment;
        self.answers.iter().find(opens).map(|answer| answer.text.as_str())
    }
}

impl PersonalAnswer {
    /// The commitment to this answer.
    #[must_use]
    pub fn commitment(&self) -> Digest {
        commitment(&self.salt, &self.text)
    }
}

/// The commitment to a text under a salt.
#[must_use]
pub fn commitment(salt: &Digest, text: &str) -> Digest {
    let mut hasher = Hasher::new();
    hasher.update(salt.to_string().as_bytes());
    hasher.update(text.as_bytes());
    hasher.finish()
}
