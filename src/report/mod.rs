//! Page model to PDF bytes: the certificate, with the record inside it.
//!
//! The PDF is written as PDF/A-3a and PDF/UA-1, and is the same bytes for the same model: no clock, no
//! randomness. Everything on the sheet is a row; rows are laid out first and drawn when the number of
//! pages is known.
//!
//! | file | noun |
//! | --- | --- |
//! | `face` | typefaces, and words as shaped glyphs |
//! | `text` | text in lines that fit their box |
//! | `row`, `picture`, `plot`, `ink` | what stands on the sheet |
//! | `sheet/` | the certificate's content as rows |
//! | `pages` | rows on pages |
//! | `tree` | the tags, in reading order |
//! | `brush`, `furniture`, `paint` | drawing |
//! | `attach` | files into the certificate |
//! | `inside/` | files out of a certificate |

mod attach;
mod brush;
mod error;
mod face;
mod furniture;
mod ink;
mod inside;
mod pages;
mod paint;
mod picture;
mod plot;
mod row;
mod sheet;
mod text;
mod tree;

pub use attach::Attachment;
pub use error::ReportError;
pub use inside::attachments;
pub use sheet::commands;

use crate::page::certificate::Certificate;
use crate::say;
use chrono::{DateTime, FixedOffset};
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::error::KrillaError;
use krilla::metadata::Metadata;
use krilla::{Document, SerializeSettings};

/// The certificate as PDF/A-3a and PDF/UA-1, with these files inside it.
///
/// The same model and files give the same bytes.
///
/// # Errors
/// Nothing was recorded yet, or a file cannot be attached under its name, type or description.
pub fn certificate(page: &Certificate, attached: &[Attachment]) -> Result<Vec<u8>, ReportError> {
    let made = latest(page).ok_or(ReportError::NothingRecorded)?;
    let faces = face::Faces::new()?;
    let mut composer = sheet::compose(&faces, page, attached)?;
    let furniture = furniture::Furniture::new(page);
    let rows = std::mem::take(&mut composer.rows);
    let pages = pages::lay_out(rows, &composer.heads, furniture.frame());
    let mut document = Document::new_with(settings()?);
    document.set_metadata(metadata(page, &made));
    attach::attach(&mut document, attached)?;
    paint::paint(&mut document, composer, &pages, &furniture);
    document.finish().map_err(|error| standard(&error))
}

fn settings() -> Result<SerializeSettings, ReportError> {
    let configuration = ConfigurationBuilder::new()
        .with_archival_validator(Archival::A3_A)
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| ReportError::Standard {
            why: format!("{error:?}"),
        })?;
    Ok(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    })
}

/// The latest time that the model knows.
fn latest(page: &Certificate) -> Option<DateTime<FixedOffset>> {
    let steps = page.procedures.iter().flat_map(|procedure| &procedure.steps);
    let done = steps.filter_map(|step| step.done.as_ref().map(|(at, _)| *at));
    let signed = page.signatures.iter().map(|signature| signature.at);
    page.closed_at
        .or_else(|| page.opened.into_iter().chain(done).chain(signed).max())
}

fn metadata(page: &Certificate, made: &DateTime<FixedOffset>) -> Metadata {
    let limit = |text: &str| {
        text.chars()
            .filter(|letter| !letter.is_control())
            .take(400)
            .collect::<String>()
    };
    Metadata::new()
        .title(limit(&say!(
            page.words,
            "Certificate of job {number}: {title}",
            number = page.number,
            title = page.title
        )))
        .authors(vec![limit(&page.shop)])
        .description(limit(&say!(
            page.words,
            "Signed record of the work; final hash {hash}",
            hash = page.seals.final_hash
        )))
        .creator(limit(&page.program))
        .producer("krilla".to_owned())
        .language(page.words.language().tag().to_owned())
        .document_id(format!("{} {}", page.number, page.seals.final_hash))
        .creation_date(attach::date(made))
}

fn standard(error: &KrillaError) -> ReportError {
    let why = match error {
        KrillaError::Validation(faults) => {
            let first: Vec<String> = faults
                .iter()
                .take(3)
                .map(|(fault, _)| format!("{fault:?}"))
                .collect();
            first.join("; ")
        }
        other => format!("{other:?}"),
    };
    ReportError::Standard { why }
}
