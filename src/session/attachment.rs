//! What the certificate carries inside itself: the record and everything needed to check it.

use super::error::SessionError;
use super::job::OpenJob;
use crate::report::Attachment;

/// The longest attached file, in bytes.
const MOST: u64 = 64 * 1024 * 1024;

/// The record, the lists of signers, the ledger's lines, and every authored file.
pub(super) fn of(job: &OpenJob) -> Result<Vec<Attachment>, SessionError> {
    let folder = job.folder.folder();
    let modified = job.state.facts().last().map(|fact| fact.at).unwrap_or_default();
    let plain = [
        (
            "record.jsonl",
            "application/jsonl",
            "The signed record, one entry a line",
        ),
        ("allowed_signers", "text/plain", "Who may sign, for ssh-keygen"),
        ("roster.jsonl", "application/jsonl", "The shop's people and keys"),
        (
            "ledger-extract.jsonl",
            "application/jsonl",
            "This job's lines of the shop's ledger",
        ),
    ];
    let mut attachments = Vec::new();
    for (name, mime, description) in plain {
        if let Some(bytes) = folder.bytes(name, MOST)? {
            attachments.push(Attachment {
                name: name.to_owned(),
                mime,
                description: description.to_owned(),
                bytes,
                modified,
            });
        }
    }
    let opening = job.state.opening();
    for (path, hash) in opening.iter().flat_map(|opening| &opening.content) {
        let extension = path.rsplit_once('.').map_or("bin", |(_, extension)| extension);
        let name = format!("{hash}.{extension}");
        if let Some(bytes) = folder.bytes(&format!("content/{name}"), MOST)? {
            let mime = if extension == "svg" {
                "image/svg+xml"
            } else {
                "text/plain"
            };
            attachments.push(Attachment {
                name,
                mime,
                description: format!("Authored file {path}"),
                bytes,
                modified,
            });
        }
    }
    // The same bytes are attached once, whatever their names.
    attachments.sort_by(|a, b| a.name.cmp(&b.name));
    attachments.dedup_by(|a, b| a.name == b.name);
    Ok(attachments)
}
