//! A folder of authored content, read whole and within bounds.

use super::durable::{self, Privacy};
use super::error::{Error, Kind};
use super::folder::Folder;
use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::Path;
use std::time::SystemTime;

/// The most files of a content folder.
const MOST_FILES: usize = 20_000;
/// The deepest folder inside a content folder.
const MOST_DEPTH: usize = 8;

/// Every file of a content folder by its path inside it. Of a file longer than `most` bytes only so much
/// is kept that the loader sees it is too long. Hidden files are passed over; links are refused.
///
/// # Errors
/// The folder cannot be read, holds a link or a device, or more than 20,000 files.
pub fn content_files(root: &Path, most: u64) -> Result<BTreeMap<String, Vec<u8>>, Error> {
    let folder = Folder::open(root)?;
    let mut files = BTreeMap::new();
    walk(folder.path(), "", 0, &mut |path, name| {
        files.insert(name, read(path, most)?);
        Ok(files.len())
    })?;
    Ok(files)
}

/// Writes one file of a content folder in the place of the one that is there; it is there whole or not at all.
///
/// # Errors
/// The disk fails.
pub fn write_content(root: &Path, path: &str, bytes: &[u8]) -> Result<(), Error> {
    let folders = path.match_indices('/').map(|(end, _)| root.join(&path[..end]));
    for folder in folders {
        durable::need_folder(&folder, Privacy::Usual)?;
    }
    durable::replace(&root.join(path), &mut &*bytes, Privacy::Usual)
}

/// Takes a file by its place and its path inside the content folder, and gives how many were taken.
type Take<'t> = dyn FnMut(&Path, String) -> Result<usize, Error> + 't;

fn walk(root: &Path, inside: &str, depth: usize, take: &mut Take) -> Result<(), Error> {
    let here = root.join(inside);
    let entries = fs::read_dir(&here).map_err(|error| Error::io("list", &here, error))?;
    for entry in entries {
        let entry = entry.map_err(|error| Error::io("list", &here, error))?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        let path = if inside.is_empty() {
            name
        } else {
            format!("{inside}/{name}")
        };
        let kind = entry
            .file_type()
            .map_err(|error| Error::io("look at", &entry.path(), error))?;
        if kind.is_dir() && depth < MOST_DEPTH {
            walk(root, &path, depth + 1, take)?;
        } else if kind.is_file() {
            if take(&entry.path(), path)? > MOST_FILES {
                return Err(Error::seen("read", &entry.path(), Kind::TooLarge));
            }
        } else {
            let kind = if kind.is_dir() {
                Kind::TooLarge
            } else {
                Kind::NotPlain
            };
            return Err(Error::seen("read", &entry.path(), kind));
        }
    }
    Ok(())
}

/// How a file looked from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    pub length: u64,
    /// Nothing where the file system keeps no such time.
    pub modified: Option<SystemTime>,
}

/// Every file of a content folder as it looks from outside, without reading any.
///
/// # Errors
/// As [`content_files`].
pub fn content_stamps(root: &Path) -> Result<BTreeMap<String, Stamp>, Error> {
    let folder = Folder::open(root)?;
    let mut stamps = BTreeMap::new();
    walk(folder.path(), "", 0, &mut |path, name| {
        let seen = fs::metadata(path).map_err(|error| Error::io("look at", path, error))?;
        let stamp = Stamp {
            length: seen.len(),
            modified: seen.modified().ok(),
        };
        stamps.insert(name, stamp);
        Ok(stamps.len())
    })?;
    Ok(stamps)
}

/// One file of a content folder, by its path inside it, cut as by [`content_files`].
///
/// # Errors
/// The file cannot be read.
pub fn content_file(root: &Path, inside: &str, most: u64) -> Result<Vec<u8>, Error> {
    read(&root.join(inside), most)
}

fn read(path: &Path, most: u64) -> Result<Vec<u8>, Error> {
    let file = fs::File::open(path).map_err(|error| Error::io("read", path, error))?;
    let mut bytes = Vec::new();
    let limited = file.take(most.saturating_add(1)).read_to_end(&mut bytes);
    limited.map_err(|error| Error::io("read", path, error))?;
    Ok(bytes)
}
