//! A meter of the register listened to beside the screen: what it says at this moment, and the value that is taken.
//!
//! What is taken is the value that was shown, never one that came after it and that nobody saw.
#![allow(clippy::disallowed_methods)]

use super::shop::Session;
use crate::meter::{Heard, MeterError, Sample, Watch};
use crate::page::live::LiveState;
use crate::player::fact::Live as Said;
use crate::procedure::{Instrument, MeterLine};
use crate::quantity::Unit;
use crate::scpi::ReplyError;
use chrono::{DateTime, FixedOffset, TimeDelta};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// A value that nothing has followed for longer than this is no longer what the meter shows.
const FRESH: Duration = Duration::from_secs(2);

/// A meter that is listened to. Dropping it lets go of the line after the question that is under way.
pub struct Live {
    instrument: String,
    serial: String,
    line: MeterLine,
    heard: Receiver<(Instant, Heard)>,
    last: Option<(Instant, Heard)>,
    /// When the meter said anything last.
    word_at: Option<Instant>,
    _watch: Watch,
}

/// A value as it is entered: what stands for the typed text, and what the meter said.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    pub typed: String,
    pub said: Said,
}

impl Session {
    /// Begins to listen to this instrument of the open job's register, for values of this unit's dimension; nothing
    /// where the register has no line to it.
    #[must_use]
    pub fn listen(&self, instrument: &str, unit: Unit) -> Option<Live> {
        let register = &self.job()?.state().play().instruments;
        Live::to(register.iter().find(|found| found.id == instrument)?, unit)
    }
}

impl Live {
    /// Begins to listen; nothing where the register has no line to the instrument.
    #[must_use]
    pub fn to(instrument: &Instrument, unit: Unit) -> Option<Self> {
        let line = instrument.meter.clone()?;
        let (tell, heard) = channel();
        let tell = move |outcome| {
            // Nobody listens any more where this fails, and the watch ends with that.
            let _ = tell.send((Instant::now(), outcome));
        };
        let serial = instrument.serial.clone();
        Some(Self {
            instrument: instrument.id.clone(),
            _watch: Watch::start(line.clone(), serial.clone(), unit, tell),
            serial,
            line,
            heard,
            last: None,
            word_at: None,
        })
    }

    /// The id of the instrument.
    #[must_use]
    pub fn instrument(&self) -> &str {
        &self.instrument
    }

    /// Takes in what came since the last look. Says whether anything did.
    pub fn look(&mut self) -> bool {
        let mut came = false;
        loop {
            match self.heard.try_recv() {
                Ok(heard) => self.hear(heard),
                Err(TryRecvError::Empty | TryRecvError::Disconnected) => return came,
            }
            came = true;
        }
    }

    fn hear(&mut self, heard: (Instant, Heard)) {
        if matches!(
            heard.1,
            Ok(_) | Err(MeterError::Reply(_) | MeterError::Quantity(_))
        ) {
            self.word_at = Some(heard.0);
        }
        self.last = Some(heard);
    }

    /// How it stands now, which is `clock` on the tablet.
    #[must_use]
    pub fn state(&self, clock: DateTime<FixedOffset>) -> LiveState {
        self.state_at(Instant::now(), clock)
    }

    fn state_at(&self, now: Instant, clock: DateTime<FixedOffset>) -> LiveState {
        let silent = |since: Instant| {
            let passed = TimeDelta::from_std(now.saturating_duration_since(since)).unwrap_or_default();
            let since = (clock - passed).format("%H:%M:%S").to_string();
            LiveState::Silent { since }
        };
        let no_answer = || LiveState::NoAnswer {
            at: self.line.at.to_string(),
        };
        match &self.last {
            None => LiveState::Connecting {
                at: self.line.at.to_string(),
            },
            Some((at, Ok(_))) if now.saturating_duration_since(*at) > FRESH => silent(*at),
            Some((_, Ok(sample))) => LiveState::Value(sample.value),
            Some((_, Err(error))) => self
                .trouble(error)
                .unwrap_or_else(|| self.word_at.map_or_else(no_answer, silent)),
        }
    }

    /// What the meter answered instead of a value; nothing where it did not answer.
    fn trouble(&self, error: &MeterError) -> Option<LiveState> {
        Some(match error {
            MeterError::Unreachable { .. } | MeterError::Silent { .. } | MeterError::Broken { .. } => {
                return None;
            }
            MeterError::Garbled { .. } => LiveState::Garbled,
            MeterError::Stranger { found, .. } => LiveState::Stranger {
                found: found.clone(),
                expected: self.serial.clone(),
            },
            MeterError::NotAsked { unit, has } => LiveState::Misfit {
                unit: unit.symbol(),
                has: has.clone(),
            },
            MeterError::Reply(ReplyError::Overload { .. }) => LiveState::Overload,
            MeterError::Reply(ReplyError::NoValue { .. }) => LiveState::NoValue,
            MeterError::Reply(ReplyError::Identity { found }) => LiveState::Nameless { found: found.clone() },
            MeterError::Reply(ReplyError::NotANumber { found } | ReplyError::NotATrouble { found }) => {
                LiveState::NoReading { reply: found.clone() }
            }
            MeterError::Reply(ReplyError::Trouble { says, .. }) => {
                LiveState::NoReading { reply: says.clone() }
            }
            MeterError::Quantity(error) => LiveState::NoReading {
                reply: error.to_string(),
            },
        })
    }

    /// The value that stood there at the last look, as it is entered.
    ///
    /// # Errors
    /// Why there is none.
    pub fn take(&self, clock: DateTime<FixedOffset>) -> Result<Taken, LiveState> {
        match (&self.last, self.state(clock)) {
            (Some((_, Ok(sample))), LiveState::Value(_)) => Ok(taken(sample)),
            (_, state) => Err(state),
        }
    }
}

fn taken(sample: &Sample) -> Taken {
    Taken {
        typed: sample.value.to_string(),
        said: Said {
            identity: sample.identity.clone(),
            asked: sample.asked.clone(),
            reply: sample.reply.clone(),
        },
    }
}
