//! An author's content folder beside the screen: what is saved there can be played a second later.
//!
//! A job keeps the content that it pinned when it was opened; so only what is opened from then on shows the change.

use super::desk::{Desk, Done};
use super::wired::Wired;
use crate::say;
use crate::session::{Reload, Reloaded, SessionError};
use crate::words::Words;
use slint::{Timer, TimerMode};
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

/// How often the screen asks whether a look found something.
const TAKE: Duration = Duration::from_millis(300);
/// The most files that are named.
const MOST_NAMED: usize = 4;

type Seen = Result<Reloaded, SessionError>;

/// Begins to look; the timer has to be kept as long as the window.
pub(super) fn watch(wired: &Wired, folder: PathBuf) -> Timer {
    let (tell, told) = channel();
    std::thread::spawn(move || look(&folder, &tell));
    let timer = Timer::default();
    let wired = wired.clone();
    timer.start(TimerMode::Repeated, TAKE, move || take(&wired, &told));
    timer
}

/// Looks until the window is closed. The first look finds what is on the screen already.
fn look(folder: &std::path::Path, tell: &Sender<Seen>) {
    let mut first = true;
    Reload::new(folder).follow(&mut |seen| {
        let known = std::mem::replace(&mut first, false) && seen.is_ok();
        match known || tell.send(seen).is_ok() {
            true => ControlFlow::Continue(()),
            false => ControlFlow::Break(()),
        }
    });
}

/// Takes what was found, when nothing else is going on; until then it waits.
fn take(wired: &Wired, told: &Receiver<Seen>) {
    if wired.free()
        && let Ok(seen) = told.try_recv()
    {
        wired.run(|desk| show(desk, seen));
    }
}

fn show(desk: &mut Desk, seen: Seen) -> Done {
    let words = desk.words.clone();
    let (title, text) = match seen {
        Ok(mut seen) => {
            let told = told(&seen, &words);
            if let Some(content) = seen.content.take() {
                desk.shop.read_again(content);
            }
            told
        }
        Err(error) => (
            say!(words, "The content folder could not be read"),
            error.said(&words),
        ),
    };
    desk.announce(&title, &text)?;
    desk.refresh()
}

/// What is said of it: the first fault with the number of all, or what was changed.
fn told(seen: &Reloaded, words: &Words) -> (String, String) {
    let faults = seen.report.faults();
    if seen.content.is_none() {
        let first = faults.first().map_or_else(String::new, |fault| fault.headline());
        let count = faults.len() as u64;
        let title = say!(
            words,
            "{n} fault in the content: the last good content stays"
                | "{n} faults in the content: the last good content stays",
            n = count
        );
        return (title, first);
    }
    let mut files = seen
        .changed
        .iter()
        .take(MOST_NAMED)
        .cloned()
        .collect::<Vec<_>>()
        .join(", ");
    if seen.changed.len() > MOST_NAMED {
        files.push_str(" …");
    }
    (
        say!(words, "The content was read again"),
        say!(
            words,
            "{files}. What is opened from now on shows it; open jobs keep the content that they began with.",
            files = files
        ),
    )
}
