//! Clock, keys, and the one loop: event, player, record, disk, and only then the new state.
//!
//! The kiosk, the demonstration and the tests all go through [`Session`]; nothing else holds that loop.
//!
//! | file | noun |
//! | --- | --- |
//! | `clock` | the time and the randomness that pure rooms take as arguments |
//! | `shipped` | the content inside the program, or a folder instead of it |
//! | `reload` | a content folder looked at again and again while its author writes |
//! | `error` | what stopped a request, with one hint |
//! | `founding` | a new shop: root supervisor, people, tablet |
//! | `approval` | content under a supervisor's signature |
//! | `people` | who is who now |
//! | `roster` | every change of people and keys, signed by a supervisor |
//! | `shop` | an open shop: people, jobs, who is signed on |
//! | `said` | the same in the words of the person at the tablet |
//! | `settings` | how this tablet looks and speaks |
//! | `behind` | a clock that was set back |
//! | `memory` | who worked here last, and whose passphrase was wrong |
//! | `input` | where photographs come from, which keys are shown, what a scanner adds |
//! | `job` | the open job and the loop |
//! | `jobs` | the list of jobs, and where each stands |
//! | `certificate` | a certificate made from a job's folder |
//! | `verify` | a job's folder, a certificate or a whole shop, verified |
//! | `bundle/` | backup: jobs as one verified bundle, and bundles taken in |
//! | `live` | a meter listened to beside the screen |
//! | `card` | the job card while it is typed, and its acceptance |
//! | `resume` | a job opened again from its folder |
//! | `closing` | ledger, extract and certificate of a job |

mod approval;
#[cfg(test)]
mod approval_tests;
#[cfg(test)]
mod attach_tests;
mod behind;
pub mod bundle;
mod card;
#[cfg(feature = "certificate")]
mod certificate;
pub mod clock;
mod closing;
pub mod error;
mod founding;
mod input;
mod job;
mod jobs;
mod language;
mod live;
mod memory;
mod people;
#[cfg(test)]
mod photograph_tests;
mod reload;
mod resume;
mod roster;
#[cfg(test)]
mod roster_tests;
mod said;
mod settings;
pub mod shipped;
mod shop;
#[cfg(test)]
mod tests;
pub mod verify;

pub use crate::camera::{CameraError, Frame, Picture, Watch};
pub use crate::disk::{Inbox, Look, Snap, devices, snap};
pub use crate::record::PROGRAM;
pub use approval::Reviewed;
pub use clock::World;
pub use error::SessionError;
pub use founding::{PersonPlan, ShopPlan, found};
pub use input::{Input, Photos, Scanner, kept_photo};
pub use job::{OpenJob, TypedCard};
pub use jobs::{JobLine, Stands};
pub use live::{Live, Taken};
pub use people::{PersonLine, roster};
pub use reload::{Reload, Reloaded};
pub use roster::give_tablet_key;
pub use settings::{Settings, TextSize};
pub use shipped::Content;
pub use shop::{Session, unlock};
