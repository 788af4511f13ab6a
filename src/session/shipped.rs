//! The content inside the program, or a folder instead of it.

use super::SessionError;
use crate::procedure::{self, Library};
use include_dir::{Dir, DirEntry, include_dir};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

static SHIPPED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/content");

/// Checked content, ready to be played. The content inside the program is loaded when it is first asked for, or
/// [ahead](Self::ahead) of that.
#[derive(Clone, Debug)]
pub struct Content {
    /// Empty until the content inside the program is loaded.
    loaded: Arc<OnceLock<Loaded>>,
}

/// The content, or all its faults, rendered.
type Loaded = Result<Arc<Library>, String>;

/// Every file of the shipped content, by its path inside the folder.
#[must_use]
pub fn files() -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    collect(&SHIPPED, &mut files);
    files
}

fn collect(dir: &Dir<'static>, files: &mut BTreeMap<String, Vec<u8>>) {
    for entry in dir.entries() {
        // What is hidden is for editors, and no content.
        let name = entry.path().file_name();
        if name.is_some_and(|name| name.to_string_lossy().starts_with('.')) {
            continue;
        }
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
    #[must_use]
    pub fn shipped() -> Self {
        Self {
            loaded: Arc::default(),
        }
    }

    /// Loads the content on a thread of its own, so that whoever asks for it later need not wait.
    pub fn ahead(&self) {
        let content = self.clone();
        // Where no thread can be had, the first who asks loads it.
        let _ = std::thread::Builder::new().spawn(move || drop(content.library()));
    }

    /// Content from files by their paths, loaded at once.
    ///
    /// # Errors
    /// All faults of the content, rendered.
    pub fn load(files: BTreeMap<String, Vec<u8>>) -> Result<Self, SessionError> {
        let content = Self {
            loaded: Arc::new(OnceLock::from(checked(files))),
        };
        content.library()?;
        Ok(content)
    }

    /// Content that was checked already.
    #[must_use]
    pub fn checked(library: Library) -> Self {
        Self {
            loaded: Arc::new(OnceLock::from(Ok(Arc::new(library)))),
        }
    }

    /// What is played; loads it, or waits for it where it is being loaded.
    ///
    /// # Errors
    /// All faults of the content, rendered; never for the content of a released program, which a test checks.
    pub fn library(&self) -> Result<&Arc<Library>, SessionError> {
        let loaded = self.loaded.get_or_init(|| checked(files()));
        loaded
            .as_ref()
            .map_err(|faults| SessionError::Content(faults.clone()))
    }
}

fn checked(files: BTreeMap<String, Vec<u8>>) -> Loaded {
    match procedure::load(files) {
        (Some(library), report) if report.is_clean() => Ok(Arc::new(library)),
        (_, report) => Err(report.render()),
    }
}
