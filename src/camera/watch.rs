//! A camera looked through beside the screen, so that the screen never waits for it.

use super::device::{Came, Device};
use super::error::CameraError;
use super::frame::Frame;
use crate::photo::Seen;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

/// How long a camera may take for a picture that can be read. Some set their exposure for a second or two before the
/// first (common practice, no source).
pub const PATIENCE: Duration = Duration::from_secs(4);
/// How long a frame is waited for before anybody asks whether it is still wanted.
const SLICE: Duration = Duration::from_millis(100);
/// The least time between two pictures that are decoded; what comes between is passed over.
const PACE: Duration = Duration::from_millis(110);
/// The pause before a camera is opened anew.
const AGAIN: Duration = Duration::from_secs(1);

/// One camera at a time: the one that is left may still be closing when the next is opened.
static HELD: Mutex<()> = Mutex::new(());

/// A frame, and what is seen of it on the screen.
#[derive(Debug)]
pub struct Picture {
    pub seen: Seen,
    pub frame: Frame,
}

type Saw = Result<Picture, CameraError>;

/// A camera that is looked through. Dropping it lets go of the camera within a fraction of a second.
#[must_use]
pub struct Watch {
    path: String,
    stop: Arc<AtomicBool>,
    last: Arc<Mutex<Option<Saw>>>,
    thread: Option<JoinHandle<()>>,
}

impl Watch {
    /// Begins to look through the camera at this path, at pictures of at most `side` pixels. After an error it is
    /// opened anew again and again.
    pub fn start(path: &str, side: u32) -> Self {
        let (stop, last) = (Arc::new(AtomicBool::new(false)), Arc::default());
        let lens = Lens {
            path: path.to_owned(),
            side,
            stop: Arc::clone(&stop),
            last: Arc::clone(&last),
        };
        let thread = Some(thread::spawn(move || lens.work()));
        Self {
            path: path.to_owned(),
            stop,
            last,
            thread,
        }
    }

    /// What was seen last, if anything was since the last time.
    pub fn look(&mut self) -> Option<Saw> {
        let saw = held(&self.last).take();
        if saw.is_none() && self.thread.as_ref().is_some_and(JoinHandle::is_finished) {
            let thread = self.thread.take()?;
            let why = thread.join().err().and_then(|why| why.downcast::<String>().ok());
            let why = why.map_or_else(|| "its driver answers what makes no sense".to_owned(), |why| *why);
            return Some(Err(CameraError::Broken {
                path: self.path.clone(),
                why,
            }));
        }
        saw
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// The thread's side of it.
struct Lens {
    path: String,
    side: u32,
    stop: Arc<AtomicBool>,
    last: Arc<Mutex<Option<Saw>>>,
}

impl Lens {
    fn work(&self) {
        let _held = held(&HELD);
        while self.wanted() {
            if let Err(error) = self.film() {
                self.tell(Err(error));
                self.rest();
            }
        }
    }

    fn wanted(&self) -> bool {
        !self.stop.load(Ordering::Relaxed)
    }

    fn tell(&self, saw: Saw) {
        *held(&self.last) = Some(saw);
    }

    fn rest(&self) {
        let begun = Instant::now();
        while self.wanted() && begun.elapsed() < AGAIN {
            thread::sleep(SLICE);
        }
    }

    /// Films until nobody wants it any more.
    fn film(&self) -> Result<(), CameraError> {
        let mut device = Device::open(&self.path)?;
        let (mut good, mut shown, mut fault) = (Instant::now(), None::<Instant>, None);
        while self.wanted() {
            let due = shown.is_none_or(|shown| shown.elapsed() >= PACE);
            match device.next(SLICE, due)? {
                Came::Nothing => {}
                Came::Passed => good = Instant::now(),
                Came::Frame(frame) => match frame.and_then(|frame| Ok((frame.seen(self.side)?, frame))) {
                    Ok((seen, frame)) => {
                        self.tell(Ok(Picture { seen, frame }));
                        good = Instant::now();
                        (shown, fault) = (Some(good), None);
                    }
                    Err(error) => fault = Some(error),
                },
            }
            if good.elapsed() > PATIENCE {
                return Err(self.nothing_came(fault.map(|fault| fault.to_string())));
            }
        }
        Ok(())
    }

    fn nothing_came(&self, fault: Option<String>) -> CameraError {
        let path = self.path.clone();
        match fault {
            Some(why) => CameraError::Garbled { path, why },
            None => CameraError::Silent {
                path,
                waited: PATIENCE,
            },
        }
    }
}

/// What is in a lock, also after a thread ended badly that held it.
fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}
