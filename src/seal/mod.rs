//! Lines, chain, SSHSIG and allowed signers: bytes in, bytes out.
//!
//! A *line* of a `.jsonl` file is a signed *entry*: `{"entry", "signer", "sig"}`.
//! Entries form a *chain*: each carries its number and the SHA-256 of the line before it.
//! Keys, times and randomness arrive as arguments; nothing here touches a file or a clock.
//!
//! | file | noun |
//! | --- | --- |
//! | `digest` | SHA-256, as 64 hex digits |
//! | `namespace` | what a signature was made for |
//! | `signer` | the id of whoever signs |
//! | `instant` | RFC 3339 times in entries, `YYYYMMDDHHMMSSZ` in allowed signers |
//! | `json` | JSON that two readers cannot read differently |
//! | `key` | private and public keys in OpenSSH's formats |
//! | `signature` | SSHSIG |
//! | `armour` | the one form that nearly every signature has |
//! | `line`, `lines` | one signed line; a bounded reader over a file of them |
//! | `envelope` | what every entry carries, whatever its kind |
//! | `in_order` | the one form that nearly every entry has |
//! | `chain` | numbers, previous hashes, times |
//! | `allowed_signers` | who may sign what, and when |
//! | `open` | one raw line to a checked entry |
//! | `finding` | what is wrong with a line, by rule |

pub mod allowed_signers;
mod armour;
pub mod chain;
mod digest;
pub mod envelope;
mod finding;
mod in_order;
pub mod instant;
pub mod json;
mod key;
mod line;
mod lines;
mod namespace;
mod open;
mod public_key;
mod signature;
mod signer;
mod sweep;

pub use allowed_signers::AllowedSigners;
pub use chain::{Chain, Head, Link};
pub use digest::{Digest, Hasher, NotADigest, digest};
pub use envelope::Envelope;
pub use finding::{ChainFinding, Rule};
pub use in_order::{Behind, parse_in_order};
pub use key::{BCRYPT_ROUNDS, KeyError, KeySalt, MOST_BCRYPT_ROUNDS, SigningKey};
pub use line::{Line, LineError, MAX_LINE_BYTES};
pub use lines::{Lines, RawLine};
pub use namespace::{Namespace, UnknownNamespace};
pub use open::{Opened, Parse, Signers, check_line, open_line};
pub use public_key::{PublicKey, PublicKeyError};
pub use signature::{Signature, SignatureError, sign, verify};
pub use signer::{NotASignerId, SignerId};
