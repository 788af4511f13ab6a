//! The end of a procedure and of the job.

use super::desk::{Desk, Done, Trouble};
use super::sign::Purpose;
use super::wired::Wired;
use super::{AccountLine, App, CloseOutPage, ClosingPage};
use crate::page;
use crate::page::sign::{EndPage, LinesPage};
use crate::player::Event;
use crate::say;
use crate::session::Session;
use crate::words::Words;
use slint::ComponentHandle;

/// Shows what closes a procedure.
pub(super) fn show_lines(app: &App, page: &LinesPage) {
    let view = app.global::<CloseOutPage>();
    view.set_procedure(page.title.as_str().into());
    super::fill(view.get_lines(), super::lines(&page.lines), |rows| {
        view.set_lines(rows)
    });
}

/// Shows the account of the job and its two signatures.
pub(super) fn show(app: &App, page: &EndPage, words: &Words) {
    let view = app.global::<ClosingPage>();
    super::fill(view.get_lines(), super::list(account(page, words)), |rows| {
        view.set_lines(rows)
    });
    view.set_statement(page.sign_off_statement.as_str().into());
    view.set_release_statement(page.release_statement.as_str().into());
    view.set_signed(page.signed_off);
    view.set_signed_text(words.say("Signed").into());
    view.set_released(page.released);
    view.set_released_text(words.say("Released").into());
    view.set_closed(page.closed);
    view.set_can_sign(!page.signed_off && page.unrestored.is_empty());
    view.set_can_release(page.signed_off && !page.released);
}

fn account(page: &EndPage, words: &Words) -> Vec<AccountLine> {
    let of = |n: usize, all: usize| say!(words, "{n} of {all}", n = n, all = all);
    let line = |label: &str, value: String, settled: bool| AccountLine {
        label: label.into(),
        value: value.into(),
        settled,
    };
    let marks = &page.strip.marks;
    let holds = marks.iter().filter(|mark| mark.hold).count();
    let released = marks.iter().filter(|mark| mark.hold && mark.released).count();
    let open = marks
        .iter()
        .filter(|mark| mark.deviation && !mark.settled)
        .count();
    let mut lines = vec![
        line(
            words.say("Steps marked done"),
            of(page.strip.done, page.strip.total),
            page.strip.done == page.strip.total,
        ),
        line(
            words.say("Hold points released"),
            of(released, holds),
            released == holds,
        ),
        line(
            words.say("Deviations"),
            deviations(page.deviations.len(), open, words),
            open == 0,
        ),
    ];
    if page.unrestored.is_empty() {
        lines.push(line(
            words.say("Temporary states"),
            say!(words, "all restored"),
            true,
        ));
    }
    lines.extend(page.unrestored.iter().map(|state| {
        line(
            &say!(words, "Still to be restored: {state}", state = state),
            String::new(),
            false,
        )
    }));
    lines.push(line(
        words.say("Entries in the record"),
        page.entries.to_string(),
        true,
    ));
    lines
}

fn deviations(all: usize, open: usize, words: &Words) -> String {
    match (all, open) {
        (0, _) => say!(words, "none"),
        (all, 0) => say!(words, "{all}, all settled", all = all),
        (all, open) => say!(words, "{all}, {open} open", all = all, open = open),
    }
}

/// Joins the pages' controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    app.global::<CloseOutPage>().on_affirm(desk.on(Desk::close_out));
    let view = app.global::<ClosingPage>();
    view.on_sign_off(desk.on(Desk::sign_off_job));
    view.on_release(desk.on(Desk::release_job));
    view.on_record(desk.on(Desk::record_of_job));
}

impl Desk {
    /// What closes the procedure is affirmed.
    pub(super) fn close_out(&mut self) -> Done {
        match self.page()? {
            page::Page::CloseOut(page) => self.act(Event::CloseOut {
                procedure: page.procedure,
            }),
            _ => Err(Trouble::moved_on()),
        }
    }

    /// The person who did the work signs the job off with their passphrase.
    pub(super) fn sign_off_job(&mut self) -> Done {
        self.ask_signature(Purpose::SignOff)
    }

    /// The record of the job on the screen.
    pub(super) fn record_of_job(&mut self) -> Done {
        let number = self
            .shop
            .session()
            .and_then(Session::job)
            .map(|job| job.number().to_owned());
        self.show_record(number.ok_or_else(Trouble::moved_on)?)
    }

    /// A supervisor releases the job.
    pub(super) fn release_job(&mut self) -> Done {
        self.ask_signature(Purpose::ReleaseJob)
    }
}
