//! One job's folder, open for writing.

use super::durable::{self, Privacy};
use super::error::{Error, Kind};
use super::folder::Folder;
use super::log::AppendLog;
use super::name;
use super::torn::{self, Torn};
use crate::record::Personal;
use crate::seal::digest;
use std::collections::BTreeMap;
use std::path::Path;

/// The longest `personal.json` that is read, in bytes.
const MOST_PERSONAL: u64 = 4 * 1024 * 1024;

/// The job card as far as it was typed.
const CARD_DRAFT: &str = "card-draft.json";

/// A job's folder. The shop's lock guards it.
#[derive(Debug)]
pub struct JobFolder {
    folder: Folder,
    record: AppendLog,
}

impl JobFolder {
    /// Opens the folder; torn bytes are moved aside, temporary files of an interrupted run are cleared.
    pub(super) fn open(path: &Path) -> Result<Self, Error> {
        let folder = Folder::open(path)?;
        clear_temporary(&folder, &["", "attachments"])?;
        let (record, _) = AppendLog::open(&name::below(path, "record.jsonl")?)?;
        Ok(Self { folder, record })
    }

    /// The record.
    pub fn record(&mut self) -> &mut AppendLog {
        &mut self.record
    }

    /// The folder, for reading and verifying.
    #[must_use]
    pub fn folder(&self) -> &Folder {
        &self.folder
    }

    /// Everything that was ever moved aside here. What no resume entry tells yet is still to be told.
    ///
    /// # Errors
    /// A torn file cannot be read.
    pub fn torn(&self) -> Result<Vec<Torn>, Error> {
        torn::list(self.folder.path())
    }

    /// Keeps an attachment under the name of its content, and gives that name: `<sha256>.<ext>`.
    ///
    /// # Errors
    /// The extension is not 1 to 8 of `a-z 0-9`, or the disk fails.
    pub fn attach(&self, bytes: &[u8], extension: &str) -> Result<String, Error> {
        let name = name::by_content(digest(bytes), extension)?;
        let path = name::below(self.folder.path(), &format!("attachments/{name}"))?;
        durable::need_folder(&self.folder.path().join("attachments"), Privacy::Usual)?;
        durable::replace(&path, &mut &*bytes, Privacy::Usual)?;
        Ok(name)
    }

    /// Puts `certificate.pdf` in place, whole or not at all.
    ///
    /// # Errors
    /// The disk fails; an older one then still stands.
    pub fn write_certificate(&self, pdf: &[u8]) -> Result<(), Error> {
        self.replace("certificate.pdf", pdf, Privacy::Usual)
    }

    /// Puts `allowed_signers` in place, whole or not at all.
    ///
    /// # Errors
    /// The disk fails; the older one then still stands.
    pub fn write_allowed_signers(&self, text: &str) -> Result<(), Error> {
        self.replace("allowed_signers", text.as_bytes(), Privacy::Usual)
    }

    /// Puts the copy of the shop's roster in place: people may have joined since the job was opened.
    ///
    /// # Errors
    /// The disk fails; the older one then still stands.
    pub fn write_roster(&self, lines: &[u8]) -> Result<(), Error> {
        self.replace("roster.jsonl", lines, Privacy::Usual)
    }

    /// Puts this job's ledger lines in place, whole or not at all.
    ///
    /// # Errors
    /// The disk fails; the older ones then still stand.
    pub fn write_ledger_extract(&self, lines: &[u8]) -> Result<(), Error> {
        self.replace("ledger-extract.jsonl", lines, Privacy::Usual)
    }

    /// Keeps the customer's data, for this program's user alone. It must be called before the card's entry
    /// is appended, so that no commitment stands without its text.
    ///
    /// # Errors
    /// The disk fails; the older data then still stand.
    pub fn write_personal(&self, personal: &Personal) -> Result<(), Error> {
        let path = self.folder.path().join("personal.json");
        let text =
            serde_json::to_vec_pretty(personal).map_err(|error| Error::io("write", &path, error.into()))?;
        self.replace("personal.json", &text, Privacy::Own)
    }

    /// The customer's data; none yet when there is no such file.
    ///
    /// # Errors
    /// The file cannot be read or is not of its form.
    pub fn personal(&self) -> Result<Personal, Error> {
        let Some(bytes) = self.folder.bytes("personal.json", MOST_PERSONAL)? else {
            return Ok(Personal::new());
        };
        let path = self.folder.path().join("personal.json");
        serde_json::from_slice(&bytes).map_err(|error| Error {
            doing: "read",
            path,
            kind: Kind::Damaged,
            source: Some(error.into()),
        })
    }

    /// Keeps the job card as far as it was typed, for this program's user alone: it may hold the customer's data.
    ///
    /// # Errors
    /// The disk fails; the older draft then still stands.
    pub fn write_card_draft(&self, typed: &BTreeMap<(String, String), String>) -> Result<(), Error> {
        let path = self.folder.path().join(CARD_DRAFT);
        let rows: Vec<(&str, &str, &str)> = typed
            .iter()
            .map(|((group, field), text)| (&**group, &**field, &**text))
            .collect();
        let text = serde_json::to_vec(&rows).map_err(|error| Error::io("write", &path, error.into()))?;
        self.replace(CARD_DRAFT, &text, Privacy::Own)
    }

    /// The job card as far as it was typed. A draft that cannot be read is no draft: nothing was acknowledged.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn card_draft(&self) -> Result<BTreeMap<(String, String), String>, Error> {
        let Some(bytes) = self.folder.bytes(CARD_DRAFT, MOST_PERSONAL)? else {
            return Ok(BTreeMap::new());
        };
        let rows: Vec<(String, String, String)> = serde_json::from_slice(&bytes).unwrap_or_default();
        Ok(rows
            .into_iter()
            .map(|(group, field, text)| ((group, field), text))
            .collect())
    }

    fn replace(&self, file: &str, mut bytes: &[u8], privacy: Privacy) -> Result<(), Error> {
        durable::replace(&name::below(self.folder.path(), file)?, &mut bytes, privacy)
    }
}

/// Removes what an interrupted write left under a temporary name; its place holds the older bytes.
pub(super) fn clear_temporary(folder: &Folder, inside: &[&str]) -> Result<(), Error> {
    for inside in inside {
        for found in folder.names(inside, usize::MAX)? {
            if found.starts_with(durable::TEMPORARY) {
                durable::remove_file_if_there(&folder.path().join(inside).join(found))?;
            }
        }
    }
    Ok(())
}
