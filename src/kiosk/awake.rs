//! Keeps the screen lit while a job is open: a short program of systemd's holds the system awake as long as this one
//! wants it, and ends with it, whatever way this one ends. A desktop's own screen saver is asked beside it.

use super::desk::{Desk, Done};
use std::process::{Child, Command, Stdio};

/// What holds the screen lit, while it does.
#[derive(Debug)]
pub(super) struct Awake {
    _system: System,
    #[cfg(target_os = "linux")]
    _desktop: super::screen_saver::HeldOff,
}

impl Awake {
    /// Holds the screen lit from now on, as far as there is somebody to ask.
    pub fn hold() -> Self {
        Self {
            _system: System::hold(),
            #[cfg(target_os = "linux")]
            _desktop: super::screen_saver::HeldOff::hold(),
        }
    }
}

/// What holds the system awake, while it does.
#[derive(Debug)]
struct System(Option<Child>);

impl System {
    /// Holds the system awake from now on. Where there is no systemd nothing is held.
    fn hold() -> Self {
        // `cat` reads from a pipe that closes with this program, and then the hold ends too (systemd-inhibit(1)).
        Self::with(Command::new("systemd-inhibit").args([
            "--what=idle",
            "--mode=block",
            "--who=Witnessmark",
            "--why=A job is open",
            "cat",
        ]))
    }

    fn with(command: &mut Command) -> Self {
        let quiet = command
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        Self(quiet.spawn().ok())
    }
}

impl Drop for System {
    fn drop(&mut self) {
        let Some(mut child) = self.0.take() else {
            return;
        };
        drop(child.stdin.take());
        // It ends by itself; somebody has to take note, but not the screen.
        std::thread::spawn(move || child.wait());
    }
}

impl Desk {
    /// From now on the screen is kept lit while a job is open.
    pub(super) fn keep_awake(&mut self) -> Done {
        self.awake = Some(None);
        self.hold_awake();
        Ok(())
    }

    /// Holds the screen lit, or lets it go, as a job is open or not.
    pub(super) fn hold_awake(&mut self) {
        let open = self.shop.state().is_some_and(|state| !state.closed());
        if let Some(lit) = &mut self.awake
            && lit.is_some() != open
        {
            *lit = open.then(Awake::hold);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn the_hold_ends_with_whoever_holds() {
        let mut held = System::with(&mut Command::new("cat"));
        let mut child = held.0.take().expect("cat is there");
        std::thread::sleep(Duration::from_millis(50));
        assert!(matches!(child.try_wait(), Ok(None)), "it holds");
        drop(child.stdin.take());
        assert!(
            child.wait().is_ok_and(|status| status.success()),
            "it ended by itself"
        );
        let nothing = System::with(&mut Command::new("no-such-program-anywhere"));
        assert!(nothing.0.is_none());
    }
}
