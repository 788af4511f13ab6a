//! Tells the system's supervisor that the kiosk is up, and then that its screen still answers.
//!
//! The word goes out from the event loop itself: where the loop hangs, it stays away, and systemd starts the
//! kiosk anew (`WatchdogSec=` in `debian/`). Every acknowledged entry is on the disk by then.

use slint::{Timer, TimerMode};
use std::time::Duration;

/// Begins to tell; the timer has to be kept as long as the window. Nothing is told where nobody listens.
pub(super) fn tell() -> Timer {
    let timer = Timer::default();
    Timer::single_shot(Duration::ZERO, || notify(ready()));
    if let Some(within) = watched() {
        // Half of the time that is allowed, as systemd's own manual advises (sd_watchdog_enabled(3)).
        timer.start(TimerMode::Repeated, within / 2, || notify(alive()));
    }
    timer
}

#[cfg(target_os = "linux")]
mod linux {
    use sd_notify::NotifyState;
    use std::time::Duration;

    pub type Word = NotifyState<'static>;

    pub fn ready() -> Word {
        NotifyState::Ready
    }

    pub fn alive() -> Word {
        NotifyState::Watchdog
    }

    pub fn watched() -> Option<Duration> {
        sd_notify::watchdog_enabled()
    }

    /// A supervisor that does not listen is no reason to stop working.
    pub fn notify(word: Word) {
        let _ = sd_notify::notify(&[word]);
    }
}

#[cfg(not(target_os = "linux"))]
mod elsewhere {
    use std::time::Duration;

    pub fn ready() {}

    pub fn alive() {}

    pub fn watched() -> Option<Duration> {
        None
    }

    pub fn notify((): ()) {}
}

#[cfg(not(target_os = "linux"))]
use elsewhere::{alive, notify, ready, watched};
#[cfg(target_os = "linux")]
use linux::{alive, notify, ready, watched};
