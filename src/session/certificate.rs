//! A certificate made from a job's folder: by the session that closes the job, and again by whoever verifies it.

use super::error::SessionError;
use crate::audit::{Files, files, stored_name};
use crate::page::certificate::{self, Seals};
use crate::people::Roster;
use crate::player::State;
use crate::report::{self, Attachment};
use crate::say;
use crate::seal::Digest;
use crate::to_say;

/// The longest attached file, in bytes.
const MOST: u64 = 64 * 1024 * 1024;

/// The files beside the record that are attached under their own names.
const PLAIN: [(&str, &str, &str); 5] = [
    (
        "record.jsonl",
        "application/jsonl",
        to_say!("The signed record, one entry a line"),
    ),
    (
        "allowed_signers",
        "text/plain",
        to_say!("Who may sign, for ssh-keygen"),
    ),
    (
        "roster.jsonl",
        "application/jsonl",
        to_say!("The shop's people and keys"),
    ),
    (
        "approvals.jsonl",
        "application/jsonl",
        to_say!("Who approved the content, and when"),
    ),
    (
        "ledger-extract.jsonl",
        "application/jsonl",
        to_say!("This job's lines of the shop's ledger"),
    ),
];

/// What the certificate says beside the job itself. `lines` are the ledger's of this job.
pub(super) fn seals(last: Option<Digest>, lines: &[u8], roster: &Roster) -> Seals {
    let closing = lines.split(|byte| *byte == b'\n').rfind(|line| !line.is_empty());
    let named = |person: &crate::people::Holder| {
        (
            person.id().to_string(),
            person.name().unwrap_or(person.id().as_str()).to_owned(),
        )
    };
    Seals {
        final_hash: last.map_or_else(String::new, |hash| hash.to_string()),
        ledger_head: closing.map_or_else(String::new, |line| crate::seal::digest(line).to_string()),
        root_fingerprint: roster.root_fingerprint(),
        names: roster.people().map(named).collect(),
    }
}

/// The certificate of the job in this folder, the same bytes whenever this program makes it.
///
/// # Errors
/// A file of the folder cannot be read, or the certificate cannot be made of it.
pub(super) fn make(state: &State, seals: Seals, folder: &dyn Files) -> Result<Vec<u8>, SessionError> {
    let page = certificate::page(state, seals);
    let attachments = attachments(state, folder)?;
    report::certificate(&page, &attachments).map_err(|error| SessionError::Certificate(error.to_string()))
}

/// The record, the lists of signers, the ledger's lines, and every authored file.
fn attachments(state: &State, folder: &dyn Files) -> Result<Vec<Attachment>, SessionError> {
    let modified = state.facts().last().map(|fact| fact.at).unwrap_or_default();
    let (words, mut attachments) = (state.words(), Vec::new());
    let mut attach = |name: &str, stored: &str, mime: &'static str, description: String| {
        let read = files::bytes(folder, stored, MOST);
        let read = read.map_err(|error| SessionError::Certificate(format!("{stored}: {error}")))?;
        if let Some(bytes) = read {
            attachments.push(Attachment {
                name: name.to_owned(),
                mime,
                description,
                bytes,
                modified,
            });
        }
        Ok::<(), SessionError>(())
    };
    for (name, mime, description) in PLAIN {
        attach(name, name, mime, words.say(description).to_owned())?;
    }
    for (path, hash) in state.opening().iter().flat_map(|opening| &opening.content) {
        let stored = stored_name(path, hash);
        let name = stored.rsplit('/').next().unwrap_or(&stored);
        let mime = if path.ends_with(".svg") {
            "image/svg+xml"
        } else {
            "text/plain"
        };
        attach(
            name,
            &stored,
            mime,
            say!(words, "Authored file {path}", path = path),
        )?;
    }
    // The same bytes are attached once, whatever their names.
    attachments.sort_by(|a, b| a.name.cmp(&b.name));
    attachments.dedup_by(|a, b| a.name == b.name);
    Ok(attachments)
}
