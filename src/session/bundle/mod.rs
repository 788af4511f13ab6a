//! Backup: jobs of a shop as one verified bundle, and bundles taken in by another tablet.
//!
//! | file | noun |
//! | --- | --- |
//! | `export` | a bundle made of this shop's jobs |
//! | `import` | a bundle's jobs kept in this shop's archive |
//! | `relation` | whether one copy goes on from another |
//!
//! A bundle is a folder in the form of a shop's, with a manifest over it. What is imported stands under
//! `archive/<root>.<ledger>/`: the first part is the beginning of the root key's fingerprint, the second that of
//! the hash of the ledger's first line, since each tablet of a shop numbers its own jobs in its own ledger. The
//! importing shop's own jobs, ledger and roster are never touched.

mod export;
mod import;
mod relation;
#[cfg(test)]
mod tests;

pub use export::{ExportPlan, Exported};
pub use import::{Arrival, ImportPlan, Imported};

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
    #[error("{what} differs from what is kept here, though it bears the same name; nothing was taken in")]
    Differs {
        /// The jobs or files.
        what: String,
    },
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
            Self::Differs { .. } => {
                "Keep both: one of the two was altered, or two tablets went on from one copy. Verify each, and compare them."
            }
        }
    }
}
