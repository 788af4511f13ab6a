//! A job's folder before it has its place.

use super::durable::{self, Privacy, TEMPORARY};
use super::error::{Error, Kind};
use super::name;
use crate::seal::digest;
use std::path::Path;

/// Everything that a job's folder holds from its first moment.
#[derive(Clone, Debug, Default)]
pub struct Draft {
    /// The first lines of `record.jsonl`, each ending in LF.
    pub record: Vec<u8>,
    /// The shop's roster as it stood.
    pub roster: Vec<u8>,
    /// Who may sign, for stock tools.
    pub allowed_signers: String,
    /// The shop's approvals of content as they stood; empty where there are none.
    pub approvals: Vec<u8>,
    /// Every authored file that the job uses: its path in the content, whose extension it keeps, and its bytes.
    pub content: Vec<(String, Vec<u8>)>,
}

impl Draft {
    /// Builds the folder beside its place, syncs it, and gives it its place.
    ///
    /// An interruption leaves either the whole folder in its place, or a `.new-` folder that the next start
    /// clears.
    ///
    /// # Errors
    /// `Exists` when the number is taken; nothing is overwritten.
    pub(super) fn place(&self, jobs: &Path, number: &str) -> Result<(), Error> {
        let place = jobs.join(number);
        if place.symlink_metadata().is_ok() {
            return Err(Error::seen("make the folder", &place, Kind::Exists));
        }
        let build = jobs.join(format!("{TEMPORARY}{number}"));
        if build.symlink_metadata().is_ok() {
            durable::remove_folder(&build)?;
        }
        let built = self.build(&build).and_then(|()| durable::rename(&build, &place));
        if built.is_err() {
            // The next start clears what cannot be removed now.
            let _ = durable::remove_folder(&build);
        }
        built
    }

    fn build(&self, build: &Path) -> Result<(), Error> {
        durable::make_folder_unsynced(build, Privacy::Usual)?;
        durable::make_folder_unsynced(&build.join("attachments"), Privacy::Usual)?;
        let content = build.join("content");
        durable::make_folder_unsynced(&content, Privacy::Usual)?;
        for (path, bytes) in &self.content {
            let extension = path.rsplit_once('.').map_or("", |(_, extension)| extension);
            let file = content.join(name::by_content(digest(bytes), extension)?);
            // Two authored files may hold the same bytes.
            if !file.exists() {
                durable::write_new(&file, &mut bytes.as_slice(), Privacy::Usual)?;
            }
        }
        durable::sync_folder(&content)?;
        let files: [(&str, &[u8]); 4] = [
            ("roster.jsonl", &self.roster),
            ("approvals.jsonl", &self.approvals),
            ("allowed_signers", self.allowed_signers.as_bytes()),
            ("record.jsonl", &self.record),
        ];
        // A practice run needs no approval and carries none.
        for (file, mut bytes) in files
            .into_iter()
            .filter(|(file, bytes)| *file != "approvals.jsonl" || !bytes.is_empty())
        {
            durable::write_new(&build.join(file), &mut bytes, Privacy::Usual)?;
        }
        durable::sync_folder(build)
    }
}
