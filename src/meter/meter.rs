//! A meter that said who it is, and one value of it.

use super::MeterError;
use super::line::{Line, PATIENCE};
use crate::procedure::MeterLine;
use crate::quantity::{Quantity, Unit};
use crate::scpi::{self, Address, IDENTITY, Identity, TROUBLE};
use std::time::Duration;

/// A meter at the end of an open line.
pub struct Meter {
    line: Line,
    identity: Identity,
}

/// One value as the meter gave it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    /// The reply to `*IDN?`, as it came.
    pub identity: String,
    /// What was asked.
    pub asked: String,
    /// The reply, as it came.
    pub reply: String,
    /// The reply in the unit of the question.
    pub value: Quantity,
}

impl Meter {
    /// Opens the line of the register's meter and makes sure that it is the one with this serial number.
    ///
    /// # Errors
    /// It cannot be reached, does not answer, or is another one.
    pub fn open(line: &MeterLine, serial: &str) -> Result<Self, MeterError> {
        Self::within(&line.at, serial, PATIENCE)
    }

    /// As [`Meter::open`], with another patience for each reply.
    ///
    /// # Errors
    /// As [`Meter::open`].
    pub fn within(at: &Address, serial: &str, patience: Duration) -> Result<Self, MeterError> {
        let mut line = Line::open(at, patience)?;
        let identity = Identity::read(&line.ask(IDENTITY)?)?;
        if !identity.is(serial) {
            return Err(MeterError::Stranger {
                at: at.clone(),
                found: identity.serial,
                expected: serial.to_owned(),
            });
        }
        Ok(Self { line, identity })
    }

    /// What the meter said of itself.
    #[must_use]
    pub fn identity(&self) -> &Identity {
        &self.identity
    }

    /// Asks for one value in this unit.
    ///
    /// # Errors
    /// The register has no question for the unit; the meter is silent, overloaded, or answers something else.
    /// After an error the meter has to be opened anew.
    pub fn sample(&mut self, line: &MeterLine, unit: Unit) -> Result<Sample, MeterError> {
        let (unit, query) = line.question_for(unit).ok_or_else(|| MeterError::NotAsked {
            unit,
            has: line.units_in_words(),
        })?;
        let reply = self.line.ask(query.as_str())?;
        let value = Quantity::new(scpi::number(&reply)?, unit)?;
        Ok(Sample {
            identity: self.identity.raw.clone(),
            asked: query.to_string(),
            reply,
            value,
        })
    }

    /// Whether the meter has a trouble of its own to tell.
    ///
    /// # Errors
    /// The trouble; or the line's.
    pub fn troubles(&mut self) -> Result<(), MeterError> {
        Ok(scpi::trouble(&self.line.ask(TROUBLE)?)?)
    }
}
