//! A folder that is only read: by whoever verifies it, with bounded memory and no lock.

use super::error::{Error, Kind};
use super::held::{Held, Seen};
use super::name;
use crate::audit::manifest::is_plain;
use crate::seal::{Digest, Hasher};
use std::fs::{self, File};
use std::io::{self, BufReader, Read};
use std::path::{Path, PathBuf};

/// A folder of ours or of a stranger.
#[derive(Clone, Debug)]
pub struct Folder {
    root: PathBuf,
    /// The same, open, where many of its files are read one after the other.
    held: Option<Held>,
}

impl Folder {
    /// The folder at this path.
    ///
    /// # Errors
    /// There is no folder.
    pub fn open(root: &Path) -> Result<Self, Error> {
        let found = fs::metadata(root).map_err(|error| Error::io("open the folder", root, error))?;
        if found.is_dir() {
            Ok(Self {
                root: root.to_owned(),
                held: None,
            })
        } else {
            Err(Error::seen("open the folder", root, Kind::NotPlain))
        }
    }

    /// Where it is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.root
    }

    /// A file for reading piece by piece, or none when it is not there.
    ///
    /// # Errors
    /// The name leads elsewhere, or the file is no plain file or cannot be read.
    pub fn reader(&self, relative: &str) -> Result<Option<BufReader<File>>, Error> {
        let found = self.file(relative)?;
        // No larger than the file needs: most are small, and many are read one after the other.
        let piece = |length: u64| usize::try_from(length).map_or(MOST_PIECE, |length| length.min(MOST_PIECE));
        Ok(found.map(|(file, length)| BufReader::with_capacity(piece(length).max(LEAST_PIECE), file)))
    }

    /// A file with its length in bytes, or none when it is not there.
    fn file(&self, relative: &str) -> Result<Option<(File, u64)>, Error> {
        if let Some(held) = self.held.as_ref().filter(|_| is_plain(relative)) {
            return self.file_of(held, relative);
        }
        let (path, found) = name::seen(&self.root, relative)?;
        // A pipe would keep whoever opens it waiting, and a device may never end: neither is opened.
        let length = match found {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(Error::io("read", &path, error)),
            Ok(found) if !found.is_file() => return Err(Error::seen("read", &path, Kind::NotPlain)),
            Ok(found) => found.len(),
        };
        let file = File::open(&path).map_err(|error| Error::io("read", &path, error))?;
        Ok(Some((file, length)))
    }

    /// The same in the folder that is held open, by one plain name.
    fn file_of(&self, held: &Held, name: &str) -> Result<Option<(File, u64)>, Error> {
        let path = || self.root.join(name);
        let length = match held.seen(name) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(Error::io("read", &path(), error)),
            Ok(Seen::Link) => return Err(Error::seen("follow the link", &path(), Kind::NotPlain)),
            Ok(Seen::Other) => return Err(Error::seen("read", &path(), Kind::NotPlain)),
            Ok(Seen::File(length)) => length,
        };
        let file = held
            .file(name)
            .map_err(|error| Error::io("read", &path(), error))?;
        Ok(Some((file, length)))
    }

    /// A whole file of at most `most` bytes, or none when it is not there.
    ///
    /// # Errors
    /// As [`Folder::reader`], and `TooLarge`.
    pub fn bytes(&self, relative: &str, most: u64) -> Result<Option<Vec<u8>>, Error> {
        let Some(reader) = self.reader(relative)? else {
            return Ok(None);
        };
        let path = self.root.join(relative);
        let mut bytes = Vec::new();
        let limited = reader.take(most.saturating_add(1)).read_to_end(&mut bytes);
        let read = limited.map_err(|error| Error::io("read", &path, error))?;
        if read as u64 > most {
            Err(Error::seen("read", &path, Kind::TooLarge))
        } else {
            Ok(Some(bytes))
        }
    }

    /// A whole file of at most `most` bytes that has to be there.
    ///
    /// # Errors
    /// As [`Folder::bytes`], and `Missing`.
    pub fn needed(&self, relative: &str, most: u64) -> Result<Vec<u8>, Error> {
        let missing = || Error::seen("read", &self.root.join(relative), Kind::Missing);
        self.bytes(relative, most)?.ok_or_else(missing)
    }

    /// The SHA-256 of a file of any length, or none when it is not there.
    ///
    /// # Errors
    /// As [`Folder::reader`].
    pub fn digest(&self, relative: &str) -> Result<Option<Digest>, Error> {
        let Some(mut reader) = self.reader(relative)? else {
            return Ok(None);
        };
        let mut hasher = Hasher::new();
        let mut block = vec![0; 64 * 1024];
        loop {
            match reader.read(&mut block) {
                Ok(0) => return Ok(Some(hasher.finish())),
                Ok(count) => hasher.update(&block[..count]),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(Error::io("read", &self.root.join(relative), error)),
            }
        }
    }

    /// The length of a file in bytes, or none when it is not there.
    ///
    /// # Errors
    /// As [`Folder::reader`].
    pub fn size(&self, relative: &str) -> Result<Option<u64>, Error> {
        let Some(reader) = self.reader(relative)? else {
            return Ok(None);
        };
        let found = reader.get_ref().metadata();
        let found = found.map_err(|error| Error::io("read", &self.root.join(relative), error))?;
        Ok(Some(found.len()))
    }

    /// Every file in a folder below, by its path inside that folder, sorted, at most `most`. Names that begin
    /// with a dot are passed over, as what an interruption left; `odd` is told of names that no path of ours has.
    ///
    /// # Errors
    /// A link or a device is there, there are more files or deeper folders than can rightly be, or the folder
    /// cannot be listed.
    pub fn walk(
        &self,
        relative: &str,
        most: usize,
        odd: &mut dyn FnMut(String),
    ) -> Result<Vec<String>, Error> {
        let (mut files, mut folders) = (Vec::new(), vec![String::new()]);
        while let Some(inside) = folders.pop() {
            for found in self.names(&join(relative, &inside), most)? {
                let path = join(&inside, &found);
                if found.starts_with('.') {
                    continue;
                }
                if !is_plain(&found) {
                    odd(join(relative, &path));
                    continue;
                }
                let full = name::below(&self.root, &join(relative, &path))?;
                let kind = fs::symlink_metadata(&full).map_err(|error| Error::io("look at", &full, error))?;
                if kind.is_dir() && path.matches('/').count() < MOST_DEPTH {
                    folders.push(path);
                } else if kind.is_file() && files.len() < most {
                    files.push(path);
                } else {
                    let plain = kind.is_file() || kind.is_dir();
                    let kind = if plain { Kind::TooLarge } else { Kind::NotPlain };
                    return Err(Error::seen("read", &full, kind));
                }
            }
        }
        files.sort();
        Ok(files)
    }

    /// The names in a folder below, sorted; none when it is not there. At most `most` are allowed.
    ///
    /// # Errors
    /// As [`Folder::reader`], and `TooLarge`.
    pub fn names(&self, relative: &str, most: usize) -> Result<Vec<String>, Error> {
        let path = if relative.is_empty() {
            self.root.clone()
        } else {
            name::below(&self.root, relative)?
        };
        let entries = match fs::read_dir(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            other => other.map_err(|error| Error::io("list", &path, error))?,
        };
        let mut names = Vec::new();
        for entry in entries {
            let entry = entry.map_err(|error| Error::io("list", &path, error))?;
            names.push(entry.file_name().to_string_lossy().into_owned());
            if names.len() > most {
                return Err(Error::seen("list", &path, Kind::TooLarge));
            }
        }
        names.sort();
        Ok(names)
    }
}

/// How many bytes of a file are read at once: as many as it has, within these limits.
const LEAST_PIECE: usize = 512;
const MOST_PIECE: usize = 64 * 1024;
/// How much room reading to the end wants behind what it has read.
const ROOM_AT_THE_END: usize = 64;

/// The deepest folder that is walked through, counted from where the walk begins.
const MOST_DEPTH: usize = 4;

/// A path inside a folder; the folder itself is the empty path.
fn join(folder: &str, inside: &str) -> String {
    match (folder, inside) {
        ("", path) | (path, "") => path.to_owned(),
        _ => format!("{folder}/{inside}"),
    }
}

/// What the verifier reads is bounded by what it asks for.
impl crate::audit::Files for Folder {
    fn reader(&self, name: &str) -> io::Result<Option<Box<dyn io::BufRead + '_>>> {
        let reader = Folder::reader(self, name).map_err(io::Error::other)?;
        Ok(reader.map(|reader| Box::new(reader) as Box<dyn io::BufRead + '_>))
    }

    /// Without a buffer between the file and `bytes`, which get all of it at once.
    fn read(&self, name: &str, most: u64, bytes: &mut Vec<u8>) -> io::Result<bool> {
        bytes.clear();
        let Some((file, length)) = self.file(name).map_err(io::Error::other)? else {
            return Ok(false);
        };
        let expected = usize::try_from(length.min(most)).unwrap_or(0);
        // The end of a file shows where there is still room.
        bytes.reserve(expected.min(MOST_PIECE) + ROOM_AT_THE_END);
        crate::audit::files::to_end(file, most, bytes).map(|()| true)
    }

    fn names(&self, folder: &str, most: usize) -> io::Result<Vec<String>> {
        Folder::names(self, folder, most).map_err(io::Error::other)
    }

    fn below(&self, folder: &str) -> Option<Box<dyn crate::audit::Files + '_>> {
        let root = name::below(&self.root, folder).ok()?;
        let held = Held::open(&root);
        Some(Box::new(Folder { root, held }))
    }
}
