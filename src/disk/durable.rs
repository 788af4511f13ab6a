//! Every write, sync and rename of the program stands in this file, so that a test which cuts the power
//! between any two of them has one place to look at.

use super::error::{Error, Kind};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Who may read a new file.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Privacy {
    /// As the system has it.
    Usual,
    /// The program's user alone.
    Own,
}

/// What a temporary name begins with; no other name in a shop's folder begins with a dot.
pub(super) const TEMPORARY: &str = ".new-";

/// Makes a folder that is not there yet, and keeps its name.
pub(super) fn make_folder(path: &Path, privacy: Privacy) -> Result<(), Error> {
    make_folder_unsynced(path, privacy)?;
    sync_parent(path)
}

/// Makes a folder of a draft, whose name need not last before the draft gets its place; then the caller syncs it.
pub(super) fn make_folder_unsynced(path: &Path, privacy: Privacy) -> Result<(), Error> {
    step("make the folder", path)?;
    let mut builder = fs::DirBuilder::new();
    set_folder_mode(&mut builder, privacy);
    builder
        .create(path)
        .map_err(|error| Error::io("make the folder", path, error))
}

/// Makes a folder unless it is there.
pub(super) fn need_folder(path: &Path, privacy: Privacy) -> Result<(), Error> {
    match make_folder(path, privacy) {
        Err(error) if error.kind == Kind::Exists && path.is_dir() => Ok(()),
        other => other,
    }
}

/// Writes a file that is not there yet and syncs it. The caller syncs its folder.
pub(super) fn write_new(path: &Path, bytes: &mut dyn Read, privacy: Privacy) -> Result<(), Error> {
    let mut file = create_new(path, privacy)?;
    step("write", path)?;
    io::copy(bytes, &mut file).map_err(|error| Error::io("write", path, error))?;
    sync(path, || file.sync_all())
}

/// Puts a whole file in place of what is there: the old bytes or the new ones stand, never a mix.
pub(super) fn replace(path: &Path, bytes: &mut dyn Read, privacy: Privacy) -> Result<(), Error> {
    let temporary = temporary_of(path)?;
    // Only an interrupted run can have left one, since the shop is locked.
    remove_file_if_there(&temporary)?;
    let written = write_new(&temporary, bytes, privacy).and_then(|()| rename(&temporary, path));
    if written.is_err() {
        // The next start clears what cannot be removed now.
        let _ = remove_file_if_there(&temporary);
    }
    written
}

/// Gives a file or folder its place, and keeps its name.
pub(super) fn rename(from: &Path, to: &Path) -> Result<(), Error> {
    step("move into its place", to)?;
    fs::rename(from, to).map_err(|error| Error::io("move into its place", to, error))?;
    sync_parent(to)
}

/// Makes a whole file last that an earlier run wrote, and lets the system forget what it remembers of it, so
/// that whoever reads it next sees what the disk has.
pub(super) fn settle(path: &Path) -> Result<(), Error> {
    let file = File::open(path).map_err(|error| Error::io("open", path, error))?;
    sync(path, || file.sync_all())?;
    // A system that cannot forget reads back from its memory; that is no fault of the bytes.
    #[cfg(target_os = "linux")]
    let _ = rustix::fs::fadvise(&file, 0, None, rustix::fs::Advice::DontNeed);
    Ok(())
}

/// Opens a file of lines for writing at its end.
pub(super) fn open_append(path: &Path) -> Result<File, Error> {
    let mut options = OpenOptions::new();
    options.read(true).append(true);
    options.open(path).map_err(|error| Error::io("open", path, error))
}

/// Makes an empty file of lines and keeps its name.
pub(super) fn create_append(path: &Path) -> Result<(), Error> {
    create_new(path, Privacy::Usual)?
        .sync_all()
        .map_err(|error| Error::io("sync", path, error))?;
    sync_parent(path)
}

/// Writes at the end of the file, and returns when the bytes and the file's length are on the disk.
pub(super) fn append(file: &mut File, path: &Path, bytes: &[u8]) -> Result<(), Error> {
    #[cfg(test)]
    power::spill(file, bytes);
    step("append to", path)?;
    file.write_all(bytes)
        .map_err(|error| Error::io("append to", path, error))?;
    sync(path, || file.sync_data())
}

/// Cuts a file to its first `len` bytes.
pub(super) fn cut(file: &File, path: &Path, len: u64) -> Result<(), Error> {
    step("cut", path)?;
    file.set_len(len).map_err(|error| Error::io("cut", path, error))?;
    sync(path, || file.sync_all())
}

/// Removes a folder of ours with all that is in it. Links in it are removed, not followed.
pub(super) fn remove_folder(path: &Path) -> Result<(), Error> {
    step("remove", path)?;
    fs::remove_dir_all(path).map_err(|error| Error::io("remove", path, error))?;
    sync_parent(path)
}

/// Removes a file, if it is there.
pub(super) fn remove_file_if_there(path: &Path) -> Result<(), Error> {
    step("remove", path)?;
    match fs::remove_file(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        other => other.map_err(|error| Error::io("remove", path, error)),
    }
}

/// Makes the names in a folder last.
pub(super) fn sync_folder(path: &Path) -> Result<(), Error> {
    // Other systems cannot open a folder to sync it; they keep names by their own means.
    if cfg!(unix) {
        sync(path, || File::open(path)?.sync_all())?;
    }
    Ok(())
}

fn sync(path: &Path, act: impl FnOnce() -> io::Result<()>) -> Result<(), Error> {
    step("sync", path)?;
    // What a test's power cut leaves is what was written; waiting for a disk would only slow it down.
    #[cfg(test)]
    if power::is_limited() {
        return Ok(());
    }
    act().map_err(|error| Error::io("sync", path, error))
}

fn sync_parent(path: &Path) -> Result<(), Error> {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => sync_folder(parent),
        _ => Ok(()),
    }
}

fn create_new(path: &Path, privacy: Privacy) -> Result<File, Error> {
    step("create", path)?;
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    set_file_mode(&mut options, privacy);
    options
        .open(path)
        .map_err(|error| Error::io("create", path, error))
}

/// The name beside a file or folder under which its successor is made.
pub(super) fn temporary_of(path: &Path) -> Result<PathBuf, Error> {
    let name = path.file_name().and_then(|name| name.to_str());
    let name = name.ok_or_else(|| Error::seen("write", path, Kind::BadName))?;
    Ok(path.with_file_name(format!("{TEMPORARY}{name}")))
}

#[cfg(unix)]
fn set_file_mode(options: &mut OpenOptions, privacy: Privacy) {
    use std::os::unix::fs::OpenOptionsExt;
    options.mode(if privacy == Privacy::Own { 0o600 } else { 0o644 });
}

#[cfg(unix)]
fn set_folder_mode(builder: &mut fs::DirBuilder, privacy: Privacy) {
    use std::os::unix::fs::DirBuilderExt;
    builder.mode(if privacy == Privacy::Own { 0o700 } else { 0o755 });
}

#[cfg(not(unix))]
fn set_file_mode(_: &mut OpenOptions, _: Privacy) {}

#[cfg(not(unix))]
fn set_folder_mode(_: &mut fs::DirBuilder, _: Privacy) {}

/// Comes before everything that changes the disk; tests cut the power here.
#[cfg_attr(
    not(test),
    expect(clippy::unnecessary_wraps, reason = "only a test cuts the power")
)]
#[cfg_attr(not(test), expect(unused_variables, reason = "only a test cuts the power"))]
fn step(doing: &'static str, path: &Path) -> Result<(), Error> {
    #[cfg(test)]
    power::spend().map_err(|error| Error::io(doing, path, error))?;
    Ok(())
}

/// A power cut at a chosen step: that step and all that follow fail, clearing up included.
#[cfg(test)]
pub(crate) mod power {
    use std::cell::Cell;
    use std::fs::File;
    use std::io::{self, Write};

    thread_local! {
        static STEPS_LEFT: Cell<Option<u32>> = const { Cell::new(None) };
    }

    /// Lets so many steps of this thread happen.
    pub fn cut_after(steps: u32) {
        STEPS_LEFT.set(Some(steps));
    }

    /// Power again.
    pub fn restore() {
        STEPS_LEFT.set(None);
    }

    /// Whether a cut is to come.
    pub(super) fn is_limited() -> bool {
        STEPS_LEFT.get().is_some()
    }

    /// One step, if there is power for it.
    pub(super) fn spend() -> io::Result<()> {
        match STEPS_LEFT.get() {
            None => Ok(()),
            Some(0) => Err(io::Error::other("the power is cut")),
            Some(left) => {
                STEPS_LEFT.set(Some(left - 1));
                Ok(())
            }
        }
    }

    /// A cut while bytes are appended leaves some of them.
    pub(super) fn spill(file: &mut File, bytes: &[u8]) {
        if STEPS_LEFT.get() == Some(0) {
            let _ = file.write_all(&bytes[..bytes.len() / 2]);
        }
    }
}
