//! What was put right after an interruption: a page of its own, once, and reachable from the tablet's settings.

use super::desk::{Desk, Done, Overlay};
use super::wired::Wired;
use super::{App, RecoveryPage};
use crate::say;
use crate::session::Session;
use crate::words::Words;
use slint::ComponentHandle;

/// What start-up put right, as the page says it.
#[derive(Clone, Debug, Default)]
pub(super) struct Recovered {
    at: String,
    righted: Vec<String>,
    /// The job that was worked on last, and when.
    last: Option<(String, String)>,
}

impl Recovered {
    /// What this session found when it was opened.
    pub fn of(session: &Session) -> Self {
        let last = session.jobs().into_iter().find_map(|job| {
            let at = job.stands?.at;
            Some((job.number, at)).filter(|(_, at)| !at.is_empty())
        });
        Self {
            at: session.now().format("%Y-%m-%d %H:%M").to_string(),
            righted: session.recovered.clone(),
            last,
        }
    }

    /// Whether anything had to be put right.
    pub fn any(&self) -> bool {
        !self.righted.is_empty()
    }

    fn when(&self, words: &Words) -> String {
        let at = self.at.as_str();
        match &self.last {
            Some((number, last)) => say!(
                words,
                "The tablet was started again on {at}. The last entry before that is of {last}, in job {number}.",
                at = at,
                last = last,
                number = number
            ),
            None => say!(words, "The tablet was started again on {at}.", at = at),
        }
    }

    fn next(&self, words: &Words) -> String {
        match &self.last {
            Some((number, _)) => say!(
                words,
                "Sign on, and open job {number} again: its page shows what comes now. What it asks for once more was not yet written, so do or type it again.",
                number = number
            ),
            None => say!(
                words,
                "Sign on and go on. What a page asks for once more was not yet written, so do or type it again."
            ),
        }
    }
}

/// Brings the page to the screen.
pub(super) fn show(app: &App, desk: &Desk) {
    let view = app.global::<RecoveryPage>();
    let (found, words) = (&desk.recovered, &desk.words);
    view.set_any(found.any());
    view.set_when(found.when(words).into());
    view.set_next(found.next(words).into());
    let righted = super::lines(&found.righted);
    super::fill(view.get_righted(), righted, |rows| view.set_righted(rows));
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<RecoveryPage>();
    view.on_open(desk.on(Desk::show_recovery));
    view.on_close(desk.on(Desk::back));
}

impl Desk {
    /// Shows what was put right when the tablet was started.
    pub(super) fn show_recovery(&mut self) -> Done {
        self.over(Overlay::Recovery)
    }
}
