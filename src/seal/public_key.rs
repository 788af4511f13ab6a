//! A public key as OpenSSH writes it on one line. Ed25519 only.

use std::fmt;
use std::str::FromStr;

use ed25519_dalek::VerifyingKey;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use ssh_key::HashAlg;
use ssh_key::public::{Ed25519PublicKey, KeyData};

/// An Ed25519 public key that names a point no one can forge for. It is found on the curve once, not at each line.
#[derive(Clone, PartialEq, Eq)]
pub struct PublicKey(VerifyingKey);

/// Why a text is not a usable public key.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PublicKeyError {
    /// The text is not `ssh-ed25519` and its base64.
    #[error("not a public key: {what}; `ssh-ed25519 AAAA…` is expected")]
    Malformed {
        /// What was found.
        what: String,
    },
    /// The key is of another algorithm.
    #[error("the key is of the algorithm {found}; only ssh-ed25519 is allowed")]
    OtherAlgorithm {
        /// The algorithm's name.
        found: String,
    },
    /// The key is one of the few for which anyone can make signatures.
    #[error("the key is a weak point of the curve, for which anyone can make signatures")]
    Weak,
}

impl PublicKey {
    /// Reads `ssh-ed25519 BASE64`, with a comment after it or none. The comment is dropped.
    ///
    /// # Errors
    /// Another algorithm, bad base64 or more than one spelling of it, a point that is not on the curve or weak.
    pub fn from_openssh(line: &str) -> Result<PublicKey, PublicKeyError> {
        let malformed = |what: String| PublicKeyError::Malformed { what };
        let mut fields = line.splitn(3, ' ');
        let (algorithm, base64) = (
            fields.next().unwrap_or_default(),
            fields.next().unwrap_or_default(),
        );
        if algorithm != "ssh-ed25519" && !base64.is_empty() {
            return Err(PublicKeyError::OtherAlgorithm {
                found: algorithm.chars().take(40).collect(),
            });
        }
        let text = format!("{algorithm} {base64}");
        let key = ssh_key::PublicKey::from_openssh(&text).map_err(|error| malformed(error.to_string()))?;
        let key = PublicKey::from_key_data(key.key_data())?;
        if key.to_string() == text {
            Ok(key)
        } else {
            Err(malformed("its base64 is not the usual one".into()))
        }
    }

    /// Takes the key out of the signature or private key that carries it.
    pub(super) fn from_key_data(data: &KeyData) -> Result<PublicKey, PublicKeyError> {
        let Some(key) = data.ed25519() else {
            return Err(PublicKeyError::OtherAlgorithm {
                found: data.algorithm().to_string(),
            });
        };
        PublicKey::from_bytes(key.as_ref())
    }

    /// The key of these bytes.
    pub(super) fn from_bytes(bytes: &[u8; 32]) -> Result<PublicKey, PublicKeyError> {
        let point = VerifyingKey::from_bytes(bytes);
        let point = point.map_err(|_| PublicKeyError::Malformed {
            what: "not a point of the curve".into(),
        })?;
        if point.is_weak() {
            return Err(PublicKeyError::Weak);
        }
        Ok(PublicKey(point))
    }

    /// Whether this is the key that a signature carries.
    pub(super) fn is(&self, data: &KeyData) -> bool {
        data.ed25519()
            .is_some_and(|key| key.as_ref() == self.0.as_bytes())
    }

    /// The fingerprint as stock tools print it: `SHA256:` and base64.
    pub fn fingerprint(&self) -> String {
        self.openssh().fingerprint(HashAlg::Sha256).to_string()
    }

    /// The key for the cryptography below.
    pub(super) fn inner(&self) -> &VerifyingKey {
        &self.0
    }

    fn openssh(&self) -> ssh_key::PublicKey {
        KeyData::Ed25519(Ed25519PublicKey(self.0.to_bytes())).into()
    }
}

impl fmt::Display for PublicKey {
    /// Writes `ssh-ed25519 BASE64`, without a comment.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.openssh().to_openssh().map_err(|_| fmt::Error)?)
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PublicKey({})", self.fingerprint())
    }
}

impl FromStr for PublicKey {
    type Err = PublicKeyError;

    /// Reads exactly what `Display` writes: no comment.
    fn from_str(text: &str) -> Result<PublicKey, PublicKeyError> {
        let key = PublicKey::from_openssh(text)?;
        if key.to_string() == text {
            return Ok(key);
        }
        Err(PublicKeyError::Malformed {
            what: "text after the key".into(),
        })
    }
}

impl Serialize for PublicKey {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for PublicKey {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<PublicKey, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The public key of RFC 8032, section 7.1, TEST 1; line and fingerprint as OpenSSH 9.2's
    /// ssh-keygen prints them.
    const LINE: &str = "ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAINdamAGCsQq31Uv+08lkBzoO4XLz2qYjJa8CGmj3B1Ea";
    const FINGERPRINT: &str = "SHA256:bbXpuKG6zhzdmnxq256TlqzFBzRl2f6OOg722cYNbU8";

    #[test]
    fn text_and_back() {
        let key: PublicKey = LINE.parse().expect("a key");
        assert_eq!(key.to_string(), LINE);
        assert_eq!(key.fingerprint(), FINGERPRINT);
        assert_eq!(
            PublicKey::from_openssh(&format!("{LINE} ines at the bench")),
            Ok(key)
        );
    }

    #[test]
    fn refuses_other_forms() {
        for bad in [
            String::new(),
            "ssh-ed25519".to_owned(),
            format!("{LINE} comment"),
            format!(" {LINE}"),
            format!("{LINE}\n"),
            LINE.replace("ssh-ed25519 ", "ssh-ed25519  "),
            LINE.replace("ssh-ed25519", "ssh-rsa"),
            LINE.replace("B1Ea", "B1E"),
            format!("{LINE}AAAA"),
        ] {
            assert!(bad.parse::<PublicKey>().is_err(), "{bad:?}");
        }
    }

    /// The all-zero y coordinate and y = 1 are points of small order (RFC 8032, section 5.1.7 and 6, from memory).
    #[test]
    fn refuses_weak_points() {
        for y in [0_u8, 1] {
            let mut bytes = [0; 32];
            bytes[0] = y;
            let data = KeyData::Ed25519(Ed25519PublicKey(bytes));
            assert_eq!(
                PublicKey::from_key_data(&data),
                Err(PublicKeyError::Weak),
                "y = {y}"
            );
        }
    }
}
