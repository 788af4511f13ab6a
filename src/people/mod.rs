//! Roster, roles and the validity of keys; and the tablet's ledger of jobs.
//!
//! The roster is a chain of signed entries. Its first line is the shop's root supervisor, signed with the very
//! key that it names: whoever knows that key's fingerprint by another way can check everything after it.
//!
//! | file | noun |
//! | --- | --- |
//! | `role` | what a person may do |
//! | `label` | names and reasons as people write them |
//! | `entry` | the kinds of roster entry, to text and back |
//! | `holder` | one person or tablet: keys, roles, validity |
//! | `roster` | all of them, and who may do what when |
//! | `replay` | lines to a roster |
//! | `change` | what each kind of entry changes |
//! | `finding` | what is wrong with a roster or ledger |
//! | `ledger` | which jobs were opened and closed, with their hashes |
//! | `ledger_read` | lines to a ledger |
//! | `chain` | what these three have in common: lines read as far as they hold, and one more |
//! | `batch` | lines that all cores check together |
//! | `content_list` | authored files by their hashes, and the one hash of all |
//! | `approval` | which content supervisors approved for proof |
//! | `passphrase` | what a passphrase must be |
//! | `patience` | how long somebody waits after a wrong one |

pub mod approval;
mod batch;
mod chain;
mod change;
mod content_list;
pub mod entry;
mod finding;
mod holder;
mod label;
pub mod ledger;
mod ledger_read;
pub mod passphrase;
pub mod patience;
mod replay;
mod role;
mod roster;

pub use approval::{Approval, ApprovalEntry, Approvals};
pub use content_list::{Change, ContentList};
pub use entry::RosterEntry;
pub use finding::{PeopleFinding, PeopleRule};
pub use holder::{Holder, KeySpan};
pub use label::{Label, NotALabel};
pub use ledger::{Ledger, LedgerEntry, LedgerJob};
pub use role::Role;
pub use roster::Roster;
