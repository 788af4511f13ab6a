//! Meters that speak SCPI over the workshop's own network or a serial line.
//!
//! | file | noun |
//! | --- | --- |
//! | `line` | bytes to and from a meter, within a time |
//! | `meter` | a meter that said who it is, and one value of it |
//! | `error` | why there is no value, and one hint |
//! | `watch` | a meter asked again and again in the background |
//!
//! Nothing here decides what a value means: a person looks at it and takes it, and the player judges it like a
//! typed one.
#![allow(clippy::disallowed_methods)]

mod error;
mod line;
#[allow(clippy::module_inception)]
mod meter;
mod watch;

pub use error::MeterError;
pub use line::PATIENCE;
pub use meter::{Meter, Sample};
pub use watch::{Heard, Watch};
