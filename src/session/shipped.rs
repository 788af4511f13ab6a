//! The content inside the program, or a folder instead of it.

use super::SessionError;
use crate::procedure::{self, Library};
use include_dir::{Dir, DirEntry, include_dir};
use std::collections::BTreeMap;
use std::sync::Arc;

static SHIPPED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/content");

/// Checked content, ready to be played.
#[derive(Clone, Debug)]
pub struct Content {
    pub library: Arc<Library>,
}

/// Every file of the shipped content, by its path inside the folder.
#[must_use]
pub fn files() -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    collect(&SHIPPED, &mut files);
    files
}

fn collect(dir: &Dir<'static>, files: &mut BTreeMap<String, Vec<u8>>) {
    for entry in dir.entries() {
        match entry {
            DirEntry::Dir(dir) => collect(dir, files),
            DirEntry::File(file) => {
                files.insert(
                    file.path().to_string_lossy().replace('\\', "/"),
                    file.contents().to_vec(),
                );
            }
        }
    }
}

impl Content {
    /// The content inside the program.
    ///
    /// # Errors
    /// Never for a released program: a test checks the shipped content.
    pub fn shipped() -> Result<Self, SessionError> {
        Self::load(files())
    }

    /// Content from files by their paths.
    ///
    /// # Errors
    /// All faults of the content, rendered.
    pub fn load(files: BTreeMap<String, Vec<u8>>) -> Result<Self, SessionError> {
        match procedure::load(files) {
            (Some(library), report) if report.is_clean() => Ok(Self {
                library: Arc::new(library),
            }),
            (_, report) => Err(SessionError::Content(report.render())),
        }
    }
}
