//! Verifying a record: mathematics, roles, completeness, and every band recomputed.
//!
//! | file | noun |
//! | --- | --- |
//! | `rule`, `finding` | what is wrong, where, and what to do |
//! | `mathematics` | chain, numbers, signatures, from raw bytes |
//! | `facts` | the facts of a record, as its lines are read |
//! | `content` | what the opening pins, put together again |
//! | `meaning/` | every decision taken again from that content |
//! | `ledger` | what the ledger says of the job |
//! | `approval` | whether the content was approved when the job was opened |
//! | `personal` | the customer's data beside the record |
//! | `known` | rosters, approvals and content that were read before |
//! | `who` | people and tablets with the rights of a moment |
//! | `job` | a whole job's folder |
//! | `shop` | a whole shop's folder |
//! | `manifest` | what stands in a bundle, as `sha256sum -c` reads it |
//! | `bundle` | jobs that travel together, against their manifest |
//! | `report` | what verifying came to |
//! | `files` | the folder that is verified |

mod approval;
mod bundle;
mod content;
mod facts;
pub mod files;
mod finding;
mod job;
mod known;
mod ledger;
pub mod manifest;
mod mathematics;
pub mod meaning;
mod personal;
mod report;
mod rule;
mod shop;
mod who;

pub use bundle::verify_bundle;
pub use content::{REGISTER, content_list, is_register, pinned_play, stored_name};
pub use files::Files;
pub use finding::{Finding, MOST_FINDINGS};
pub use job::{Against, Certificate, Verified, verify_job};
pub use known::Known;
pub use manifest::{MANIFEST, Manifest, ManifestError};
pub use mathematics::{MOST_LINES, Mathematics, mathematics};
pub use report::{Report, Standing};
pub use rule::{Meaning, Rule};
pub use shop::{ShopReport, verify_jobs, verify_shop};
pub use who::actor;
