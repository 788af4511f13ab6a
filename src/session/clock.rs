//! The time and the randomness that pure rooms take as arguments.
#![allow(clippy::disallowed_methods)]

use crate::seal::{BCRYPT_ROUNDS, KeySalt, MOST_BCRYPT_ROUNDS, SigningKey};
use chrono::{DateTime, FixedOffset, Local, Timelike};
use std::fmt;
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// Fills bytes with randomness, or says why it cannot.
type Random = dyn Fn(&mut [u8]) -> Result<(), String> + Send;

/// Where a session takes time and randomness from.
pub struct World {
    now: Box<dyn Fn() -> DateTime<FixedOffset> + Send>,
    random: Box<Random>,
    rounds: Rounds,
}

/// How many rounds of bcrypt lock a new key: more make guessing slower.
enum Rounds {
    /// As many as tests can wait for.
    Fixed(u32),
    /// As many as this machine does in about half a second; measured when first asked for.
    Measured(OnceLock<u32>),
}

/// How long opening a key should take on the machine that locked it.
const UNLOCKING: Duration = Duration::from_millis(500);

/// The time that the fewest rounds take; the better of two tries, since something else may keep the machine busy.
fn fastest() -> Duration {
    let key = SigningKey::generate(&[0; 32]);
    let tries = (0..2).map(|_| {
        let begun = Instant::now();
        let locked = key.to_openssh_encrypted("measured", BCRYPT_ROUNDS, KeySalt::from_random([0; 20]));
        // A lock that cannot be made takes no time, and then the most rounds are taken.
        locked.map_or(Duration::ZERO, |_| begun.elapsed())
    });
    tries.min().unwrap_or(Duration::ZERO)
}

/// The rounds that take as long as unlocking should, where the fewest take this long. The time grows with the rounds.
fn fitting(fewest: Duration) -> u32 {
    let times = UNLOCKING.as_secs_f64() / fewest.as_secs_f64().max(1e-6);
    let rounds = (f64::from(BCRYPT_ROUNDS) * times).round();
    let most = f64::from(MOST_BCRYPT_ROUNDS);
    // Within these bounds the number is whole and small.
    rounds.clamp(f64::from(BCRYPT_ROUNDS), most) as u32
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
            rounds: Rounds::Measured(OnceLock::new()),
        }
    }

    /// Another clock, and fewer rounds, for tests.
    #[must_use]
    pub fn with_clock(now: impl Fn() -> DateTime<FixedOffset> + Send + 'static, rounds: u32) -> Self {
        Self {
            now: Box::new(now),
            ..Self::real().with_rounds(rounds)
        }
    }

    /// The same with this many rounds of bcrypt for new keys, whatever the machine could do.
    #[must_use]
    pub fn with_rounds(self, rounds: u32) -> Self {
        Self {
            rounds: Rounds::Fixed(rounds),
            ..self
        }
    }

    /// Rounds of bcrypt for a new key. The first time, this takes about half a second.
    #[must_use]
    pub fn rounds(&self) -> u32 {
        match &self.rounds {
            Rounds::Fixed(rounds) => *rounds,
            Rounds::Measured(measured) => *measured.get_or_init(|| fitting(fastest())),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounds_fit_the_machine_within_bounds() {
        for (milliseconds, rounds) in [
            (500, 16),
            (2000, 16),
            (250, 32),
            (100, 80),
            (50, 160),
            (10, 256),
            (0, 256),
        ] {
            assert_eq!(
                fitting(Duration::from_millis(milliseconds)),
                rounds,
                "{milliseconds} ms"
            );
        }
        assert_eq!(World::real().with_rounds(1).rounds(), 1);
        let measured = World::real();
        assert!((BCRYPT_ROUNDS..=MOST_BCRYPT_ROUNDS).contains(&measured.rounds()));
        assert_eq!(measured.rounds(), measured.rounds());
    }

    /// The figures of the security section of DEVELOPERS.md.
    #[test]
    #[ignore = "prints what this machine does"]
    fn measure_guessing() {
        let (world, key) = (World::real(), SigningKey::generate(&[0; 32]));
        let (fewest, rounds) = (fastest(), world.rounds());
        let begun = Instant::now();
        let text = key.to_openssh_encrypted("measured", rounds, KeySalt::from_random([0; 20]));
        let once = begun.elapsed();
        drop(text);
        println!("16 rounds {fewest:?}, chosen {rounds} rounds, one guess {once:?}");
    }
}
