//! Whether a time server keeps this tablet's clock right, as far as the system says.
//!
//! A workshop's tablet may never see a network. Then its clock goes as it was set by hand, and the only one who can
//! tell whether that was right is the person who opens a job; so they are asked to look there, and nowhere else.

use super::desk::{Desk, Done};
use crate::say;
use crate::words::Words;
use chrono::{DateTime, FixedOffset};
use std::sync::mpsc::{Receiver, channel};

/// What the system said of its clock.
#[derive(Debug)]
pub(super) struct Timekeeper {
    answer: Receiver<Option<bool>>,
    /// Whether a server keeps it right; none where that cannot be known.
    kept: Option<bool>,
}

impl Timekeeper {
    /// Asks the system, beside the screen.
    pub fn ask() -> Self {
        Self::ask_with(kept_right)
    }

    fn ask_with(ask: impl FnOnce() -> Option<bool> + Send + 'static) -> Self {
        let (tell, answer) = channel();
        std::thread::spawn(move || {
            // Nobody waits any more where this fails.
            let _ = tell.send(ask());
        });
        Self { answer, kept: None }
    }

    /// Takes the answer, if it has come since the last time.
    pub fn hear(&mut self) -> bool {
        let answer = self.answer.try_recv();
        self.kept = answer.unwrap_or(self.kept);
        answer.is_ok()
    }

    /// What a person should look at before a job is opened; nothing where a server keeps the clock, or where nobody
    /// knows.
    pub fn says(&self, now: DateTime<FixedOffset>, words: &Words) -> Option<String> {
        (self.kept == Some(false)).then(|| {
            say!(
                words,
                "No time server keeps this tablet's clock right. It says {at}: compare it with another before you open a job.",
                at = now.format("%Y-%m-%d %H:%M")
            )
        })
    }
}

impl Desk {
    /// Asks the system after its clock.
    pub(super) fn ask_after_clock(&mut self) -> Done {
        // Until it answers, what it said last still stands.
        let kept = self.timekeeper.as_ref().and_then(|keeper| keeper.kept);
        self.timekeeper = Some(Timekeeper {
            kept,
            ..Timekeeper::ask()
        });
        Ok(())
    }

    /// Takes the answer; a page that asks for a look at the clock says so from then on.
    pub(super) fn hear_of_clock(&mut self) {
        if self.timekeeper.as_mut().is_some_and(Timekeeper::hear) && self.list.starting {
            let done = self.refresh();
            self.answer_for(done);
        }
    }
}

#[cfg(not(target_os = "linux"))]
fn kept_right() -> Option<bool> {
    None
}

#[cfg(target_os = "linux")]
use on_linux::kept_right;

#[cfg(target_os = "linux")]
mod on_linux {
    #![allow(clippy::disallowed_methods)]
    use super::super::bus::{Bus, To};
    use std::path::Path;
    use std::time::{Duration, SystemTime};
    use zbus::zvariant::OwnedValue;

    /// Touched whenever systemd has set the clock by a server (systemd-timesyncd(8)).
    const SET: &str = "/run/systemd/timesync/synchronized";
    /// For so long a clock that was set goes right enough: quartz that is off by 100 in a million loses a minute in a
    /// week (common practice, no source).
    const GOES_ON: Duration = Duration::from_secs(7 * 24 * 3600);
    /// What of systemd's asks the kernel whether anything disciplines its clock (org.freedesktop.timedate1(5)). The
    /// kiosk itself may not ask: its unit keeps it from all calls about the clock.
    const TIMEDATE: To = To {
        name: "org.freedesktop.timedate1",
        path: "/org/freedesktop/timedate1",
        interface: "org.freedesktop.DBus.Properties",
    };

    /// Whether a time server keeps the clock right; none where that cannot be known.
    pub(super) fn kept_right() -> Option<bool> {
        if set_lately(Path::new(SET), SystemTime::now()) {
            return Some(true);
        }
        synchronized(&Bus::system().ok()?)
    }

    pub(super) fn set_lately(file: &Path, now: SystemTime) -> bool {
        let set = file.metadata().and_then(|file| file.modified());
        // A clock that was set back since then was not set by a server.
        set.is_ok_and(|set| now.duration_since(set).is_ok_and(|ago| ago < GOES_ON))
    }

    pub(super) fn synchronized(bus: &Bus) -> Option<bool> {
        let answer = bus
            .ask(&TIMEDATE, "Get", &(TIMEDATE.name, "NTPSynchronized"))
            .ok()?;
        let value: OwnedValue = answer.body().deserialize().ok()?;
        value.try_into().ok()
    }

    #[cfg(test)]
    mod tests {
        use super::super::super::bus::made_up::MadeUp;
        use super::*;

        struct Timedate(bool);

        #[zbus::interface(name = "org.freedesktop.timedate1")]
        impl Timedate {
            #[zbus(property, name = "NTPSynchronized")]
            fn synchronized(&self) -> bool {
                self.0
            }
        }

        #[test]
        fn what_the_system_says_of_its_clock_is_heard() {
            for says in [true, false] {
                let bus = MadeUp::with(TIMEDATE.name, TIMEDATE.path, Timedate(says));
                let line = Bus::at(&bus.address).expect("a bus");
                assert_eq!(synchronized(&line), Some(says));
            }
            let nobody = MadeUp::empty();
            let line = Bus::at(&nobody.address).expect("a bus");
            assert_eq!(synchronized(&line), None, "nobody there knows");
        }

        #[test]
        fn a_clock_that_was_set_by_a_server_goes_right_for_a_week() {
            let file = std::env::temp_dir().join(format!("witnessmark-set-{}", std::process::id()));
            std::fs::write(&file, b"").expect("written");
            let set = file.metadata().and_then(|file| file.modified()).expect("a time");
            let hours = |hours: u64| Duration::from_secs(hours * 3600);
            assert!(set_lately(&file, set + hours(167)));
            assert!(!set_lately(&file, set + hours(169)));
            assert!(!set_lately(&file, set - hours(1)), "it was set back");
            std::fs::remove_file(&file).expect("removed");
            assert!(!set_lately(&file, set), "it never was");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_clock_that_nobody_keeps_is_spoken_of() {
        let now = DateTime::parse_from_rfc3339("2026-03-02T10:41:00+01:00").expect("a time");
        let said = |answer: Option<bool>| {
            let mut keeper = Timekeeper::ask_with(move || answer);
            while !keeper.hear() {
                std::thread::yield_now();
            }
            assert!(!keeper.hear(), "it is told once");
            keeper.says(now, &Words::english())
        };
        assert_eq!(said(Some(true)), None);
        assert_eq!(said(None), None);
        let text = said(Some(false)).expect("a sentence");
        assert!(text.contains("It says 2026-03-02 10:41: compare it"), "{text}");
    }
}
