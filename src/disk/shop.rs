//! The shop's folder, its lock, ledger, roster, keys and instruments.

use super::copy::Copying;
use super::draft::Draft;
use super::durable::{self, Privacy, TEMPORARY};
use super::error::{Error, Kind};
use super::folder::Folder;
use super::job::{JobFolder, clear_temporary};
use super::log::AppendLog;
use super::name;
use super::torn::Torn;
use crate::seal::{Digest, SignerId, digest, envelope};
use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use zeroize::Zeroizing;

/// The longest key file that is read, in bytes; the format's reader allows no more.
const MOST_KEY: u64 = 16 * 1024;
/// The longest register of instruments that is read, in bytes.
const MOST_INSTRUMENTS: u64 = 4 * 1024 * 1024;
/// The longest photograph of a calibration certificate that is pinned, in bytes.
const MOST_PHOTOGRAPH: u64 = 2 * 1024 * 1024;
/// The longest list of authored files that is read, in bytes.
const MOST_CONTENT_LIST: u64 = 4 * 1024 * 1024;

/// A shop's folder, locked for this instance as long as this value lives.
#[derive(Debug)]
pub struct Shop {
    folder: Folder,
    ledger: AppendLog,
    roster: AppendLog,
    approvals: AppendLog,
    _lock: Locked,
}

/// What opening the shop found to put right.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recovery {
    /// Bytes moved aside from the ledger.
    pub ledger: Option<Torn>,
    /// Bytes moved aside from the roster.
    pub roster: Option<Torn>,
    /// Bytes moved aside from the approvals.
    pub approvals: Option<Torn>,
    /// Jobs whose folder never came to its place; nothing of them was acknowledged.
    pub cleared: Vec<String>,
}

impl Shop {
    /// Opens the shop's folder, made when it is not there, and puts right what an interruption left.
    ///
    /// # Errors
    /// `Busy` when another instance has it; otherwise what the disk says.
    pub fn open(root: &Path) -> Result<(Self, Recovery), Error> {
        make_root(root)?;
        let lock = lock(root)?;
        let folder = Folder::open(root)?;
        durable::need_folder(&name::below(root, "jobs")?, Privacy::Usual)?;
        durable::need_folder(&name::below(root, "keys")?, Privacy::Own)?;
        clear_temporary(&folder, &["", "keys", "approved"])?;
        let cleared = clear_drafts(&folder)?;
        let (ledger, torn_ledger) = AppendLog::open_or_create(&name::below(root, "ledger.jsonl")?)?;
        let (roster, torn_roster) = AppendLog::open_or_create(&name::below(root, "roster.jsonl")?)?;
        let (approvals, torn_approvals) = AppendLog::open_or_create(&name::below(root, "approvals.jsonl")?)?;
        let recovery = Recovery {
            ledger: torn_ledger,
            roster: torn_roster,
            approvals: torn_approvals,
            cleared,
        };
        Ok((
            Self {
                folder,
                ledger,
                roster,
                approvals,
                _lock: lock,
            },
            recovery,
        ))
    }

    /// Builds a new shop's folder beside its place, begun with copies of files if there are any, and gives it its
    /// place when `fill` has filled it.
    ///
    /// An interruption leaves either the whole folder in its place, or a `.new-` folder that the next try clears.
    ///
    /// # Errors
    /// `Exists` when something else than an empty folder stands in the place; otherwise what the disk says. What
    /// `fill` itself gives comes back within.
    pub fn build<T, E>(
        place: &Path,
        begun: Option<&Copying>,
        fill: impl FnOnce(&mut Self) -> Result<T, E>,
    ) -> Result<Result<T, E>, Error> {
        // An empty folder may be named by a path that ends in no name, such as `.`.
        let place = &place.canonicalize().unwrap_or_else(|_| place.to_owned());
        let beside = durable::temporary_of(place)?;
        if beside.symlink_metadata().is_ok() {
            durable::remove_folder(&beside)?;
        }
        if place.read_dir().is_ok_and(|mut found| found.next().is_some()) {
            return Err(Error::seen("make the folder", place, Kind::Exists));
        }
        let filled = begin(&beside, begun).map(|mut shop| fill(&mut shop));
        let placed = match &filled {
            Ok(Ok(_)) => durable::rename(&beside, place),
            _ => Ok(()),
        };
        if !matches!(filled, Ok(Ok(_))) || placed.is_err() {
            // The next try clears what cannot be removed now.
            let _ = durable::remove_folder(&beside);
        }
        placed?;
        filled
    }

    /// The folder, for reading and verifying.
    #[must_use]
    pub fn folder(&self) -> &Folder {
        &self.folder
    }

    /// The ledger of jobs opened and closed.
    pub fn ledger(&mut self) -> &mut AppendLog {
        &mut self.ledger
    }

    /// The roster of people and keys.
    pub fn roster(&mut self) -> &mut AppendLog {
        &mut self.roster
    }

    /// The approvals of content.
    pub fn approvals(&mut self) -> &mut AppendLog {
        &mut self.approvals
    }

    /// The list of files that has this hash, as it was approved; none when it was not kept.
    ///
    /// # Errors
    /// It cannot be read, is too long or no UTF-8.
    pub fn content_list(&self, hash: Digest) -> Result<Option<String>, Error> {
        let name = content_list_name(hash);
        let Some(bytes) = self.folder.bytes(&name, MOST_CONTENT_LIST)? else {
            return Ok(None);
        };
        let path = self.folder.path().join(&name);
        let text = String::from_utf8(bytes);
        text.map(Some)
            .map_err(|_| Error::seen("read", &path, Kind::Damaged))
    }

    /// Keeps a list of files under its hash, before the approval that names it.
    ///
    /// # Errors
    /// The disk fails.
    pub fn write_content_list(&self, text: &str) -> Result<(), Error> {
        durable::need_folder(&name::below(self.folder.path(), "approved")?, Privacy::Usual)?;
        let path = name::below(self.folder.path(), &content_list_name(digest(text.as_bytes())))?;
        durable::replace(&path, &mut text.as_bytes(), Privacy::Usual)
    }

    /// The numbers of all jobs, sorted.
    ///
    /// # Errors
    /// The folder cannot be listed.
    pub fn jobs(&self) -> Result<Vec<String>, Error> {
        let mut names = self.folder.names("jobs", usize::MAX)?;
        names.retain(|name| envelope::is_job(name));
        Ok(names)
    }

    /// Makes a job's folder, whole or not at all. The ledger's line comes after it.
    ///
    /// # Errors
    /// `Exists` when the number is taken, `BadName` when a record cannot carry it.
    pub fn create_job(&self, number: &str, draft: &Draft) -> Result<JobFolder, Error> {
        let path = name::below(self.folder.path(), &name::job(number)?)?;
        draft.place(&self.folder.path().join("jobs"), number)?;
        JobFolder::open(&path)
    }

    /// Opens a job's folder for writing.
    ///
    /// # Errors
    /// There is none of this number, or the disk fails.
    pub fn job(&self, number: &str) -> Result<JobFolder, Error> {
        JobFolder::open(&name::below(self.folder.path(), &name::job(number)?)?)
    }

    /// The private key file of a person or of the tablet, as it stands: usually locked with a passphrase.
    ///
    /// # Errors
    /// There is none, or it is longer than a key can be.
    pub fn key(&self, id: &SignerId) -> Result<Option<Zeroizing<String>>, Error> {
        let path = key_name(id)?;
        let Some(bytes) = self.folder.bytes(&path, MOST_KEY)? else {
            return Ok(None);
        };
        let text = String::from_utf8(bytes);
        let text = text.map_err(|_| Error::seen("read", &self.folder.path().join(&path), Kind::Damaged))?;
        Ok(Some(Zeroizing::new(text)))
    }

    /// Keeps a private key file, readable by this program's user alone, whole or not at all.
    ///
    /// # Errors
    /// The disk fails; an older one then still stands.
    pub fn write_key(&self, id: &SignerId, text: &str) -> Result<(), Error> {
        let path = name::below(self.folder.path(), &key_name(id)?)?;
        durable::replace(&path, &mut text.as_bytes(), Privacy::Own)
    }

    /// Keeps a private key file that is to follow another one, beside it until the roster knows its key.
    ///
    /// # Errors
    /// The disk fails; the older key file still stands.
    pub fn write_next_key(&self, id: &SignerId, text: &str) -> Result<(), Error> {
        let path = name::below(self.folder.path(), &next_key_name(id)?)?;
        durable::replace(&path, &mut text.as_bytes(), Privacy::Own)
    }

    /// Puts a key file that was to follow into the place of the older one.
    ///
    /// # Errors
    /// There is none, or the disk fails; then both stand as they are.
    pub fn take_next_key(&self, id: &SignerId) -> Result<(), Error> {
        let root = self.folder.path();
        durable::rename(
            &name::below(root, &next_key_name(id)?)?,
            &name::below(root, &key_name(id)?)?,
        )
    }

    /// Key files that were to follow others, and do not yet.
    ///
    /// # Errors
    /// The folder or a file cannot be read.
    pub fn next_keys(&self) -> Result<Vec<(SignerId, Zeroizing<String>)>, Error> {
        let mut found = Vec::new();
        for name in self.folder.names("keys", usize::MAX)? {
            let Some(id) = name.strip_suffix(NEXT).and_then(|id| id.parse::<SignerId>().ok()) else {
                continue;
            };
            let bytes = self.folder.bytes(&format!("keys/{name}"), MOST_KEY)?;
            let text = bytes
                .and_then(|bytes| String::from_utf8(bytes).ok())
                .unwrap_or_default();
            found.push((id, Zeroizing::new(text)));
        }
        Ok(found)
    }

    /// Removes the key file that was to follow another one.
    ///
    /// # Errors
    /// The disk fails.
    pub fn drop_next_key(&self, id: &SignerId) -> Result<(), Error> {
        durable::remove_file_if_there(&name::below(self.folder.path(), &next_key_name(id)?)?)
    }

    /// Removes the key file of somebody who has left: it can only be used to forge dates.
    ///
    /// # Errors
    /// The disk fails.
    pub fn remove_key(&self, id: &SignerId) -> Result<(), Error> {
        durable::remove_file_if_there(&name::below(self.folder.path(), &key_name(id)?)?)
    }

    /// The register of instruments (`instruments.yaml`), or none when there is none yet.
    ///
    /// # Errors
    /// The file cannot be read, is too long or no UTF-8.
    pub fn instruments(&self) -> Result<Option<String>, Error> {
        let Some(bytes) = self.folder.bytes("instruments.yaml", MOST_INSTRUMENTS)? else {
            return Ok(None);
        };
        let path = self.folder.path().join("instruments.yaml");
        String::from_utf8(bytes)
            .map(Some)
            .map_err(|_| Error::seen("read", &path, Kind::Damaged))
    }

    /// The photograph of a calibration certificate (`certificates/<name>`), or none when it is not there.
    ///
    /// # Errors
    /// The name is none that a file of ours may have, or the file cannot be read or is too long.
    pub fn certificate_photograph(&self, name: &str) -> Result<Option<Vec<u8>>, Error> {
        self.folder
            .bytes(&format!("certificates/{name}"), MOST_PHOTOGRAPH)
    }

    /// Puts the register of instruments in place, whole or not at all.
    ///
    /// # Errors
    /// The disk fails; the older one then still stands.
    pub fn write_instruments(&self, text: &str) -> Result<(), Error> {
        let path = name::below(self.folder.path(), "instruments.yaml")?;
        durable::replace(&path, &mut text.as_bytes(), Privacy::Usual)
    }
}

/// What stands behind the id of a key file that is to follow. No id has a capital.
const NEXT: &str = ".NEXT";

fn next_key_name(id: &SignerId) -> Result<String, Error> {
    Ok(format!("{}{NEXT}", key_name(id)?))
}

fn content_list_name(hash: Digest) -> String {
    format!("approved/{hash}.sha256")
}

/// A signer's id may begin with a dot, which no file of ours does but temporary ones.
fn key_name(id: &SignerId) -> Result<String, Error> {
    if id.as_str().starts_with('.') {
        return Err(Error::seen("use the id", Path::new(id.as_str()), Kind::BadName));
    }
    Ok(format!("keys/{id}"))
}

/// A shop's folder that begins with copies of another's files.
fn begin(root: &Path, files: Option<&Copying>) -> Result<Shop, Error> {
    make_root(root)?;
    if let Some(files) = files {
        files.bring(root)?;
    }
    Ok(Shop::open(root)?.0)
}

/// The shop's folder, with those above it that are not there.
fn make_root(root: &Path) -> Result<(), Error> {
    if root.is_dir() {
        return Ok(());
    }
    if let Some(parent) = root.parent().filter(|parent| !parent.as_os_str().is_empty()) {
        make_root(parent)?;
    }
    durable::need_folder(root, Privacy::Own)
}

/// The lock of a shop's folder. It is let go by name: a program that is being started at that moment holds a copy
/// of the file until it runs, and the lock with it.
#[derive(Debug)]
struct Locked(File);

impl Drop for Locked {
    fn drop(&mut self) {
        // Where this fails, the lock ends with the last copy of the file.
        let _ = self.0.unlock();
    }
}

fn lock(root: &Path) -> Result<Locked, Error> {
    let path = name::below(root, "shop.lock")?;
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    let file = options
        .open(&path)
        .map_err(|error| Error::io("open", &path, error))?;
    match file.try_lock() {
        Ok(()) => Ok(Locked(file)),
        Err(TryLockError::WouldBlock) => Err(Error::seen("lock", root, Kind::Busy)),
        Err(TryLockError::Error(error)) => Err(Error::io("lock", &path, error)),
    }
}

fn clear_drafts(folder: &Folder) -> Result<Vec<String>, Error> {
    let mut cleared = Vec::new();
    for found in folder.names("jobs", usize::MAX)? {
        if let Some(number) = found.strip_prefix(TEMPORARY) {
            durable::remove_folder(&folder.path().join("jobs").join(&found))?;
            cleared.push(number.to_owned());
        }
    }
    Ok(cleared)
}
