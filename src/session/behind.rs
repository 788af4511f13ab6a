//! A clock that was set back: what is written now would seem older than what was written before.

use super::shop::{Session, shown};
use chrono::TimeDelta;

/// Clocks are set right by a second or two all the time.
const SLACK: TimeDelta = TimeDelta::seconds(5);

impl Session {
    /// When the last entry was written, where this machine's clock says that this lies ahead.
    #[must_use]
    pub fn clock_behind(&self) -> Option<String> {
        let of_job = self
            .job()
            .and_then(|job| job.state().facts().last())
            .map(|fact| fact.at);
        let last = self.ledger.latest().max(of_job)?;
        (self.now() + SLACK < last).then(|| shown(&last))
    }
}
