//! How much a disk still takes.

use super::error::{Error, Kind};
use std::path::Path;

/// What stays free beside everything that is asked for, in bytes: folders and names need some too.
const MARGIN: u64 = 4 * 1024 * 1024;

/// Whether files of these lengths still fit on the disk that holds `folder`; each takes whole blocks.
///
/// # Errors
/// `Full`; nothing was written then.
pub(super) fn expect(folder: &Path, lengths: &[u64]) -> Result<(), Error> {
    let Some((free, block)) = free(folder)? else {
        return Ok(());
    };
    let needed = lengths.iter().fold(MARGIN, |sum, length| {
        // A file's name and the folder's growth are counted as one block more.
        sum.saturating_add(length.div_ceil(block).saturating_add(1).saturating_mul(block))
    });
    if needed > free {
        let full = format!("{needed} bytes are needed, {free} are free");
        return Err(Error {
            doing: "find room in",
            path: folder.to_owned(),
            kind: Kind::Full,
            source: Some(std::io::Error::new(std::io::ErrorKind::StorageFull, full)),
        });
    }
    Ok(())
}

/// Free bytes for this user, and the bytes of a block; none where the system is not asked.
#[cfg(unix)]
fn free(folder: &Path) -> Result<Option<(u64, u64)>, Error> {
    let found = rustix::fs::statvfs(folder).map_err(|error| Error::io("look at", folder, error.into()))?;
    let block = found.f_frsize.max(1);
    Ok(Some((found.f_bavail.saturating_mul(block), block)))
}

/// Here a full disk is noticed while the copy is made beside its place, which leaves nothing half done either.
#[cfg(not(unix))]
#[expect(clippy::unnecessary_wraps, reason = "the other systems can fail")]
fn free(_: &Path) -> Result<Option<(u64, u64)>, Error> {
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_fit_is_refused_before_anything_is_written() {
        let folder = std::env::temp_dir();
        expect(&folder, &[]).expect("an empty copy fits");
        let error = expect(&folder, &[1, u64::MAX]).expect_err("nothing is so large");
        assert_eq!(error.kind, Kind::Full);
        assert!(error.to_string().contains("are needed"), "{error}");
    }
}
