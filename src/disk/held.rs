//! A folder that is kept open: what stands in it is found by its name, without going the whole way again each time.
//!
//! Only where the system has such a thing; elsewhere nothing is ever held, and the way is gone.

use std::fs::File;
use std::io;
use std::path::Path;

/// What stands under a name.
pub(super) enum Seen {
    /// A plain file of so many bytes.
    File(u64),
    /// A link, which is not followed.
    Link,
    /// Neither: a folder, a pipe, a device.
    Other,
}

#[cfg(unix)]
pub(super) use unix::Held;

#[cfg(unix)]
mod unix {
    use super::{File, Path, Seen, io};
    use rustix::fs::{AtFlags, CWD, FileType, Mode, OFlags};
    use std::os::fd::OwnedFd;
    use std::sync::Arc;

    /// A folder that is open.
    #[derive(Clone, Debug)]
    pub struct Held(Arc<OwnedFd>);

    impl Held {
        /// Opens a folder; none where that cannot be, for whatever reason.
        pub fn open(folder: &Path) -> Option<Held> {
            let how = OFlags::RDONLY | OFlags::DIRECTORY | OFlags::NOFOLLOW | OFlags::CLOEXEC;
            let opened = rustix::fs::openat(CWD, folder, how, Mode::empty());
            opened.ok().map(|opened| Held(Arc::new(opened)))
        }

        /// What stands under one plain name.
        ///
        /// # Errors
        /// It cannot be looked at; `NotFound` where nothing is there.
        pub fn seen(&self, name: &str) -> io::Result<Seen> {
            let stat = rustix::fs::statat(&self.0, name, AtFlags::SYMLINK_NOFOLLOW)?;
            Ok(match FileType::from_raw_mode(stat.st_mode) {
                FileType::RegularFile => Seen::File(u64::try_from(stat.st_size).unwrap_or(u64::MAX)),
                FileType::Symlink => Seen::Link,
                _ => Seen::Other,
            })
        }

        /// Opens a file under one plain name for reading.
        ///
        /// # Errors
        /// It cannot be opened, or became a link since it was looked at.
        pub fn file(&self, name: &str) -> io::Result<File> {
            let how = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::CLOEXEC;
            Ok(rustix::fs::openat(&self.0, name, how, Mode::empty())?.into())
        }
    }
}

#[cfg(not(unix))]
pub(super) use elsewhere::Held;

#[cfg(not(unix))]
mod elsewhere {
    use super::{File, Path, Seen, io};

    /// Never there.
    #[derive(Clone, Debug)]
    pub enum Held {}

    impl Held {
        pub fn open(_: &Path) -> Option<Held> {
            None
        }

        pub fn seen(&self, _: &str) -> io::Result<Seen> {
            match *self {}
        }

        pub fn file(&self, _: &str) -> io::Result<File> {
            match *self {}
        }
    }
}
