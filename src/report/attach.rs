//! Files that travel inside the certificate, as PDF/A-3 wants them.

use super::ReportError;
use chrono::{DateTime, Datelike, FixedOffset, Timelike};
use krilla::Document;
use krilla::embed::{AssociationKind, EmbeddedFile, MimeType};
use std::collections::BTreeSet;

/// A file for the certificate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Attachment {
    /// A plain file name, without a folder.
    pub name: String,
    /// Such as `text/plain`.
    pub mime: &'static str,
    /// What the file is, in one line.
    pub description: String,
    pub bytes: Vec<u8>,
    /// From an entry of the record, never from a clock.
    pub modified: DateTime<FixedOffset>,
}

/// The most bytes of all attachments: what is read back is bounded by the same number, so that a certificate
/// stays below the 64 MiB that the verifier takes in.
pub const MOST_BYTES: usize = 56 * 1024 * 1024;

/// The record from which the certificate was made.
const SOURCE: &str = "record.jsonl";

/// Puts the files into the document.
///
/// # Errors
/// A name, type or description that PDF/A-3 or a reader cannot take, two files of one name, or too many bytes.
pub fn attach(document: &mut Document, attachments: &[Attachment]) -> Result<(), ReportError> {
    let mut names = BTreeSet::new();
    if attachments
        .iter()
        .map(|attachment| attachment.bytes.len())
        .sum::<usize>()
        > MOST_BYTES
    {
        return Err(ReportError::TooLarge {
            what: "the sum of all attachments".to_owned(),
            limit: MOST_BYTES,
        });
    }
    for attachment in attachments {
        let file = file(attachment)?;
        let twice = || ReportError::AttachmentTwice {
            name: attachment.name.clone(),
        };
        if !names.insert(attachment.name.to_ascii_lowercase()) {
            return Err(twice());
        }
        document.embed_file(file).ok_or_else(twice)?;
    }
    Ok(())
}

fn file(attachment: &Attachment) -> Result<EmbeddedFile, ReportError> {
    let name = attachment.name.clone();
    if !plain(&name) {
        return Err(ReportError::AttachmentName { name });
    }
    if attachment.description.trim().is_empty() {
        return Err(ReportError::AttachmentDescription { name });
    }
    let mime = MimeType::new(attachment.mime).ok_or_else(|| ReportError::AttachmentType {
        name: name.clone(),
        mime: attachment.mime.to_owned(),
    })?;
    let kind = if name == SOURCE {
        AssociationKind::Source
    } else {
        AssociationKind::Supplement
    };
    Ok(EmbeddedFile {
        path: name,
        mime_type: Some(mime),
        description: Some(attachment.description.clone()),
        association_kind: kind,
        data: attachment.bytes.clone().into(),
        modification_date: Some(date(&attachment.modified)),
        compress: None,
        location: None,
    })
}

/// Whether the name is safe in any folder and any shell.
pub fn plain(name: &str) -> bool {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'.' | b'_' | b'-');
    (1..=128).contains(&name.len()) && name.bytes().all(allowed) && !name.starts_with(['.', '-'])
}

/// A time of the record as PDF writes it.
pub fn date(at: &DateTime<FixedOffset>) -> krilla::metadata::DateTime {
    let small = |number: u32| u8::try_from(number).unwrap_or(0);
    let minutes = at.offset().local_minus_utc() / 60;
    krilla::metadata::DateTime::new(u16::try_from(at.year()).unwrap_or(0))
        .month(small(at.month()))
        .day(small(at.day()))
        .hour(small(at.hour()))
        .minute(small(at.minute()))
        .second(small(at.second()))
        .utc_offset_hour(i8::try_from(minutes / 60).unwrap_or(0))
        .utc_offset_minute(small(minutes.unsigned_abs() % 60))
}
