//! A folder that is only read: by whoever verifies it, with bounded memory and no lock.

use super::error::{Error, Kind};
use super::name;
use crate::seal::{Digest, Hasher};
use std::fs::{self, File};
use std::io::{self, BufReader, Read};
use std::path::{Path, PathBuf};

/// A folder of ours or of a stranger.
#[derive(Clone, Debug)]
pub struct Folder {
    root: PathBuf,
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
        let path = name::below(&self.root, relative)?;
        let file = match File::open(&path) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            other => other.map_err(|error| Error::io("read", &path, error))?,
        };
        // A pipe or a device would keep the reader waiting, or never end.
        match file.metadata() {
            Ok(found) if found.is_file() => Ok(Some(BufReader::new(file))),
            Ok(_) => Err(Error::seen("read", &path, Kind::NotPlain)),
            Err(error) => Err(Error::io("read", &path, error)),
        }
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

/// What the verifier reads is bounded by what it asks for.
impl crate::audit::Files for Folder {
    fn reader(&self, name: &str) -> io::Result<Option<Box<dyn io::BufRead + '_>>> {
        let reader = Folder::reader(self, name).map_err(io::Error::other)?;
        Ok(reader.map(|reader| Box::new(reader) as Box<dyn io::BufRead + '_>))
    }

    fn names(&self, folder: &str, most: usize) -> io::Result<Vec<String>> {
        Folder::names(self, folder, most).map_err(io::Error::other)
    }
}
