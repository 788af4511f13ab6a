//! Verifying a record: mathematics, roles, completeness, and every band recomputed.
//!
//! | file | noun |
//! | --- | --- |
//! | `rule`, `finding` | what is wrong, where, and what to do |
//! | `mathematics` | chain, numbers, signatures, from raw bytes |
//! | `report` | what verifying came to |
//! | `files` | the folder that is verified |

pub mod files;
mod finding;
mod mathematics;
mod report;
mod rule;

pub use files::Files;
pub use finding::{Finding, MOST_FINDINGS};
pub use mathematics::{MOST_LINES, Mathematics, mathematics};
pub use report::{Report, Standing};
pub use rule::{Meaning, Rule};
