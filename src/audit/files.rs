//! A job's folder as the verifier sees it. `disk` reads it from files; a test may keep it in memory.

use crate::seal::{Digest, Hasher};
use std::collections::BTreeMap;
use std::io::{self, BufRead, Read};

/// The files of one folder, read from several threads at once. Names are relative, with `/` between their parts.
pub trait Files: Sync {
    /// A file for reading piece by piece, or none when it is not there.
    ///
    /// # Errors
    /// The file is there and cannot be read.
    fn reader(&self, name: &str) -> io::Result<Option<Box<dyn BufRead + '_>>>;

    /// Reads a whole file of at most `most` bytes in place of what is in `bytes`, and gives whether it is there.
    ///
    /// # Errors
    /// The file cannot be read, or `FileTooLarge`.
    fn read(&self, name: &str, most: u64, bytes: &mut Vec<u8>) -> io::Result<bool> {
        bytes.clear();
        let Some(reader) = self.reader(name)? else {
            return Ok(false);
        };
        to_end(reader, most, bytes).map(|()| true)
    }

    /// The names in a folder below, in any order; none when it is not there.
    ///
    /// # Errors
    /// The folder cannot be listed, or has more than `most` names.
    fn names(&self, folder: &str, most: usize) -> io::Result<Vec<String>>;

    /// The files of a folder below, where they are found sooner by themselves. Its way is then looked at once, not
    /// for each of its files. None says nothing of whether it is there.
    fn below(&self, _folder: &str) -> Option<Box<dyn Files + '_>> {
        None
    }
}

/// A whole file of at most `most` bytes, or none when it is not there.
///
/// # Errors
/// The file cannot be read or is longer.
pub fn bytes(files: &dyn Files, name: &str, most: u64) -> io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    Ok(files.read(name, most, &mut bytes)?.then_some(bytes))
}

/// Reads all that comes behind what is in `bytes`, at most `most` bytes of it.
///
/// # Errors
/// It cannot be read, or `FileTooLarge`.
pub fn to_end(reader: impl Read, most: u64, bytes: &mut Vec<u8>) -> io::Result<()> {
    let read = reader.take(most.saturating_add(1)).read_to_end(bytes)?;
    if read as u64 > most {
        return Err(io::Error::new(
            io::ErrorKind::FileTooLarge,
            format!("more than {most} bytes"),
        ));
    }
    Ok(())
}

/// The SHA-256 of a file of any length, or none when it is not there.
///
/// # Errors
/// The file cannot be read.
pub fn digest(files: &dyn Files, name: &str) -> io::Result<Option<Digest>> {
    match files.reader(name)? {
        Some(mut reader) => digest_of(&mut *reader).map(Some),
        None => Ok(None),
    }
}

/// The SHA-256 of everything that comes.
///
/// # Errors
/// It cannot be read.
pub fn digest_of(reader: &mut dyn BufRead) -> io::Result<Digest> {
    let mut hasher = Hasher::new();
    loop {
        let piece = match reader.fill_buf() {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            other => other?,
        };
        if piece.is_empty() {
            return Ok(hasher.finish());
        }
        let used = piece.len();
        hasher.update(piece);
        reader.consume(used);
    }
}

/// A folder in memory.
impl Files for BTreeMap<String, Vec<u8>> {
    fn reader(&self, name: &str) -> io::Result<Option<Box<dyn BufRead + '_>>> {
        Ok(self
            .get(name)
            .map(|bytes| Box::new(bytes.as_slice()) as Box<dyn BufRead + '_>))
    }

    fn names(&self, folder: &str, most: usize) -> io::Result<Vec<String>> {
        let prefix = if folder.is_empty() {
            String::new()
        } else {
            format!("{folder}/")
        };
        let inside = self.keys().filter_map(|name| name.strip_prefix(&prefix));
        let mut names: Vec<String> = inside
            .filter_map(|name| name.split('/').next())
            .map(str::to_owned)
            .collect();
        names.dedup();
        if names.len() > most {
            return Err(io::Error::new(
                io::ErrorKind::FileTooLarge,
                format!("more than {most} names"),
            ));
        }
        Ok(names)
    }
}
