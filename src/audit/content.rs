//! The content that a record pins, put together again from the folder.

use super::{Files, Finding, Known, Meaning, known};
use crate::people::ContentList;
use crate::player::Play;
use crate::player::fact::Opening;
use crate::player::instrument::CERTIFICATES;
use crate::procedure::{self, Instrument};
use crate::seal::{Digest, digest};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Where the shop's register of instruments stands among the pinned content.
pub const REGISTER: &str = "register/instruments.yaml";
/// Where the pinned files stand in a job's folder.
const FOLDER: &str = "content";
/// The most authored files of a job.
const MOST_FILES: usize = 2_000;
/// The most bytes of one authored file.
const MOST_BYTES: u64 = 4 * 1024 * 1024;
/// The most bytes of all of them, since all are in memory at once.
const MOST_BYTES_IN_ALL: u64 = 64 * 1024 * 1024;

/// The name under which a pinned file stands in the job's folder: its hash, and the extension of its path, or
/// `bin` where that has none.
#[must_use]
pub fn stored_name(path: &str, sha256: &str) -> String {
    let extension = path.rsplit_once('.').map_or("bin", |(_, extension)| extension);
    format!("{FOLDER}/{sha256}.{extension}")
}

/// Whether a pinned file is the shop's own: its register of instruments, or a photograph that this names.
#[must_use]
pub fn is_register(path: &str) -> bool {
    path.starts_with("register/")
}

/// The list of pinned files, which is what a supervisor approves: all but the shop's own register. None when
/// no list can be made of them.
#[must_use]
pub fn content_list(content: &[(String, String)]) -> Option<ContentList> {
    let authored = content.iter().filter(|(path, _)| !is_register(path));
    let files: Option<Vec<(&str, Digest)>> = authored
        .map(|(path, sha256)| Some((path.as_str(), sha256.parse().ok()?)))
        .collect();
    ContentList::of(files?)
}

/// What the opening pins, ready to be played, if it is all there, unaltered and clean.
pub fn pinned_play(folder: &dyn Files, opening: &Opening) -> Option<Play> {
    let found = play(folder, opening, None, &mut Vec::new(), &mut BTreeSet::new())?;
    Some(Arc::unwrap_or_clone(found))
}

/// What the opening pins, ready to be played, as far as it is there and unaltered; `hashed` gets the names of what is.
/// What was put together before from the same bytes is taken again.
pub(super) fn play(
    folder: &dyn Files,
    opening: &Opening,
    before: Option<&Known>,
    findings: &mut Vec<Finding>,
    hashed: &mut BTreeSet<String>,
) -> Option<Arc<Play>> {
    let content = known::pinned(opening);
    if let Some(play) = before.and_then(|before| before.play(content)) {
        let whole = pinned(folder, opening, findings, hashed, &mut |_, _| ());
        return whole.then_some(play);
    }
    let mut files = BTreeMap::new();
    let mut keep = |path: &str, bytes: &mut Vec<u8>| {
        files.insert(path.to_owned(), std::mem::take(bytes));
    };
    if !pinned(folder, opening, findings, hashed, &mut keep) {
        return None;
    }
    let play = Arc::new(together(files, opening, findings)?);
    if let Some(before) = before {
        before.keep_play(content, &play);
    }
    Some(play)
}

fn together(
    mut pinned: BTreeMap<String, Vec<u8>>,
    opening: &Opening,
    findings: &mut Vec<Finding>,
) -> Option<Play> {
    let instruments = match pinned.remove(REGISTER).map(instruments) {
        None => Vec::new(),
        Some(Ok(instruments)) => instruments,
        Some(Err(what)) => {
            findings.push(Finding::new(Meaning::ContentFaulty, REGISTER, what));
            return None;
        }
    };
    if !certified(&instruments, &pinned, findings) {
        return None;
    }
    pinned.retain(|path, _| !is_register(path));
    let faulty = |what: String| Finding::new(Meaning::ContentFaulty, "content", what);
    let (library, report) = procedure::load(pinned);
    let Some(library) = library else {
        let (count, first) = (report.faults().len(), report.faults().first());
        let first = first.map_or_else(String::new, |fault| fault.headline());
        findings.push(faulty(format!(
            "it does not pass its checks, {count} faults, the first: {first}"
        )));
        return None;
    };
    let job = library
        .jobs
        .into_iter()
        .find(|job| job.id.as_str() == opening.job);
    if job.is_none() {
        findings.push(faulty(format!("it has no job `{}`", opening.job)));
    }
    Some(Play::new(job?, library.shared, library.tables, instruments))
}

/// Whether every photograph of a calibration certificate that the register names is pinned beside it.
fn certified(
    instruments: &[Instrument],
    pinned: &BTreeMap<String, Vec<u8>>,
    findings: &mut Vec<Finding>,
) -> bool {
    let before = findings.len();
    for instrument in instruments {
        let path = instrument
            .certificate
            .as_ref()
            .map(|name| format!("{CERTIFICATES}{name}"));
        if let Some(path) = path.filter(|path| !pinned.contains_key(path)) {
            let what = format!(
                "`{path}`, which the register names for `{}`, is not pinned",
                instrument.id
            );
            findings.push(Finding::new(Meaning::ContentMissing, REGISTER, what));
        }
    }
    findings.len() == before
}

/// The shop's instruments as they stood when the job was opened.
fn instruments(bytes: Vec<u8>) -> Result<Vec<Instrument>, String> {
    let text = String::from_utf8(bytes).map_err(|error| format!("it is not UTF-8: {error}"))?;
    procedure::register(&text).map_err(|report| {
        let first = report
            .faults()
            .first()
            .map_or_else(String::new, |fault| fault.headline());
        format!(
            "it does not pass its checks, {} faults, the first: {first}",
            report.faults().len()
        )
    })
}

/// Reads and hashes every pinned file and shows it to `each`, which may take the bytes. Whether all are whole: what is
/// missing, altered or too long is told.
fn pinned(
    folder: &dyn Files,
    opening: &Opening,
    findings: &mut Vec<Finding>,
    hashed: &mut BTreeSet<String>,
    each: &mut dyn FnMut(&str, &mut Vec<u8>),
) -> bool {
    let (before, mut left) = (findings.len(), MOST_BYTES_IN_ALL);
    if opening.content.len() > MOST_FILES {
        findings.push(Finding::new(
            Meaning::TooLong,
            "content",
            format!("more than {MOST_FILES} files are pinned"),
        ));
        return false;
    }
    let (near, mut bytes) = (folder.below(FOLDER), Vec::new());
    for (path, sha256) in &opening.content {
        match file((folder, near.as_deref()), path, sha256, left, &mut bytes) {
            Ok(()) => {
                left = left.saturating_sub(bytes.len() as u64);
                each(path, &mut bytes);
                hashed.insert(stored_name(path, sha256));
            }
            Err(finding) => findings.push(finding),
        }
    }
    findings.len() == before
}

/// Reads one pinned file, from its own folder where that is at hand.
fn file(
    (folder, near): (&dyn Files, Option<&dyn Files>),
    path: &str,
    sha256: &str,
    left: u64,
    bytes: &mut Vec<u8>,
) -> Result<(), Finding> {
    let name = stored_name(path, sha256);
    let pinned: Digest = sha256.parse().map_err(|fault| {
        Finding::at_entry(Meaning::MalformedEntry, 0, format!("content `{path}`: {fault}"))
    })?;
    let (place, inside) = match (near, name.split_once('/')) {
        (Some(near), Some((_, inside))) => (near, inside),
        _ => (folder, name.as_str()),
    };
    match place.read(inside, MOST_BYTES.min(left), bytes) {
        Ok(true) => {
            let found = digest(bytes);
            let what = || format!("`{path}` has the hash {found}, not the one in its name");
            let altered = || Finding::new(Meaning::ContentAltered, name, what());
            (found == pinned).then_some(()).ok_or_else(altered)
        }
        Ok(false) => Err(Finding::new(
            Meaning::ContentMissing,
            name,
            format!("`{path}`, which entry 0 pins, is not there"),
        )),
        Err(error) => Err(Finding::new(Meaning::Unreadable, name, error.to_string())),
    }
}
