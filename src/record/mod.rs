//! Facts to entries and back. `FORMAT.md` is the spec of what stands on disk.
//!
//! | file | noun |
//! | --- | --- |
//! | `kind` | the kinds of entry |
//! | `body/` | one struct for each kind, with its keys |
//! | `entry` | a fact as an entry, an entry as a fact |
//! | `said` | what a line's entry says, its fact at once |
//! | `personal` | the customer's data, which stand beside the record, and their commitments |

mod body;
mod entry;
mod kind;
mod personal;
mod said;

pub use body::Unfit;
pub use entry::{RecordError, fact, namespace, read, to_entry, write};
pub use kind::Kind;
pub use personal::{Personal, PersonalAnswer, Salt, commitment};
pub use said::{Said, open, said};

/// The program and its version, as an opening names what wrote it.
pub const PROGRAM: &str = concat!("witnessmark ", env!("CARGO_PKG_VERSION"));
