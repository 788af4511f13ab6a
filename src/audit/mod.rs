//! Verifying a record: mathematics, roles, completeness, and every band recomputed.
//!
//! | file | noun |
//! | --- | --- |
//! | `rule`, `finding` | what is wrong, where, and what to do |
//! | `report` | what verifying came to |
//! | `files` | the folder that is verified |

pub mod files;
mod finding;
mod report;
mod rule;

pub use files::Files;
pub use finding::{Finding, MOST_FINDINGS};
pub use report::{Report, Standing};
pub use rule::{Meaning, Rule};
