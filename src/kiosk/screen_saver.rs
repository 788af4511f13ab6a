//! The desktop's own screen saver, held off while a job is open: some do not ask the system, but take a word over
//! the desktop's bus (freedesktop.org, "Idle Inhibition Service" draft). Where there is no such bus or nobody on it
//! knows the word, nothing is held, and nobody is told: the system is held awake beside it.

use super::bus::{Bus, To};
use std::convert::Infallible;
use std::sync::mpsc::{Receiver, Sender, channel};

const SAVER: To = To {
    name: "org.freedesktop.ScreenSaver",
    path: "/org/freedesktop/ScreenSaver",
    interface: "org.freedesktop.ScreenSaver",
};

/// Holds the screen saver off until it is dropped, or this program ends.
#[derive(Debug)]
pub(super) struct HeldOff(#[expect(dead_code, reason = "it is held")] Sender<Infallible>);

impl HeldOff {
    /// Asks for it, beside the screen.
    pub fn hold() -> Self {
        Self::over(Bus::session)
    }

    fn over(bus: impl FnOnce() -> zbus::Result<Bus> + Send + 'static) -> Self {
        let (held, until) = channel();
        std::thread::spawn(move || {
            // A desktop without that word is held awake by the system alone.
            let _ = bus().and_then(|bus| hold_off(&bus, &until));
        });
        Self(held)
    }
}

fn hold_off(bus: &Bus, until: &Receiver<Infallible>) -> zbus::Result<()> {
    let answer = bus.ask(&SAVER, "Inhibit", &("Witnessmark", "A job is open"))?;
    let cookie: u32 = answer.body().deserialize()?;
    // Nothing is ever sent: it ends when whoever holds it lets go.
    let _ = until.recv();
    bus.ask(&SAVER, "UnInhibit", &cookie).map(drop)
}

#[cfg(test)]
mod tests {
    // The test waits for what another thread tells.
    #![allow(clippy::disallowed_methods)]

    use super::super::bus::made_up::MadeUp;
    use super::*;
    use std::sync::{Arc, Mutex};
    use std::time::{Duration, Instant};

    type Told = Arc<Mutex<Vec<String>>>;

    /// A screen saver that writes down what it is told.
    struct Saver(Told);

    #[zbus::interface(name = "org.freedesktop.ScreenSaver")]
    impl Saver {
        fn inhibit(&self, who: &str, why: &str) -> u32 {
            self.tell(format!("{who}: {why}"));
            7
        }

        fn un_inhibit(&self, cookie: u32) {
            self.tell(format!("end of {cookie}"));
        }
    }

    impl Saver {
        fn tell(&self, what: String) {
            self.0.lock().expect("it is free").push(what);
        }
    }

    fn until(told: &Told, wanted: &[&str]) {
        let begun = Instant::now();
        while *told.lock().expect("it is free") != wanted {
            assert!(
                begun.elapsed() < Duration::from_secs(20),
                "{told:?}, not {wanted:?}"
            );
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    #[test]
    fn the_screen_saver_is_held_off_until_it_is_let_go() {
        let told = Told::default();
        let bus = MadeUp::with(SAVER.name, SAVER.path, Saver(Arc::clone(&told)));
        let address = bus.address.clone();
        let held = HeldOff::over(move || Bus::at(&address));
        until(&told, &["Witnessmark: A job is open"]);
        std::thread::sleep(Duration::from_millis(200));
        until(&told, &["Witnessmark: A job is open"]);
        drop(held);
        until(&told, &["Witnessmark: A job is open", "end of 7"]);
    }

    #[test]
    fn a_desktop_without_one_is_left_alone() {
        let bus = MadeUp::empty();
        let (held, until) = channel::<Infallible>();
        let line = Bus::at(&bus.address).expect("a bus");
        let why = hold_off(&line, &until).expect_err("nobody answers").to_string();
        assert!(why.contains("ServiceUnknown"), "{why}");
        drop(held);
        assert!(Bus::at("unix:path=/no/such/bus").is_err());
    }
}
