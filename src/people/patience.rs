//! How long somebody waits after a wrong passphrase: one second, then two, then four, at most a minute.
//!
//! The wait makes guessing at the tablet hopeless and keeps nobody out for good. Whoever copies the key files guesses
//! without it; against that stands only a good passphrase.

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};

/// The longest wait, in seconds.
pub const MOST: i64 = 60;

/// Wrong passphrases of one person in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Tries {
    /// How many there were; at least one.
    pub wrong: u32,
    /// When the last one was typed.
    pub at: DateTime<Utc>,
}

impl Tries {
    /// One more wrong passphrase.
    #[must_use]
    pub fn another(before: Option<Self>, at: DateTime<Utc>) -> Self {
        let wrong = before.map_or(0, |tries| tries.wrong).saturating_add(1);
        Self { wrong, at }
    }

    /// How long the whole wait is, in seconds.
    #[must_use]
    pub fn pause(self) -> i64 {
        let doubled = self.wrong.saturating_sub(1).min(6);
        if self.wrong == 0 {
            0
        } else {
            MOST.min(1 << doubled)
        }
    }

    /// How many seconds of it are left; 0 when the next passphrase may be typed. A clock that was set back by more
    /// than the longest wait ends it, for nobody may wait a day for it.
    #[must_use]
    pub fn left(self, now: DateTime<Utc>) -> u32 {
        let since = now - self.at;
        if since < TimeDelta::seconds(-MOST) {
            return 0;
        }
        let left = TimeDelta::seconds(self.pause()) - since.max(TimeDelta::zero());
        // A part of a second is waited as a whole one.
        let seconds = (left + TimeDelta::milliseconds(999)).num_seconds();
        u32::try_from(seconds).unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_800_000_000 + seconds, 0).expect("a time")
    }

    #[test]
    fn each_wrong_passphrase_doubles_the_wait_up_to_a_minute() {
        let mut tries = None;
        let mut waits = Vec::new();
        for _ in 0..9 {
            let now = Tries::another(tries, at(0));
            waits.push(now.left(at(0)));
            tries = Some(now);
        }
        assert_eq!(waits, [1, 2, 4, 8, 16, 32, 60, 60, 60]);
        let many = Tries {
            wrong: u32::MAX,
            at: at(0),
        };
        assert_eq!(Tries::another(Some(many), at(0)).left(at(0)), 60);
    }

    #[test]
    fn the_wait_runs_down_and_ends() {
        let tries = Tries { wrong: 3, at: at(0) };
        let left: Vec<u32> = [0, 1, 3, 4, 5, 100_000].map(|now| tries.left(at(now))).to_vec();
        assert_eq!(left, [4, 3, 1, 0, 0, 0]);
        assert_eq!(tries.left(at(3) + TimeDelta::milliseconds(1)), 1);
    }

    #[test]
    fn a_clock_that_was_set_back_lengthens_no_wait() {
        let tries = Tries { wrong: 3, at: at(0) };
        assert_eq!(tries.left(at(-2)), 4, "never more than the whole wait");
        assert_eq!(tries.left(at(-60)), 4);
        assert_eq!(tries.left(at(-61)), 0);
        assert_eq!(tries.left(at(-86_400)), 0);
    }
}
