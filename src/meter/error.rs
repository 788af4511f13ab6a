//! Why a meter gives no value.

use crate::quantity::{QuantityError, Unit};
use crate::scpi::{Address, ReplyError};
use std::time::Duration;

/// What failed, where, and one hint.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MeterError {
    /// Nobody answers there.
    #[error("{at} cannot be reached ({why}): is the meter on, and its lead in?")]
    Unreachable { at: Address, why: String },
    /// It was asked and said nothing in time.
    #[error("{at} did not answer `{asked}` within {} s: does it know that question, and is the speed of its line right?", .waited.as_secs_f32())]
    Silent {
        at: Address,
        asked: String,
        waited: Duration,
    },
    /// The line broke off.
    #[error("the line to {at} broke off ({why})")]
    Broken { at: Address, why: String },
    /// Not one line of plain text.
    #[error("{at} answered `{asked}` with what is not one line of plain text")]
    Garbled { at: Address, asked: String },
    /// Another meter than the register says.
    #[error(
        "the meter at {at} says that its serial number is `{found}`; the register has `{expected}`. Put the right meter on this line, or mend the register"
    )]
    Stranger {
        at: Address,
        found: String,
        expected: String,
    },
    /// The register has no question for this.
    #[error("the register has no question to this meter for {}; it has {has}", .unit.symbol())]
    NotAsked { unit: Unit, has: String },
    /// The reply is no reading.
    #[error("{0}")]
    Reply(#[from] ReplyError),
    /// The number is no quantity.
    #[error("{0}")]
    Quantity(#[from] QuantityError),
}
