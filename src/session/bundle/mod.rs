//! Backup: jobs of a shop as one verified bundle, bundles taken in by another tablet, and a shop restored from one.
//!
//! | file | noun |
//! | --- | --- |
//! | `export` | a bundle made of this shop's jobs |
//! | `import` | a bundle's jobs kept in this shop's archive |
//! | `restore` | a bundle of a whole shop that becomes the shop again |
//! | `relation` | whether one copy goes on from another |
//!
//! A bundle is a folder in the form of a shop's, with a manifest over it. What is imported stands under
//! `archive/<root>.<ledger>/`: the first part is the beginning of the root key's fingerprint, the second that of
//! the hash of the ledger's first line, since each tablet of a shop numbers its own jobs in its own ledger. The
//! importing shop's own jobs, ledger and roster are never touched.

mod export;
mod import;
mod relation;
mod restore;
#[cfg(test)]
mod tests;

pub use export::{ExportPlan, Exported};
pub use import::{Arrival, ImportPlan, Imported};
pub use restore::{RestorePlan, Restored, Restoring, Tablets};

use chrono::{DateTime, Utc};
use std::path::PathBuf;

/// Where foreign jobs stand in a shop's folder.
pub const ARCHIVE: &str = "archive";

/// Why a bundle was neither made nor taken in.
#[derive(Debug, thiserror::Error)]
pub enum BundleError {
    #[error("the jobs are not whole, and nothing was exported:\n{0}")]
    JobsNotWhole(String),
    #[error("the bundle is not whole, and nothing was taken from it:\n{0}")]
    NotWhole(String),
    #[error("there is no job {0} in this shop")]
    NoJob(String),
    #[error("there is nothing to export: no job stands in this shop")]
    Empty,
    #[error("the bundle cannot be made: {0}")]
    Manifest(#[from] crate::audit::ManifestError),
    #[error("the key of {0} is not locked with a passphrase, so it does not leave the tablet")]
    OpenKey(String),
    #[error("the bundle is of the shop “{shop}”, whose root key is {found}; nothing was written")]
    RootNotGiven { shop: String, found: String },
    #[error("the bundle's root key is {found}, not {given}; nothing was written")]
    OtherRoot { found: String, given: String },
    #[error("the bundle does not hold all of its shop, whose ledger names these jobs as well: {0}")]
    Partial(String),
    #[error("in {} stands another shop than the bundle's, or one that went another way; nothing was written", .0.display())]
    ShopInPlace(PathBuf),
    #[error("this machine's clock says {now}, but the bundle has a line of {last}; nothing was written")]
    ClockBehind { now: DateTime<Utc>, last: DateTime<Utc> },
    /// Nobody can sign for the new tablet.
    #[error("no key of {by}, who would sign for this tablet, was found; nothing was written{not_taken}\n{}", supervisors(.with, .without))]
    NoSupervisorsKey {
        by: String,
        /// Key files that were not taken, a line each.
        not_taken: String,
        /// Supervisors whose key was found.
        with: String,
        /// Those whose key was not.
        without: String,
    },
    #[error("{what} differs from what is kept here, though it bears the same name; nothing was taken in")]
    Differs {
        /// The jobs or files.
        what: String,
    },
}

fn supervisors(with: &str, without: &str) -> String {
    if with.is_empty() {
        format!(
            "The supervisors of this shop are {without}; one of them can sign who still has their key file."
        )
    } else {
        format!("A key was found of {with}, who can sign instead.")
    }
}

impl BundleError {
    /// What to do about it.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::JobsNotWhole(_) => {
                "Verify the shop's folder. `--leave-out-broken` exports the others; keep a copy of the broken ones by hand."
            }
            Self::NotWhole(_) => {
                "Export it again, and look whether the stick is failing. Nothing here was changed."
            }
            Self::NoJob(_) => "Give the number of a job as the list of jobs has it, or --all.",
            Self::Empty => "Export when there are jobs.",
            Self::Manifest(_) => "Give the file or job another name.",
            Self::OpenKey(_) => "Have the person make a new key with a passphrase.",
            Self::RootNotGiven { .. } => {
                "Compare it with the fingerprint that you have by another way, and give that one with --root."
            }
            Self::OtherRoot { .. } => {
                "Look whether the fingerprint is typed right. If it is, this bundle is another shop's: do not use it."
            }
            Self::Partial(_) => {
                "Restore from a bundle of `export --all`. This one can be taken into a shop's archive with `import`."
            }
            Self::ShopInPlace(_) => {
                "A shop is never overwritten: give another folder with --shop, or take the bundle in with `import`."
            }
            Self::ClockBehind { .. } => "Set this machine's clock, then try again.",
            Self::NoSupervisorsKey { .. } => {
                "Give the folder with the key file, named by the id, with --keys: `keys` in a bundle made with --with-keys or in a copy of the shop's folder. Where no supervisor's key is left, this shop cannot go on: found a new one and `import` the bundle there."
            }
            Self::Differs { .. } => {
                "Keep both: one of the two was altered, or two tablets went on from one copy. Verify each, and compare them."
            }
        }
    }
}
