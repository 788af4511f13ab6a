//! A folder that a camera, a phone or a stick fills with photographs: only looked at, never written to.

use super::error::{Error, Kind};
use super::folder::Folder;
use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// The most files and folders that are looked at; a folder with more is refused.
const MOST_SEEN: usize = 20_000;
/// The deepest folder that is looked into, counted from the inbox: a camera has `DCIM/100ABCDE`.
const MOST_DEPTH: usize = 4;
/// What a photograph's file is called at its end.
const ENDS: [&str; 3] = ["jpg", "jpeg", "png"];

/// A picture's file in the folder.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Snap {
    /// Its path inside the folder, by which it is read.
    pub name: String,
    /// Its length in bytes.
    pub bytes: u64,
    /// When it was last written, by the disk's clock.
    pub at: SystemTime,
}

/// A folder looked at again and again.
#[derive(Debug)]
pub struct Inbox {
    folder: PathBuf,
    /// What was there at the look before. A file that is still being written grows between two looks.
    before: Option<HashMap<String, Snap>>,
    /// Files that were there at the first look, or were told as new.
    known: HashMap<String, Snap>,
}

/// What one look found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Look {
    /// All pictures, the newest first.
    pub snaps: Vec<Snap>,
    /// Those that came whole since the look before, the newest first.
    pub fresh: Vec<Snap>,
}

impl Inbox {
    /// The folder at this path, which need not be there yet.
    #[must_use]
    pub fn new(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
            before: None,
            known: HashMap::new(),
        }
    }

    /// Looks at the folder. What is there at the first look is not fresh, and neither is a file before two looks
    /// found it the same, so that none is taken while it is still written.
    ///
    /// # Errors
    /// The folder is not there, cannot be listed, or holds more than can rightly be.
    pub fn look(&mut self) -> Result<Look, Error> {
        let now = self.list()?;
        let mut fresh: Vec<Snap> = Vec::new();
        match &self.before {
            None => self.known = now.clone(),
            Some(before) => {
                let whole = |snap: &&Snap| snap.bytes > 0 && before.get(&snap.name) == Some(snap);
                fresh.extend(
                    now.values()
                        .filter(whole)
                        .filter(|snap| self.known.get(&snap.name) != Some(snap))
                        .cloned(),
                );
                self.known
                    .extend(fresh.iter().map(|snap| (snap.name.clone(), snap.clone())));
            }
        }
        self.known.retain(|name, _| now.contains_key(name));
        let mut snaps: Vec<Snap> = now.values().cloned().collect();
        newest_first(&mut snaps);
        newest_first(&mut fresh);
        self.before = Some(now);
        Ok(Look { snaps, fresh })
    }

    fn list(&self) -> Result<HashMap<String, Snap>, Error> {
        // A folder that is a file, or not there, is told; the rest of the walk passes over what it cannot read.
        Folder::open(&self.folder)?;
        let (mut snaps, mut folders, mut seen) = (HashMap::new(), vec![(String::new(), 0)], 0_usize);
        while let Some((inside, depth)) = folders.pop() {
            let path = self.folder.join(&inside);
            let entries = match fs::read_dir(&path) {
                Ok(entries) => entries,
                Err(error) if depth == 0 => return Err(Error::io("list", &path, error)),
                Err(_) => continue,
            };
            for entry in entries.flatten() {
                seen += 1;
                if seen > MOST_SEEN {
                    return Err(Error::seen("list", &self.folder, Kind::TooLarge));
                }
                let Some(name) = entry.file_name().to_str().map(|name| join(&inside, name)) else {
                    continue;
                };
                // Links are not followed: a stick could point into the tablet.
                let Ok(found) = entry.path().symlink_metadata() else {
                    continue;
                };
                if hidden(&name) {
                    continue;
                }
                if found.is_dir() && depth < MOST_DEPTH {
                    folders.push((name, depth + 1));
                } else if found.is_file() && is_picture(&name) {
                    let at = found.modified().unwrap_or(SystemTime::UNIX_EPOCH);
                    let bytes = found.len();
                    snaps.insert(name.clone(), Snap { name, bytes, at });
                }
            }
        }
        Ok(snaps)
    }
}

/// The bytes of a picture of the folder.
///
/// # Errors
/// It is not there any more, is longer than `most` bytes, or cannot be read.
pub fn snap(folder: &Path, name: &str, most: u64) -> Result<Vec<u8>, Error> {
    let path = folder.join(name);
    let plain = path
        .symlink_metadata()
        .map_err(|error| Error::io("read", &path, error))?;
    if !plain.is_file() {
        return Err(Error::seen("read", &path, Kind::NotPlain));
    }
    if plain.len() > most {
        return Err(Error::seen("read", &path, Kind::TooLarge));
    }
    let file = fs::File::open(&path).map_err(|error| Error::io("read", &path, error))?;
    let mut bytes = Vec::new();
    let mut limited = std::io::Read::take(file, most.saturating_add(1));
    std::io::Read::read_to_end(&mut limited, &mut bytes).map_err(|error| Error::io("read", &path, error))?;
    if bytes.len() as u64 > most {
        return Err(Error::seen("read", &path, Kind::TooLarge));
    }
    Ok(bytes)
}

fn newest_first(snaps: &mut [Snap]) {
    snaps.sort_by(|a, b| (b.at, &b.name).cmp(&(a.at, &a.name)));
}

fn join(inside: &str, name: &str) -> String {
    if inside.is_empty() {
        name.to_owned()
    } else {
        format!("{inside}/{name}")
    }
}

fn hidden(name: &str) -> bool {
    name.rsplit('/').next().is_some_and(|last| last.starts_with('.'))
}

fn is_picture(name: &str) -> bool {
    let end = name.rsplit_once('.').map(|(_, end)| end.to_ascii_lowercase());
    end.is_some_and(|end| ENDS.contains(&end.as_str()))
}
