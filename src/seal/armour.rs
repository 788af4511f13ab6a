//! The one form that nearly every signature has: by an Ed25519 key, for a purpose of ours, as ssh-keygen writes it.
//!
//! Each field stands at its place, so it is read without detours, and only if it is exactly that. Whatever differs is
//! left to `ssh-key`, which reads every form of a signature and can say what is wrong with it.

use base64::Engine;
use base64::prelude::BASE64_STANDARD;

use super::namespace::Namespace;

const BEGIN: &str = "-----BEGIN SSH SIGNATURE-----\n";
const END: &str = "\n-----END SSH SIGNATURE-----\n";
/// How many characters each line of base64 has; the last one may be shorter.
const WIDTH: usize = 70;
/// The most characters of base64: more than a signature for the longest namespace takes.
const MOST: usize = 4 * WIDTH;

/// The magic, version 1, and an Ed25519 key of 32 bytes.
const BEFORE_KEY: &[u8] = b"SSHSIG\0\0\0\x01\0\0\0\x33\0\0\0\x0bssh-ed25519\0\0\0\x20";
/// An empty reserved field, the hash, and an Ed25519 signature of 64 bytes.
const BEFORE_SIGNATURE: &[u8] = b"\0\0\0\0\0\0\0\x06sha512\0\0\0\x53\0\0\0\x0bssh-ed25519\0\0\0\x40";

/// What a signature of that form says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Usual {
    pub key: [u8; 32],
    pub namespace: Namespace,
    pub signature: [u8; 64],
}

impl Usual {
    /// Reads an armoured signature that has exactly this form; none where anything differs.
    pub fn read(armour: &str) -> Option<Usual> {
        let mut bytes = [0; MOST];
        let rest = decode(armour, &mut bytes)?.strip_prefix(BEFORE_KEY)?;
        let (key, rest) = rest.split_first_chunk()?;
        let (length, rest) = rest.split_first_chunk()?;
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        let (namespace, rest) = rest.split_at_checked(length)?;
        let signature = rest.strip_prefix(BEFORE_SIGNATURE)?;
        Some(Usual {
            key: *key,
            namespace: std::str::from_utf8(namespace).ok()?.parse().ok()?,
            signature: signature.try_into().ok()?,
        })
    }
}

/// The bytes inside the armour, which has one spelling only: wrapped at [`WIDTH`], padded, nothing left over.
fn decode<'b>(armour: &str, bytes: &'b mut [u8]) -> Option<&'b [u8]> {
    let wrapped = armour.strip_prefix(BEGIN)?.strip_suffix(END)?.as_bytes();
    // An empty last line would be another spelling.
    if wrapped.ends_with(b"\n") {
        return None;
    }
    let (mut base64, mut length) = ([0; MOST], 0);
    for line in wrapped.chunks(WIDTH + 1) {
        let line = if line.len() > WIDTH {
            line.strip_suffix(b"\n")?
        } else {
            line
        };
        base64.get_mut(length..length + line.len())?.copy_from_slice(line);
        length += line.len();
    }
    let decoded = BASE64_STANDARD.decode_slice(&base64[..length], bytes).ok()?;
    bytes.get(..decoded)
}
