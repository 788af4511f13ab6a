//! The record's page.

use super::desk::{Desk, Wired};
use super::{App, EntryRow, RecordPage};
use crate::page::record::{RecordLine, RecordPage as Page};
use slint::ComponentHandle;

/// What verifying the record gave.
#[derive(Clone, Debug, Default)]
pub(super) struct Verified {
    pub whole: bool,
    pub state: String,
    pub faults: Vec<String>,
    /// The entries that a fault names.
    pub broken: Vec<u64>,
    /// SHA-256 of the last line, hex.
    pub hash: String,
    pub certificate: String,
}

/// Shows the record; without a verdict it says that it was not verified yet.
pub(super) fn show(app: &App, page: &Page, verified: Option<&Verified>, name: &dyn Fn(&str) -> String) {
    let view = app.global::<RecordPage>();
    view.set_title(format!("{} · {}", page.number, page.title).into());
    view.set_practice(page.state == "practice");
    let broken = verified.map_or(&[][..], |verified| &verified.broken);
    view.set_entries(super::list(page.lines.iter().rev().map(|line| entry(line, broken, name))));
    view.set_checked(verified.is_some());
    view.set_whole(verified.is_some_and(|verified| verified.whole));
    let state = verified.map_or("Not verified yet.", |verified| verified.state.as_str());
    view.set_state_text(state.into());
    view.set_faults(super::lines(verified.map_or(&[][..], |verified| &verified.faults)));
    view.set_hash(groups(verified.map_or("", |verified| &verified.hash)).into());
    view.set_certificate(verified.map_or("", |verified| verified.certificate.as_str()).into());
}

/// A hash in groups of eight, so that two people can compare it aloud.
fn groups(hash: &str) -> String {
    let letters: Vec<char> = hash.chars().collect();
    letters.chunks(8).map(|group| group.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

fn entry(line: &RecordLine, broken: &[u64], name: &dyn Fn(&str) -> String) -> EntryRow {
    EntryRow {
        n: line.number.to_string().into(),
        at: line.at.as_str().into(),
        by: name(&line.by).into(),
        kind: line.kind.into(),
        says: line.text.as_str().into(),
        broken: broken.contains(&line.number),
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<RecordPage>();
    view.on_verify(desk.on(Desk::verify));
    view.on_certificate_again(desk.on(Desk::certificate_again));
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_hash_is_read_in_groups() {
        assert_eq!(super::groups("0123456789abcdef01"), "01234567 89abcdef 01");
        assert_eq!(super::groups(""), "");
    }
}
