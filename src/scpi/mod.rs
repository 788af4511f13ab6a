//! What the program and a meter say to each other: IEEE 488.2 and SCPI, as text.
//!
//! The program only asks. Whatever is sent ends in a question mark, so that no register of instruments, whoever
//! wrote it, can switch a supply on or change a calibration.
//!
//! ```
//! use witnessmark::scpi::{Query, number};
//!
//! let query: Query = "MEASure:VOLTage:DC?".parse().unwrap();
//! assert_eq!(query.as_str(), "MEASure:VOLTage:DC?");
//! assert_eq!(number("+1.26031000E+01").unwrap(), 12.6031);
//! assert!(number("9.90000000E+37").unwrap_err().to_string().contains("overload"));
//! ```

mod address;
mod identity;
mod query;
mod reply;

pub use address::{Address, AddressError};
pub use identity::Identity;
pub use query::{Query, QueryError};
pub use reply::{ReplyError, number, trouble};

/// Asks who the meter is (IEEE 488.2, common query).
pub const IDENTITY: &str = "*IDN?";
/// Asks for the oldest trouble in the meter's queue (SCPI-1999, volume 2, SYSTem subsystem; from memory).
pub const TROUBLE: &str = "SYST:ERR?";
/// The longest reply that is read, in bytes: an identity has at most 72 characters by IEEE 488.2 (from memory).
pub const LONGEST: usize = 256;
