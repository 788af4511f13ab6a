//! SSHSIG signatures as `ssh-keygen -Y sign` makes them: Ed25519, SHA-512, armoured.

use ed25519_dalek::Verifier;
use ssh_key::{HashAlg, LineEnding, SshSig};

use super::armour::Usual;
use super::key::SigningKey;
use super::namespace::Namespace;
use super::public_key::{PublicKey, PublicKeyError};

/// The longest armoured signature that is read, in bytes. One by Ed25519 takes about 310.
const MAX_ARMOUR: usize = 1024;

/// Why a signature does not hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SignatureError {
    /// The armour is not exactly what ssh-keygen would write.
    #[error("not an armoured SSH signature as ssh-keygen writes it: {what}")]
    Armour {
        /// What was found.
        what: String,
    },
    /// The key inside is not usable.
    #[error("the signature's key is not allowed: {0}")]
    Key(#[from] PublicKeyError),
    /// The message was hashed with another algorithm.
    #[error("the message was hashed with {found}; only sha512 is allowed")]
    Hash {
        /// The algorithm's name.
        found: String,
    },
    /// The signature was made for something else.
    #[error("the signature was made for `{found}`, not for `{expected}`")]
    Namespace {
        /// The namespace inside the signature.
        found: String,
        /// The one that is needed here.
        expected: Namespace,
    },
    /// The signature was made by another key.
    #[error("the signature was made by the key {found}, not by {expected}")]
    OtherKey {
        /// The fingerprint of the key inside the signature.
        found: String,
        /// The fingerprint of the key that is needed.
        expected: String,
    },
    /// The key did not sign these bytes.
    #[error("the signature does not belong to these bytes: they or it were changed")]
    Mismatch,
}

/// Signs `message` for one purpose and gives the armoured signature, ending in LF as ssh-keygen writes it.
pub fn sign(key: &SigningKey, namespace: Namespace, message: &[u8]) -> String {
    let armour = key.with(|key| {
        key.sign(namespace.as_str(), HashAlg::Sha512, message)
            .and_then(|signature| signature.to_pem(LineEnding::LF))
    });
    // The key was checked when it was made, the namespace is never empty, and only the hash is signed.
    armour.expect("a whole Ed25519 key signs any message")
}

/// Checks that `key` signed exactly `message` for `namespace`.
///
/// # Errors
/// See [`SignatureError`]: other algorithms, other purposes, other keys and any change are told apart.
pub fn verify(
    key: &PublicKey,
    namespace: Namespace,
    message: &[u8],
    armour: &str,
) -> Result<(), SignatureError> {
    Signature::read(armour)?.verify(key, namespace, message)
}

/// A signature that was read from its armour. Nothing is proved by it until [`Signature::verify`] agrees.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signature(Form);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Form {
    Usual(Usual),
    /// By a key of another algorithm, or for a purpose that is none of ours.
    Other(SshSig),
}

impl Signature {
    /// Reads an armoured signature.
    ///
    /// # Errors
    /// The armour is not a signature that is allowed here.
    pub fn read(armour: &str) -> Result<Signature, SignatureError> {
        let form = match Usual::read(armour) {
            Some(usual) => Form::Usual(usual),
            None => Form::Other(parse(armour)?),
        };
        Ok(Signature(form))
    }

    /// The key that the signature says made it.
    ///
    /// # Errors
    /// The key is of another algorithm, no point of the curve or a weak one.
    pub fn key(&self) -> Result<PublicKey, SignatureError> {
        let key = match &self.0 {
            Form::Usual(usual) => PublicKey::from_bytes(&usual.key),
            Form::Other(other) => PublicKey::from_key_data(other.public_key()),
        };
        Ok(key?)
    }

    /// Whether the signature says that this key made it.
    pub fn names(&self, key: &PublicKey) -> bool {
        match &self.0 {
            Form::Usual(usual) => usual.key == *key.inner().as_bytes(),
            Form::Other(other) => key.is(other.public_key()),
        }
    }

    fn namespace(&self) -> &str {
        match &self.0 {
            Form::Usual(usual) => usual.namespace.as_str(),
            Form::Other(other) => other.namespace(),
        }
    }

    /// The signature itself, if it is one by Ed25519.
    fn bare(&self) -> Option<ed25519_dalek::Signature> {
        match &self.0 {
            Form::Usual(usual) => Some(ed25519_dalek::Signature::from_bytes(&usual.signature)),
            Form::Other(other) => ed25519_dalek::Signature::try_from(other.signature()).ok(),
        }
    }

    /// Checks that `key` signed exactly `message` for `namespace`.
    ///
    /// # Errors
    /// See [`SignatureError`].
    pub fn verify(
        &self,
        key: &PublicKey,
        namespace: Namespace,
        message: &[u8],
    ) -> Result<(), SignatureError> {
        if !self.names(key) {
            return Err(SignatureError::OtherKey {
                found: self.key()?.fingerprint(),
                expected: key.fingerprint(),
            });
        }
        if self.namespace() != namespace.as_str() {
            let found = self.namespace().chars().take(64).collect();
            return Err(SignatureError::Namespace {
                found,
                expected: namespace,
            });
        }
        let signed = SshSig::signed_data(namespace.as_str(), HashAlg::Sha512, message);
        let (signed, bare) = signed.ok().zip(self.bare()).ok_or(SignatureError::Mismatch)?;
        let checked = key.inner().verify(&signed, &bare);
        checked.map_err(|_| SignatureError::Mismatch)
    }
}

/// Reads the armour, and refuses every spelling but the one that ssh-keygen writes.
fn parse(armour: &str) -> Result<SshSig, SignatureError> {
    let fault = |what: String| SignatureError::Armour { what };
    if armour.len() > MAX_ARMOUR {
        return Err(fault(format!("{} bytes, more than {MAX_ARMOUR}", armour.len())));
    }
    let signature = SshSig::from_pem(armour).map_err(|error| fault(error.to_string()))?;
    if signature.hash_alg() != HashAlg::Sha512 {
        return Err(SignatureError::Hash {
            found: signature.hash_alg().to_string(),
        });
    }
    // Stock tools leave the reserved field out of what they verify, so only an empty one means the same to all.
    if signature.version() != SshSig::VERSION || !signature.reserved().is_empty() {
        return Err(fault(
            "its version is not 1 or its reserved field is not empty".into(),
        ));
    }
    match signature.to_pem(LineEnding::LF) {
        Ok(usual) if usual == armour => Ok(signature),
        _ => Err(fault("its spelling is not the usual one".into())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key() -> SigningKey {
        SigningKey::generate(&[7; 32])
    }

    #[test]
    fn what_was_signed_verifies() {
        let armour = sign(&key(), Namespace::JobRecord, b"a message");
        assert_eq!(
            verify(key().public(), Namespace::JobRecord, b"a message", &armour),
            Ok(())
        );
        assert_eq!(
            Signature::read(&armour).and_then(|read| read.key()).as_ref(),
            Ok(key().public())
        );
        assert!(armour.len() < MAX_ARMOUR / 2 && armour.ends_with("-----END SSH SIGNATURE-----\n"));
    }

    #[test]
    fn each_fault_has_its_name() {
        let armour = sign(&key(), Namespace::JobRecord, b"a message");
        let other = SigningKey::generate(&[8; 32]);
        let check =
            |key: &SigningKey, namespace, message: &[u8]| verify(key.public(), namespace, message, &armour);
        assert_eq!(
            check(&key(), Namespace::JobRecord, b"a messagf"),
            Err(SignatureError::Mismatch)
        );
        assert!(matches!(
            check(&other, Namespace::JobRecord, b"a message"),
            Err(SignatureError::OtherKey { .. })
        ));
        assert!(matches!(
            check(&key(), Namespace::PracticeRecord, b"a message"),
            Err(SignatureError::Namespace { .. })
        ));
    }

    #[test]
    fn every_changed_character_is_refused() {
        let armour = sign(&key(), Namespace::ShopLedger, b"a message");
        for at in 0..armour.len() {
            let mut bytes = armour.clone().into_bytes();
            bytes[at] = if bytes[at] == b'A' { b'B' } else { b'A' };
            let changed = String::from_utf8(bytes).expect("ASCII");
            assert!(
                verify(key().public(), Namespace::ShopLedger, b"a message", &changed).is_err(),
                "byte {at}"
            );
        }
    }

    #[test]
    fn other_spellings_are_refused() {
        let armour = sign(&key(), Namespace::JobRecord, b"m");
        let unwrapped = {
            let lines: Vec<&str> = armour.lines().collect();
            format!(
                "{}\n{}\n{}\n",
                lines[0],
                lines[1..lines.len() - 1].concat(),
                lines[lines.len() - 1]
            )
        };
        for bad in [
            armour.trim_end().to_owned(),
            format!("{armour}\n"),
            format!("\n{armour}"),
            format!("{armour}x"),
            armour.replace('\n', "\r\n"),
            unwrapped,
            String::new(),
            "x".repeat(2000),
        ] {
            let refused = verify(key().public(), Namespace::JobRecord, b"m", &bad);
            assert!(
                matches!(refused, Err(SignatureError::Armour { .. })),
                "{bad:?}: {refused:?}"
            );
        }
    }

    /// What is read the short way is what the long way reads from it, and nothing that this refuses.
    fn expect_both_agree(armour: &str) {
        if let Some(usual) = Usual::read(armour) {
            let long = Signature(Form::Other(parse(armour).expect("the long way reads it too")));
            let short = Signature(Form::Usual(usual));
            assert_eq!(short.key(), long.key(), "{armour}");
            assert_eq!(short.namespace(), long.namespace(), "{armour}");
            assert_eq!(short.bare(), long.bare(), "{armour}");
        }
    }

    #[test]
    fn both_ways_read_the_same() {
        for namespace in Namespace::ALL {
            let armour = sign(&key(), namespace, b"a message");
            assert!(Usual::read(&armour).is_some(), "{namespace}");
            expect_both_agree(&armour);
            for at in 0..armour.len() {
                for with in ["", "A", "b", "/", "=", "==", "\n", "\r", " ", "-", "\u{e9}"] {
                    expect_both_agree(&format!("{}{with}{}", &armour[..at], &armour[at..]));
                    expect_both_agree(&format!("{}{with}{}", &armour[..at], &armour[at + 1..]));
                }
                expect_both_agree(&format!("{}{}", &armour[..at], &armour[armour.len() - at..]));
            }
        }
    }

    /// Of these lengths one ends in a full line, and one in two signs of padding.
    #[test]
    fn other_purposes_are_read_the_long_way_alone() {
        for length in 1..60 {
            let signed = key().with(|key| key.sign(&"x".repeat(length), HashAlg::Sha512, b"m"));
            let armour = signed.expect("signed").to_pem(LineEnding::LF).expect("armour");
            assert_eq!(Usual::read(&armour), None);
            assert!(matches!(
                verify(key().public(), Namespace::JobRecord, b"m", &armour),
                Err(SignatureError::Namespace { .. })
            ));
        }
    }

    #[test]
    fn sha256_is_refused() {
        let signed = key()
            .with(|key| key.sign("job-record", HashAlg::Sha256, b"m"))
            .expect("signed");
        let armour = signed.to_pem(LineEnding::LF).expect("armour");
        assert_eq!(
            verify(key().public(), Namespace::JobRecord, b"m", &armour),
            Err(SignatureError::Hash {
                found: "sha256".into()
            })
        );
    }
}
