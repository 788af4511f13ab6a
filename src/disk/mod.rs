//! The shop's folder: the only room that touches files.
//!
//! | file | noun |
//! | --- | --- |
//! | `durable` | every write, sync and rename of the program |
//! | `error` | what failed, where, and one hint |
//! | `log` | a file of lines that only grows |
//! | `torn` | what a power cut left of a line |
//! | `name` | which names may stand in the folder |
//! | `shop` | the shop's folder, its lock, ledger, roster, keys, instruments |
//! | `settings` | how this tablet looks and speaks, and who worked at it |
//! | `job` | one job's folder |
//! | `draft` | a job's folder before it has its place |
//! | `copy` | files of one folder that come whole into another |
//! | `devices` | which keyboards the system has |
//! | `room` | how much a disk still takes |
//! | `content` | a folder of authored content |
//! | `inbox` | a folder that a camera fills with photographs |
//! | `folder` | a folder that is only read, for whoever verifies it |
//! | `held` | a folder that is kept open |
//!
//! What is written is on the disk when the call returns: the file is synced, and its folder where a name is
//! new. This trusts the disk to keep what it says it has kept, and the file system to lengthen a file only
//! after it wrote its bytes, as ext4, XFS, Btrfs and APFS do by default (from memory).
#![allow(clippy::disallowed_methods)]

mod content;
mod copy;
mod devices;
mod draft;
mod durable;
mod error;
mod folder;
mod held;
mod inbox;
mod job;
mod log;
mod name;
mod room;
mod settings;
mod shop;
#[cfg(test)]
mod tests;
mod torn;

pub use content::{Stamp, content_file, content_files, content_stamps, write_content};
pub use copy::{Copying, Part};
#[cfg(test)]
pub(crate) use durable::power;

pub use devices::devices;
pub use draft::Draft;
pub use error::{Error, Kind};
pub use folder::Folder;
pub use inbox::{Inbox, Look, Snap, snap};
pub use job::JobFolder;
pub use log::AppendLog;
pub use shop::{Recovery, Shop};
pub use torn::Torn;
