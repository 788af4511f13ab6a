//! How this tablet is to look and speak: one small file in the shop's folder, which no record and no bundle holds.

use super::durable::{self, Privacy};
use super::error::{Error, Kind};
use super::name;
use super::shop::Shop;

/// The file's name in the shop's folder.
const SETTINGS: &str = "settings.json";
/// The longest settings that are read, in bytes.
const MOST_SETTINGS: u64 = 64 * 1024;

impl Shop {
    /// The settings of this tablet as they were kept last, or none when there are none yet.
    ///
    /// # Errors
    /// The file cannot be read, is too long or no UTF-8.
    pub fn settings(&self) -> Result<Option<String>, Error> {
        let Some(bytes) = self.folder().bytes(SETTINGS, MOST_SETTINGS)? else {
            return Ok(None);
        };
        let path = self.folder().path().join(SETTINGS);
        String::from_utf8(bytes)
            .map(Some)
            .map_err(|_| Error::seen("read", &path, Kind::Damaged))
    }

    /// Keeps the settings of this tablet, whole or not at all.
    ///
    /// # Errors
    /// The disk fails; the older ones then still stand.
    pub fn write_settings(&self, text: &str) -> Result<(), Error> {
        let path = name::below(self.folder().path(), SETTINGS)?;
        durable::replace(&path, &mut text.as_bytes(), Privacy::Usual)
    }
}
