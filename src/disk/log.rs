//! A file of lines that only grows.

use super::durable;
use super::error::{Error, Kind};
use super::torn::{self, Torn};
use crate::seal::Lines;
use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

/// How many bytes are read at once.
const BUFFER: usize = 64 * 1024;

/// A `.jsonl` file, open for writing at its end. One instance alone has it, since the shop is locked.
#[derive(Debug)]
pub struct AppendLog {
    path: PathBuf,
    file: File,
    /// The bytes that are known to be on the disk.
    len: u64,
    /// Whether a failed write could not be undone.
    stopped: bool,
}

impl AppendLog {
    /// Opens the log. What a power cut left of a last line is moved aside into a file beside it.
    ///
    /// # Errors
    /// The file is not there, cannot be read or written, or the bytes cannot be moved aside.
    pub(super) fn open(path: &Path) -> Result<(Self, Option<Torn>), Error> {
        let mut file = durable::open_append(path)?;
        let whole = torn::end_of_lines(&mut file).map_err(|error| Error::io("read", path, error))?;
        let len = file
            .metadata()
            .map_err(|error| Error::io("read", path, error))?
            .len();
        let mut torn = None;
        if whole < len {
            torn = Some(torn::set_aside(&mut file, path, whole)?);
            durable::cut(&file, path, whole)?;
        }
        // An earlier run may have written these lines without coming to its sync; now they are shown.
        file.sync_data().map_err(|error| Error::io("sync", path, error))?;
        Ok((
            Self {
                path: path.to_owned(),
                file,
                len: whole,
                stopped: false,
            },
            torn,
        ))
    }

    /// Opens the log, made empty when it is not there.
    ///
    /// # Errors
    /// As [`AppendLog::open`].
    pub(super) fn open_or_create(path: &Path) -> Result<(Self, Option<Torn>), Error> {
        match Self::open(path) {
            Err(error) if error.kind == Kind::Missing => {
                durable::create_append(path)?;
                Self::open(path)
            }
            other => other,
        }
    }

    /// Writes one or more whole lines, each ending in LF, and returns when they are on the disk.
    ///
    /// # Errors
    /// Nothing was added then: what was written of it is cut off again. Where even that fails, the log
    /// takes no more until it is opened again. `Changed` when another program wrote to the file.
    pub fn append(&mut self, lines: &[u8]) -> Result<(), Error> {
        if self.stopped {
            return Err(Error::seen("append to", &self.path, Kind::Stopped));
        }
        if !lines.ends_with(b"\n") {
            return Err(Error::seen("append half a line to", &self.path, Kind::Damaged));
        }
        self.expect_unchanged()?;
        match durable::append(&mut self.file, &self.path, lines) {
            Ok(()) => {
                self.len += lines.len() as u64;
                Ok(())
            }
            Err(error) => {
                self.stopped = durable::cut(&self.file, &self.path, self.len).is_err();
                Err(error)
            }
        }
    }

    fn expect_unchanged(&self) -> Result<(), Error> {
        let found = self
            .file
            .metadata()
            .map_err(|error| Error::io("look at", &self.path, error))?;
        if found.len() == self.len {
            Ok(())
        } else {
            Err(Error::seen("append to", &self.path, Kind::Changed))
        }
    }

    /// Reads the lines from the start, one in memory at a time.
    ///
    /// # Errors
    /// The file cannot be opened.
    pub fn lines(&self) -> Result<Lines<BufReader<File>>, Error> {
        Ok(Lines::new(self.reader()?))
    }

    /// Reads the bytes from the start.
    ///
    /// # Errors
    /// The file cannot be opened.
    pub fn reader(&self) -> Result<BufReader<File>, Error> {
        let file = File::open(&self.path).map_err(|error| Error::io("read", &self.path, error))?;
        Ok(BufReader::with_capacity(BUFFER, file))
    }

    /// The bytes on the disk.
    #[must_use]
    pub fn len(&self) -> u64 {
        self.len
    }

    /// Whether no line stands in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }
}
