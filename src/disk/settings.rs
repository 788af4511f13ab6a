//! What a tablet keeps for itself: how it is to look and speak, and who worked at it. Small files in the shop's
//! folder, which no record and no bundle holds.

use super::durable::{self, Privacy};
use super::error::{Error, Kind};
use super::name;
use super::shop::Shop;

/// The settings' name in the shop's folder.
const SETTINGS: &str = "settings.json";
/// The name of what is remembered of the people at the tablet.
const DESK: &str = "desk.json";
/// The longest of these files that is read, in bytes.
const MOST: u64 = 64 * 1024;

impl Shop {
    /// The settings of this tablet as they were kept last, or none when there are none yet.
    ///
    /// # Errors
    /// The file cannot be read, is too long or no UTF-8.
    pub fn settings(&self) -> Result<Option<String>, Error> {
        self.small(SETTINGS)
    }

    /// Keeps the settings of this tablet, whole or not at all.
    ///
    /// # Errors
    /// The disk fails; the older ones then still stand.
    pub fn write_settings(&self, text: &str) -> Result<(), Error> {
        self.write_small(SETTINGS, text)
    }

    /// What the tablet remembers of who worked at it, or nothing when nobody did yet.
    ///
    /// # Errors
    /// As [`Shop::settings`].
    pub fn desk(&self) -> Result<Option<String>, Error> {
        self.small(DESK)
    }

    /// Keeps what the tablet remembers of who worked at it, whole or not at all.
    ///
    /// # Errors
    /// As [`Shop::write_settings`].
    pub fn write_desk(&self, text: &str) -> Result<(), Error> {
        self.write_small(DESK, text)
    }

    fn small(&self, name: &str) -> Result<Option<String>, Error> {
        let Some(bytes) = self.folder().bytes(name, MOST)? else {
            return Ok(None);
        };
        let path = self.folder().path().join(name);
        String::from_utf8(bytes)
            .map(Some)
            .map_err(|_| Error::seen("read", &path, Kind::Damaged))
    }

    fn write_small(&self, name: &str, text: &str) -> Result<(), Error> {
        let path = name::below(self.folder().path(), name)?;
        durable::replace(&path, &mut text.as_bytes(), Privacy::Usual)
    }
}
