//! What failed, where, and one hint.

use crate::to_say;
use std::io;
use std::path::{Path, PathBuf};

/// Something that the disk did not do.
#[derive(Debug, thiserror::Error)]
#[error("could not {doing} {}{}", path.display(), why(source.as_ref()))]
pub struct Error {
    /// What was being done, as a verb: `append to`, `sync`.
    pub doing: &'static str,
    /// The file or folder.
    pub path: PathBuf,
    /// What sort of failure it is.
    pub kind: Kind,
    /// What the system said.
    pub source: Option<io::Error>,
}

fn why(source: Option<&io::Error>) -> String {
    source.map_or(String::new(), |error| format!(": {error}"))
}

/// The sorts of failure, each with its hint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// No space is left, or no more is allowed to this user.
    Full,
    /// The disk can only be read.
    ReadOnly,
    /// The file or folder is not there.
    Missing,
    /// The disk or card does not answer.
    Gone,
    /// The user may not do it.
    Permission,
    /// Another instance has the shop's folder.
    Busy,
    /// The name is taken.
    Exists,
    /// The name could lead elsewhere, or is no name of this folder.
    BadName,
    /// A link or another thing that is no plain file or folder.
    NotPlain,
    /// The file is longer than it can rightly be.
    TooLarge,
    /// Another program changed the file.
    Changed,
    /// An earlier write failed and could not be undone.
    Stopped,
    /// The bytes are not what they should be.
    Damaged,
    /// Anything else.
    Other,
}

impl Kind {
    /// What to do about it.
    #[must_use]
    pub const fn hint(self) -> &'static str {
        match self {
            Self::Full => {
                to_say!(
                    "Free some space on this disk, then try again. Nothing that was acknowledged is lost."
                )
            }
            Self::ReadOnly => {
                to_say!(
                    "The disk can only be read: look whether its card is locked or failing, then start again."
                )
            }
            Self::Missing => {
                to_say!("Look whether the disk or card is in its place and the folder's name is right.")
            }
            Self::Gone => {
                to_say!(
                    "Look whether the disk or card is in its place, then start again. Nothing that was acknowledged is lost."
                )
            }
            Self::Permission => {
                to_say!("Give this program's user the right to read and write the shop's folder.")
            }
            Self::Busy => to_say!("Another Witnessmark has this shop open. Close it first."),
            Self::Exists => to_say!("Choose another name; nothing was overwritten."),
            Self::BadName => to_say!("Use only names that Witnessmark made itself."),
            Self::NotPlain => to_say!("Put the file itself in this place: links are not followed."),
            Self::TooLarge => {
                to_say!("The file is not what it should be. Keep a copy and verify the folder.")
            }
            Self::Changed => {
                to_say!("Another program wrote to this file. Keep a copy, then verify the folder.")
            }
            Self::Stopped => to_say!("Start the program again: it looks through the file before it goes on."),
            Self::Damaged => to_say!("Keep a copy of the file, then verify the folder."),
            Self::Other => to_say!("Keep a copy of the shop's folder, then try again."),
        }
    }

    fn of(error: &io::Error) -> Self {
        // EIO, ENXIO, ENODEV and Linux' ENOMEDIUM, which have no name in the standard library.
        if cfg!(unix) && matches!(error.raw_os_error(), Some(5 | 6 | 19 | 123)) {
            return Self::Gone;
        }
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => {
                Self::Full
            }
            io::ErrorKind::ReadOnlyFilesystem => Self::ReadOnly,
            io::ErrorKind::NotFound => Self::Missing,
            io::ErrorKind::PermissionDenied => Self::Permission,
            io::ErrorKind::AlreadyExists | io::ErrorKind::DirectoryNotEmpty => Self::Exists,
            io::ErrorKind::NotADirectory | io::ErrorKind::IsADirectory => Self::NotPlain,
            io::ErrorKind::InvalidData => Self::Damaged,
            _ => Self::Other,
        }
    }
}

impl Error {
    /// A failure that the system told.
    pub(super) fn io(doing: &'static str, path: &Path, source: io::Error) -> Self {
        Self {
            doing,
            path: path.to_owned(),
            kind: Kind::of(&source),
            source: Some(source),
        }
    }

    /// A failure while a file was read that this room opened.
    #[must_use]
    pub fn reading(file: &str, source: io::Error) -> Self {
        Self::io("read", Path::new(file), source)
    }

    /// A failure that this room saw itself.
    pub(super) fn seen(doing: &'static str, path: &Path, kind: Kind) -> Self {
        Self {
            doing,
            path: path.to_owned(),
            kind,
            source: None,
        }
    }

    /// What to do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        self.kind.hint()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_failure_of_the_system_has_its_kind() {
        use io::ErrorKind as Said;
        for (said, kind) in [
            (Said::StorageFull, Kind::Full),
            (Said::QuotaExceeded, Kind::Full),
            (Said::ReadOnlyFilesystem, Kind::ReadOnly),
            (Said::NotFound, Kind::Missing),
            (Said::PermissionDenied, Kind::Permission),
            (Said::AlreadyExists, Kind::Exists),
            (Said::BrokenPipe, Kind::Other),
        ] {
            assert_eq!(
                Error::io("read", Path::new("x"), said.into()).kind,
                kind,
                "{said:?}"
            );
        }
    }

    #[test]
    fn an_error_says_what_where_and_why() {
        let error = Error::io(
            "append to",
            Path::new("jobs/1/record.jsonl"),
            io::ErrorKind::StorageFull.into(),
        );
        assert_eq!(
            error.to_string(),
            "could not append to jobs/1/record.jsonl: no storage space"
        );
        assert!(error.hint().starts_with("Free some space"));
        assert!(std::error::Error::source(&error).is_some());
    }
}
