//! The record's page.

use super::desk::{Desk, Done, Overlay};
use super::wired::Wired;
use super::{App, EntryRow, RecordPage};
use crate::audit::{self, Against, Report, Standing};
use crate::disk::Folder;
use crate::page::{self, record::RecordLine};
use crate::say;
use crate::session::{Session, SessionError, verify};
use crate::words::Words;
use slint::ComponentHandle;

/// A record as it was just verified from its files.
#[derive(Clone, Debug, Default)]
pub(super) struct RecordView {
    pub number: String,
    pub title: String,
    pub practice: bool,
    pub lines: Vec<RecordLine>,
    pub whole: bool,
    pub state: String,
    pub faults: Vec<String>,
    /// SHA-256 of the last line, hex.
    pub hash: String,
    pub certificate: String,
    /// How many pages of entries lie above the one that is shown.
    pub turned: usize,
}

/// Verifies the record of this job from its files, whether it can be played or not.
///
/// # Errors
/// The job's folder cannot be read.
pub(super) fn verify(session: &Session, number: &str) -> Result<RecordView, SessionError> {
    let words = session.words();
    let path = session.folder().path().join("jobs").join(number);
    let folder = Folder::open(&path)?;
    let root = session.root_fingerprint();
    let report = &verify::job(&folder, Some(&root), None);
    let verified = audit::verify_job(&folder, &Against::default());
    let certificate = path.join("certificate.pdf");
    let called = page::record::Called::of(verified.facts.iter().map(AsRef::as_ref));
    Ok(RecordView {
        number: number.to_owned(),
        title: report.title.clone().unwrap_or_default(),
        practice: report.standing == Standing::Practice,
        lines: verified
            .facts
            .iter()
            .map(|fact| page::record::line(fact, &called, &words))
            .collect(),
        whole: report.whole(),
        state: state(report, &words),
        faults: report
            .faults()
            .chain(report.remarks())
            .take(MOST_FAULTS)
            .map(ToString::to_string)
            .collect(),
        hash: report
            .final_hash
            .map_or_else(String::new, |hash| hash.to_string()),
        certificate: if certificate.is_file() {
            certificate.display().to_string()
        } else {
            String::new()
        },
        turned: 0,
    })
}

/// So many entries are listed at once.
const ON_A_PAGE: usize = 40;
/// More findings than this are read with `witnessmark verify`.
const MOST_FAULTS: usize = 6;

fn state(report: &Report, words: &Words) -> String {
    let entries = report.entries;
    match (report.whole(), report.standing) {
        (true, Standing::Open) => say!(
            words,
            "Whole as far as it goes: {n} entry, still open."
                | "Whole as far as it goes: {n} entries, still open.",
            n = entries
        ),
        (true, Standing::Closed) => say!(
            words,
            "Whole: {n} entry, closed." | "Whole: {n} entries, closed.",
            n = entries
        ),
        (true, Standing::Practice) => say!(
            words,
            "Whole: {n} entry of practice." | "Whole: {n} entries of practice.",
            n = entries
        ),
        (false, _) => say!(
            words,
            "BROKEN: {n} finding. Keep a copy of the folder."
                | "BROKEN: {n} findings. Keep a copy of the folder.",
            n = report.faults().count() as u64
        ),
    }
}

/// Shows the record.
pub(super) fn show(app: &App, record: &RecordView, name: &dyn Fn(&str) -> String, words: &Words) {
    let view = app.global::<RecordPage>();
    view.set_title(format!("{} · {}", record.number, record.title).into());
    view.set_practice(record.practice);
    let broken = broken(&record.faults);
    let newest: Vec<&RecordLine> = record
        .lines
        .iter()
        .rev()
        .skip(record.turned * ON_A_PAGE)
        .take(ON_A_PAGE)
        .collect();
    view.set_entries_text(entries_text(&newest, record.lines.len(), words).into());
    view.set_has_newer(record.turned > 0);
    view.set_has_older((record.turned + 1) * ON_A_PAGE < record.lines.len());
    super::fill(
        view.get_entries(),
        super::list(newest.iter().map(|line| entry(line, &broken, name))),
        |rows| {
            view.set_entries(rows);
        },
    );
    view.set_checked(true);
    view.set_whole(record.whole);
    view.set_state_text(record.state.as_str().into());
    super::fill(view.get_faults(), super::lines(&record.faults), |rows| {
        view.set_faults(rows)
    });
    view.set_hash(groups(&record.hash).into());
    view.set_certificate(record.certificate.as_str().into());
}

fn entries_text(newest: &[&RecordLine], all: usize, words: &Words) -> String {
    match (newest.first(), newest.last()) {
        (Some(first), Some(last)) => say!(
            words,
            "Entries {first} to {last} of {all}, counted from 0",
            first = first.number,
            last = last.number,
            all = all
        ),
        _ => say!(words, "No entry can be read"),
    }
}

/// The entries that findings name.
fn broken(faults: &[String]) -> Vec<u64> {
    let after = |fault: &String, word: &str| {
        let rest = fault.split_once(word)?.1;
        rest.split(|letter: char| !letter.is_ascii_digit())
            .next()?
            .parse::<u64>()
            .ok()
    };
    let entries = faults
        .iter()
        .filter_map(|fault| after(fault, "record.jsonl entry "));
    // Lines are counted from 1 and entries from 0.
    let lines = faults
        .iter()
        .filter_map(|fault| after(fault, "record.jsonl line ")?.checked_sub(1));
    entries.chain(lines).collect()
}

/// A hash in groups of eight, so that two people can compare it aloud.
fn groups(hash: &str) -> String {
    let letters: Vec<char> = hash.chars().collect();
    letters
        .chunks(8)
        .map(|group| group.iter().collect::<String>())
        .collect::<Vec<_>>()
        .join(" ")
}

fn entry(line: &RecordLine, broken: &[u64], name: &dyn Fn(&str) -> String) -> EntryRow {
    EntryRow {
        n: line.number.to_string().into(),
        at: line.at.as_str().into(),
        by: name(&line.by).into(),
        kind: match line.id.as_str() {
            "" => line.kind.as_str().into(),
            id => format!("{}, {id}", line.kind).into(),
        },
        says: super::said(&line.text),
        broken: broken.contains(&line.number),
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<RecordPage>();
    view.on_newer(desk.on(Desk::newer_entries));
    view.on_older(desk.on(Desk::older_entries));
    view.on_verify(desk.on(Desk::verify));
    view.on_certificate_again(desk.on(Desk::certificate_again));
}

impl Desk {
    /// One page of entries up.
    pub(super) fn newer_entries(&mut self) -> Done {
        if let Some(Overlay::Record(record)) = &mut self.overlay {
            record.turned = record.turned.saturating_sub(1);
        }
        self.refresh()
    }

    /// One page of entries down.
    pub(super) fn older_entries(&mut self) -> Done {
        if let Some(Overlay::Record(record)) = &mut self.overlay {
            record.turned = (record.turned + 1).min(record.lines.len() / ON_A_PAGE);
        }
        self.refresh()
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_hash_is_read_in_groups() {
        assert_eq!(super::groups("0123456789abcdef01"), "01234567 89abcdef 01");
        assert_eq!(super::groups(""), "");
    }

    #[test]
    fn findings_name_their_entries() {
        let faults = [
            "record.jsonl line 4: bad signature [bad-signature]",
            "record.jsonl entry 9: x",
            "roster.jsonl line 2: y",
        ];
        assert_eq!(super::broken(&faults.map(str::to_owned)), [9, 3]);
    }
}
