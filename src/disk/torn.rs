//! What a power cut left of a line: moved aside, never thrown away.

use super::durable::{self, Privacy};
use super::error::Error;
use crate::seal::{Digest, Hasher};
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

/// Bytes that were moved aside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Torn {
    /// The name of the file that holds them now: `torn-<n>.bin`, n from 1.
    pub name: String,
    /// Their SHA-256, which belongs into the resume entry.
    pub sha256: Digest,
}

/// How many bytes are looked at in one go.
const BLOCK: usize = 64 * 1024;

/// Where the last whole line ends: behind the last LF, or 0.
pub(super) fn end_of_lines(file: &mut File) -> io::Result<u64> {
    let mut end = file.seek(SeekFrom::End(0))?;
    let mut block = vec![0; BLOCK];
    while end > 0 {
        let start = end.saturating_sub(BLOCK as u64);
        let part = &mut block[..usize::try_from(end - start).unwrap_or(BLOCK)];
        file.seek(SeekFrom::Start(start))?;
        file.read_exact(part)?;
        if let Some(at) = part.iter().rposition(|byte| *byte == b'\n') {
            return Ok(start + at as u64 + 1);
        }
        end = start;
    }
    Ok(0)
}

/// Copies everything from `from` on into a torn file beside `log`.
///
/// An interruption between this and the cut leaves both; the same bytes are then not kept twice.
pub(super) fn set_aside(file: &mut File, log: &Path, from: u64) -> Result<Torn, Error> {
    let failed = |error| Error::io("read", log, error);
    file.seek(SeekFrom::Start(from)).map_err(failed)?;
    let sha256 = hash(&mut *file).map_err(failed)?;
    let folder = log.parent().unwrap_or(Path::new("."));
    let kept = list(folder)?;
    if let Some(same) = kept.iter().find(|torn| torn.sha256 == sha256) {
        return Ok(same.clone());
    }
    let name = format!("torn-{}.bin", kept.len() + 1);
    file.seek(SeekFrom::Start(from)).map_err(failed)?;
    durable::replace(&folder.join(&name), file, Privacy::Usual)?;
    Ok(Torn { name, sha256 })
}

/// Everything that was ever moved aside in this folder, the oldest first.
pub(super) fn list(folder: &Path) -> Result<Vec<Torn>, Error> {
    let mut found = Vec::new();
    loop {
        let name = format!("torn-{}.bin", found.len() + 1);
        let path: PathBuf = folder.join(&name);
        match File::open(&path).and_then(hash) {
            Ok(sha256) => found.push(Torn { name, sha256 }),
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(found),
            Err(error) => return Err(Error::io("read", &path, error)),
        }
    }
}

fn hash(mut source: impl Read) -> io::Result<Digest> {
    let mut hasher = Hasher::new();
    let mut block = vec![0; BLOCK];
    loop {
        match source.read(&mut block) {
            Ok(0) => return Ok(hasher.finish()),
            Ok(count) => hasher.update(&block[..count]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}
