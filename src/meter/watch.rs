//! A meter asked again and again in the background, so that the screen never waits for it.

use super::{Meter, MeterError, Sample};
use crate::procedure::MeterLine;
use crate::quantity::Unit;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

/// The pause between two questions.
const PAUSE: Duration = Duration::from_millis(250);
/// The pause before a line is opened anew.
const AGAIN: Duration = Duration::from_secs(1);

/// What came of one question.
pub type Heard = Result<Sample, MeterError>;

/// A meter that is being asked. Dropping it ends that after the question that is under way.
#[must_use]
pub struct Watch {
    stop: Arc<AtomicBool>,
}

impl Watch {
    /// Begins to ask; `tell` gets each outcome, in a thread of its own.
    pub fn start(
        line: MeterLine,
        serial: String,
        unit: Unit,
        mut tell: impl FnMut(Heard) + Send + 'static,
    ) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        thread::spawn(move || {
            while !stopped.load(Ordering::Relaxed) {
                let trouble = ask_on(&line, &serial, unit, &stopped, &mut tell);
                if let (Err(error), false) = (trouble, stopped.load(Ordering::Relaxed)) {
                    tell(Err(error));
                    thread::sleep(AGAIN);
                }
            }
        });
        Self { stop }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// Asks until it is stopped or something is wrong with the line; an overload is told and asked again.
fn ask_on(
    line: &MeterLine,
    serial: &str,
    unit: Unit,
    stopped: &AtomicBool,
    tell: &mut dyn FnMut(Heard),
) -> Result<(), MeterError> {
    let mut meter = Meter::open(line, serial)?;
    while !stopped.load(Ordering::Relaxed) {
        match meter.sample(line, unit) {
            Err(error @ MeterError::Reply(_)) => tell(Err(error)),
            heard => tell(Ok(heard?)),
        }
        thread::sleep(PAUSE);
    }
    Ok(())
}
