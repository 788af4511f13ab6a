//! The time and the randomness that pure rooms take as arguments.
#![allow(clippy::disallowed_methods)]

use chrono::{DateTime, FixedOffset, Local, Timelike};
use std::fmt;

/// Fills bytes with randomness, or says why it cannot.
type Random = dyn Fn(&mut [u8]) -> Result<(), String> + Send;

/// Where a session takes time and randomness from.
pub struct World {
    now: Box<dyn Fn() -> DateTime<FixedOffset> + Send>,
    random: Box<Random>,
    /// Rounds of bcrypt for new passphrase-locked keys; more make guessing slower.
    pub rounds: u32,
}

impl fmt::Debug for World {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("World")
    }
}

impl World {
    /// The machine's own clock and randomness.
    #[must_use]
    pub fn real() -> Self {
        Self {
            now: Box::new(|| Local::now().fixed_offset()),
            random: Box::new(|bytes| getrandom::fill(bytes).map_err(|error| error.to_string())),
            rounds: crate::seal::BCRYPT_ROUNDS,
        }
    }

    /// Another clock, and fewer rounds, for tests.
    #[must_use]
    pub fn with_clock(now: impl Fn() -> DateTime<FixedOffset> + Send + 'static, rounds: u32) -> Self {
        Self {
            now: Box::new(now),
            rounds,
            ..Self::real()
        }
    }

    /// Now, in whole seconds, as entries carry it.
    #[must_use]
    pub fn now(&self) -> DateTime<FixedOffset> {
        let now = (self.now)();
        now.with_nanosecond(0).unwrap_or(now)
    }

    /// Random bytes.
    ///
    /// # Errors
    /// The system gives none.
    pub fn bytes<const N: usize>(&self) -> Result<[u8; N], super::SessionError> {
        let mut bytes = [0; N];
        (self.random)(&mut bytes).map_err(super::SessionError::Randomness)?;
        Ok(bytes)
    }
}
