//! Which names may stand in the shop's folder. Nothing else is opened, so no name leads out of it.

use super::error::{Error, Kind};
use crate::audit::manifest::is_plain;
use crate::seal::{Digest, envelope};
use std::fs::Metadata;
use std::io;
use std::path::{Path, PathBuf};

/// A path below `root` of plain names, none of which is a link.
///
/// A part that is not there yet is allowed, so that it can be made.
///
/// # Errors
/// `BadName` for a part that is empty, begins with a dot or holds anything but `A-Z a-z 0-9 . _ -`;
/// `NotPlain` for a link.
pub(super) fn below(root: &Path, relative: &str) -> Result<PathBuf, Error> {
    seen(root, relative).map(|(path, _)| path)
}

/// The same, with what is there at its end, if that could be looked at.
///
/// # Errors
/// As [`below`].
pub(super) fn seen(root: &Path, relative: &str) -> Result<(PathBuf, io::Result<Metadata>), Error> {
    let mut path = root.to_owned();
    let mut found = Err(io::ErrorKind::NotFound.into());
    for part in relative.split('/') {
        if !is_plain(part) {
            return Err(Error::seen("use the name", &root.join(relative), Kind::BadName));
        }
        path.push(part);
        found = path.symlink_metadata();
        if found.as_ref().is_ok_and(Metadata::is_symlink) {
            return Err(Error::seen("follow the link", &path, Kind::NotPlain));
        }
    }
    Ok((path, found))
}

/// The folder of a job, by its number.
///
/// # Errors
/// The number is none that a record can carry.
pub(super) fn job(number: &str) -> Result<String, Error> {
    if envelope::is_job(number) {
        Ok(format!("jobs/{number}"))
    } else {
        Err(Error::seen(
            "use the job number",
            Path::new(number),
            Kind::BadName,
        ))
    }
}

/// The name of a file by its content: `<sha256>.<ext>`.
///
/// # Errors
/// The extension is not 1 to 8 of `a-z 0-9`.
pub(super) fn by_content(digest: Digest, extension: &str) -> Result<String, Error> {
    let allowed = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit();
    if (1..=8).contains(&extension.len()) && extension.bytes().all(allowed) {
        Ok(format!("{digest}.{extension}"))
    } else {
        Err(Error::seen(
            "use the extension",
            Path::new(extension),
            Kind::BadName,
        ))
    }
}
