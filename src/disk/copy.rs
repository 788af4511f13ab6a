//! Files of one folder that come into another: built beside their place, read back, and only then given it.

use super::durable::{self, Privacy, TEMPORARY};
use super::error::{Error, Kind};
use super::folder::Folder;
use super::{name, room};
use crate::audit::manifest::MOST_FILE;
use crate::seal::{Digest, Hasher};
use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Read};
use std::path::Path;

/// A file to be copied.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its path in the folder that it comes from.
    pub from: String,
    /// Its path in the new folder.
    pub to: String,
    /// Its hash; other bytes are not taken.
    pub sha256: Digest,
    /// Whether the copy is for this program's user alone, where the file system knows users.
    pub private: bool,
}

/// Files on their way from one folder into a new one.
#[derive(Debug)]
pub struct Copying<'a> {
    /// Where they come from.
    pub source: &'a Folder,
    /// Which they are.
    pub parts: Vec<Part>,
    /// Files that are written beside them: a path and its bytes.
    pub written: Vec<(String, Vec<u8>)>,
}

impl Copying<'_> {
    /// Copies everything into a new folder `name` of `parent`.
    ///
    /// It is built under a temporary name, synced, read back from the disk and looked at by `check`; only then
    /// it gets its place. What an interruption left under that temporary name is gone on with.
    ///
    /// # Errors
    /// `Exists` when the place is taken, `Full` when there is no room, `Damaged` when bytes are not those that
    /// were announced; otherwise what the disk says. What `check` itself gives comes back within.
    pub fn place<E>(
        &self,
        parent: &Folder,
        name: &str,
        check: impl FnOnce(&Folder) -> Result<(), E>,
    ) -> Result<Result<(), E>, Error> {
        let place = name::below(parent.path(), name)?;
        if place.symlink_metadata().is_ok() {
            return Err(Error::seen("make the folder", &place, Kind::Exists));
        }
        let build = durable::temporary_of(&place)?;
        self.go_on(&build)?;
        room::expect(parent.path(), &self.missing(&build)?)?;
        self.fill(&build)?;
        let built = Folder::open(&build)?;
        self.read_back(&built)?;
        let checked = check(&built);
        if checked.is_ok() {
            durable::rename(&build, &place)?;
        } else {
            // Nobody would go on with it.
            durable::remove_folder(&build)?;
        }
        Ok(checked)
    }

    /// Copies everything into a folder of ours that is still beside its place, and reads it back.
    pub(super) fn bring(&self, build: &Path) -> Result<(), Error> {
        room::expect(build, &self.missing(build)?)?;
        self.fill(build)?;
        self.read_back(&Folder::open(build)?)
    }

    fn paths(&self) -> BTreeSet<&str> {
        let written = self.written.iter().map(|(path, _)| path.as_str());
        self.parts
            .iter()
            .map(|part| part.to.as_str())
            .chain(written)
            .collect()
    }

    /// Makes the folder, or clears an earlier try's of all that does not belong to this one.
    fn go_on(&self, build: &Path) -> Result<(), Error> {
        match build.symlink_metadata() {
            Ok(found) if found.is_dir() => clear(build, "", &self.paths()),
            Ok(_) => {
                durable::remove_file_if_there(build)?;
                durable::make_folder(build, Privacy::Usual)
            }
            Err(_) => durable::make_folder(build, Privacy::Usual),
        }
    }

    /// The lengths of all files that are not there yet.
    fn missing(&self, build: &Path) -> Result<Vec<u64>, Error> {
        let built = Folder::open(build)?;
        let mut lengths = Vec::new();
        for part in &self.parts {
            let length = self.source.size(&part.from)?;
            if built.size(&part.to)? != length {
                lengths.push(length.unwrap_or(0));
            }
        }
        lengths.extend(self.written.iter().map(|(_, bytes)| bytes.len() as u64));
        Ok(lengths)
    }

    fn fill(&self, build: &Path) -> Result<(), Error> {
        let built = Folder::open(build)?;
        let mut folders = BTreeSet::from([String::new()]);
        for path in self.paths() {
            for (at, _) in path.match_indices('/') {
                if folders.insert(path[..at].to_owned()) {
                    durable::need_folder(&name::below(build, &path[..at])?, Privacy::Usual)?;
                }
            }
        }
        for part in &self.parts {
            // Whole files of an earlier try are kept: a slow stick need not take them twice.
            if built.digest(&part.to)? != Some(part.sha256) {
                let path = name::below(build, &part.to)?;
                durable::remove_file_if_there(&path)?;
                durable::write_new(&path, &mut self.reader(part)?, privacy(part))?;
            }
        }
        for (to, bytes) in &self.written {
            let path = name::below(build, to)?;
            durable::remove_file_if_there(&path)?;
            durable::write_new(&path, &mut bytes.as_slice(), Privacy::Usual)?;
        }
        for folder in folders {
            durable::sync_folder(&build.join(folder))?;
        }
        Ok(())
    }

    fn reader(&self, part: &Part) -> Result<Announced<impl Read>, Error> {
        announced(self.source, &part.from, part.sha256)
    }

    fn read_back(&self, built: &Folder) -> Result<(), Error> {
        for part in &self.parts {
            let path = name::below(built.path(), &part.to)?;
            durable::settle(&path)?;
            if built.digest(&part.to)? != Some(part.sha256) {
                return Err(Error::seen("read back", &path, Kind::Damaged));
            }
        }
        for (to, bytes) in &self.written {
            let path = name::below(built.path(), to)?;
            durable::settle(&path)?;
            if built.bytes(to, bytes.len() as u64)?.as_ref() != Some(bytes) {
                return Err(Error::seen("read back", &path, Kind::Damaged));
            }
        }
        Ok(())
    }
}

impl Folder {
    /// Puts a copy of another folder's file in place of what stands here, whole or not at all.
    ///
    /// # Errors
    /// As [`Copying::place`]; the older file then still stands.
    pub fn take(&self, source: &Folder, file: &str, sha256: Digest) -> Result<(), Error> {
        let path = name::below(self.path(), file)?;
        room::expect(self.path(), &[source.size(file)?.unwrap_or(0)])?;
        durable::replace(&path, &mut announced(source, file, sha256)?, Privacy::Usual)
    }

    /// A folder below, made when it is not there.
    ///
    /// # Errors
    /// The name leads elsewhere, or the disk fails.
    pub fn need(&self, relative: &str) -> Result<Folder, Error> {
        let path = name::below(self.path(), relative)?;
        durable::need_folder(&path, Privacy::Usual)?;
        Folder::open(&path)
    }

    /// Moves a folder to another place below, which must not be taken.
    ///
    /// # Errors
    /// `Exists` when the place is taken; otherwise what the disk says.
    pub fn set_aside(&self, from: &str, to: &str) -> Result<(), Error> {
        let (from, to) = (name::below(self.path(), from)?, name::below(self.path(), to)?);
        if to.symlink_metadata().is_ok() {
            return Err(Error::seen("move a folder to", &to, Kind::Exists));
        }
        durable::rename(&from, &to)
    }

    /// Removes what interrupted copies left in a folder below, but for those that are gone on with: `kept`.
    ///
    /// # Errors
    /// The disk fails.
    pub fn clear_copies(&self, relative: &str, kept: &BTreeSet<String>) -> Result<(), Error> {
        for found in self.names(relative, usize::MAX)? {
            let path = self.path().join(relative).join(&found);
            match found.strip_prefix(TEMPORARY) {
                Some(name) if !kept.contains(name) => remove(&path)?,
                _ => {}
            }
        }
        Ok(())
    }
}

fn privacy(part: &Part) -> Privacy {
    if part.private {
        Privacy::Own
    } else {
        Privacy::Usual
    }
}

/// Removes everything of an earlier try that is not of this one. Links are removed, not followed.
fn clear(build: &Path, inside: &str, wanted: &BTreeSet<&str>) -> Result<(), Error> {
    let here = build.join(inside);
    let entries = fs::read_dir(&here).map_err(|error| Error::io("list", &here, error))?;
    for entry in entries {
        let entry = entry.map_err(|error| Error::io("list", &here, error))?;
        let kind = entry.file_type();
        let kind = kind.map_err(|error| Error::io("look at", &entry.path(), error))?;
        let found = entry.file_name().to_string_lossy().into_owned();
        let path = if inside.is_empty() {
            found
        } else {
            format!("{inside}/{found}")
        };
        let prefix = format!("{path}/");
        let leads_on = wanted
            .range(prefix.as_str()..)
            .next()
            .is_some_and(|next| next.starts_with(&prefix));
        if kind.is_dir() && leads_on {
            clear(build, &path, wanted)?;
        } else if !(kind.is_file() && wanted.contains(path.as_str())) {
            remove(&entry.path())?;
        }
    }
    Ok(())
}

fn remove(path: &Path) -> Result<(), Error> {
    if path.symlink_metadata().is_ok_and(|found| found.is_dir()) {
        durable::remove_folder(path)
    } else {
        durable::remove_file_if_there(path)
    }
}

fn announced(source: &Folder, file: &str, sha256: Digest) -> Result<Announced<impl Read>, Error> {
    let reader = source.reader(file)?;
    let missing = || Error::seen("read", &source.path().join(file), Kind::Missing);
    Ok(Announced {
        inner: reader.ok_or_else(missing)?.take(MOST_FILE),
        hasher: Some(Hasher::new()),
        sha256,
    })
}

/// Bytes whose hash is known before they come. At their end, others are refused.
struct Announced<R> {
    inner: R,
    hasher: Option<Hasher>,
    sha256: Digest,
}

impl<R: Read> Read for Announced<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(into)?;
        if count > 0 || into.is_empty() {
            if let Some(hasher) = &mut self.hasher {
                hasher.update(&into[..count]);
            }
            return Ok(count);
        }
        match self.hasher.take().map(Hasher::finish) {
            Some(found) if found != self.sha256 => {
                let what = "the bytes read are not those whose hash was announced";
                Err(io::Error::new(io::ErrorKind::InvalidData, what))
            }
            _ => Ok(0),
        }
    }
}
