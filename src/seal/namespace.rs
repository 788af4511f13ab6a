//! What a signature was made for, so that none can be replayed as something else.

use std::fmt;
use std::str::FromStr;

/// The SSHSIG namespace: one for each purpose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Namespace {
    /// A job's record.
    JobRecord,
    /// A practice run's record, which never counts as proof.
    PracticeRecord,
    /// The tablet's list of jobs opened and closed.
    ShopLedger,
    /// People, roles and keys.
    ShopRoster,
    /// A supervisor's approval of authored content.
    ContentApproval,
}

/// A namespace that this format does not have.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{found}` is not a namespace: job-record, practice-record, shop-ledger, shop-roster or content-approval"
)]
pub struct UnknownNamespace {
    /// The text as found, cut to a readable length.
    pub found: String,
}

impl Namespace {
    /// Every namespace, in the order of the format's description.
    pub const ALL: [Namespace; 5] = [
        Namespace::JobRecord,
        Namespace::PracticeRecord,
        Namespace::ShopLedger,
        Namespace::ShopRoster,
        Namespace::ContentApproval,
    ];

    /// The text that is signed.
    pub const fn as_str(self) -> &'static str {
        match self {
            Namespace::JobRecord => "job-record",
            Namespace::PracticeRecord => "practice-record",
            Namespace::ShopLedger => "shop-ledger",
            Namespace::ShopRoster => "shop-roster",
            Namespace::ContentApproval => "content-approval",
        }
    }
}

impl fmt::Display for Namespace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl FromStr for Namespace {
    type Err = UnknownNamespace;

    fn from_str(text: &str) -> Result<Namespace, UnknownNamespace> {
        Namespace::ALL
            .into_iter()
            .find(|namespace| namespace.as_str() == text)
            .ok_or_else(|| UnknownNamespace {
                found: text.chars().take(64).collect(),
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_back() {
        for namespace in Namespace::ALL {
            assert_eq!(namespace.as_str().parse(), Ok(namespace));
        }
    }

    #[test]
    fn patterns_and_neighbours_are_refused() {
        for bad in ["", "*", "job-*", "Job-Record", "job-record ", "file"] {
            assert!(bad.parse::<Namespace>().is_err(), "{bad:?}");
        }
    }
}
