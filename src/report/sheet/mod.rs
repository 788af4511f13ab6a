//! The certificate's content as rows, part by part.
//!
//! | file | part |
//! | --- | --- |
//! | `compose` | headings, paragraphs and tables as rows with their tags |
//! | `cover` | the first page: what, who, state, hashes, caution, what it proves |
//! | `card` | the job card and its figures |
//! | `steps` | the procedures, step by step |
//! | `instruments` | what readings were taken with, and the rule that judged them |
//! | `after` | deviations and signatures |
//! | `check` | what is attached, and how to verify with stock tools |

mod after;
mod card;
mod check;
mod compose;
mod cover;
mod instruments;
mod steps;

pub use check::commands;
pub(super) use compose::{Composer, WIDTH};

use super::face::Faces;
use super::{Attachment, ReportError};
use crate::page::certificate::Certificate;
use chrono::{DateTime, FixedOffset};

/// The whole certificate as rows.
///
/// # Errors
/// The final hash cannot be drawn as a code.
pub(super) fn compose<'a>(
    faces: &'a Faces,
    page: &Certificate,
    attached: &[Attachment],
) -> Result<Composer<'a>, ReportError> {
    let mut to = Composer::new(faces, page.words.clone());
    cover::cover(&mut to, page)?;
    card::card(&mut to, page);
    card::figures(&mut to, page);
    steps::procedures(&mut to, page);
    instruments::instruments(&mut to, page);
    after::deviations(&mut to, page);
    after::signatures(&mut to, page);
    check::attached(&mut to, attached);
    check::how(&mut to, page);
    Ok(to)
}

/// A time as the record has it, to the minute, with its offset.
fn time(at: &DateTime<FixedOffset>) -> String {
    at.format("%Y-%m-%d %H:%M %:z").to_string()
}
