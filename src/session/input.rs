//! Where photographs come from on this tablet, which keys it shows, and what its scanner adds to a code.

use super::error::SessionError;
use super::shop::Session;
use crate::disk;
use crate::photo;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// The folder that photographs are looked for in where the settings name none.
const INBOX: &str = "inbox";

/// How things come into this tablet. All of it may be left out of the settings.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Input {
    pub photos: Photos,
    /// The layout of the keys on the screen, by its slug; without one the language says it.
    pub keyboard: Option<String>,
    pub scanner: Scanner,
}

/// Where photographs come from.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Photos {
    /// A folder that a camera, a phone or a stick fills; a relative one lies in the shop's folder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// The device of a camera at the tablet, by its whole path.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub camera: Option<String>,
}

impl Photos {
    /// What is wrong with these settings, and what is allowed.
    pub(super) fn fault(&self) -> Option<String> {
        let camera = self.camera.as_deref()?;
        let whole = Path::new(camera).is_absolute();
        (!whole).then(|| format!("found the camera `{camera}`, expected a whole path such as /dev/video0"))
    }
}

/// What a scanner puts around a code.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Scanner {
    /// Taken off the front of a code, where it stands there.
    #[serde(default)]
    pub prefix: String,
    /// Taken off the end of a code, where it stands there.
    #[serde(default)]
    pub suffix: String,
}

impl Session {
    /// The folder that photographs are looked for in.
    #[must_use]
    pub fn photos_from(&self) -> PathBuf {
        let from = self.settings.input.photos.from.as_deref().unwrap_or(INBOX);
        self.shop.folder().path().join(from)
    }

    /// The device of the camera that photographs are taken with, where one is chosen.
    #[must_use]
    pub fn camera(&self) -> Option<&str> {
        self.settings.input.photos.camera.as_deref()
    }

    /// The folder of the open job's photographs.
    ///
    /// # Errors
    /// No job is open.
    pub fn kept_photos(&self) -> Result<PathBuf, SessionError> {
        let job = self.job().ok_or(SessionError::NoJob)?;
        Ok(job.path().join("attachments"))
    }
}

/// A photograph of a job's folder by the name of its file.
///
/// # Errors
/// The file is not there, is longer than a photograph can be, is not what its name says, or cannot be read.
pub fn kept_photo(folder: &Path, name: &str) -> Result<Vec<u8>, SessionError> {
    let jpeg = disk::Folder::open(folder)?.needed(name, photo::MOST_BYTES as u64)?;
    let hash = crate::seal::digest(&jpeg).to_string();
    if name.split_once('.').is_some_and(|(stem, _)| stem == hash) {
        Ok(jpeg)
    } else {
        Err(SessionError::PhotoAltered(name.to_owned()))
    }
}
