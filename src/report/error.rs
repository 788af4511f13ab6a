//! Why there is no certificate, or why one cannot be read.

/// A certificate that cannot be made or read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReportError {
    /// The model holds no time at all: nothing was recorded.
    #[error("the job has no entry yet, so there is nothing to put on a certificate")]
    NothingRecorded,
    /// An attachment's name is not a plain file name.
    #[error(
        "`{name}` cannot be the name of an attachment: 1 to 128 of the characters A-Z a-z 0-9 . _ - are allowed, the first not a point"
    )]
    AttachmentName { name: String },
    /// Two attachments carry one name.
    #[error("two attachments are named `{name}`: each needs a name of its own")]
    AttachmentTwice { name: String },
    /// An attachment's type is not a media type.
    #[error("attachment `{name}` has the type `{mime}`: one like `text/plain` is expected")]
    AttachmentType { name: String, mime: String },
    /// An attachment has no description, which PDF/A-3 asks for.
    #[error("attachment `{name}` has no description: say in one line what it is")]
    AttachmentDescription { name: String },
    /// A typeface that is compiled in cannot be read.
    #[error("the typeface {name} that is compiled into the program cannot be read")]
    Face { name: &'static str },
    /// The hash cannot be drawn as a code.
    #[error("the final hash cannot be drawn as a QR code: {why}")]
    Code { why: String },
    /// The PDF does not fulfil its standard, or breaks a limit of the format.
    #[error("the certificate cannot be written as PDF/A-3a: {why}")]
    Standard { why: String },
    /// The bytes are not a certificate as this program writes it.
    #[error("not a certificate as this program writes it: {found} at byte {at}, expected {expected}")]
    NotOurs {
        found: String,
        at: usize,
        expected: &'static str,
    },
    /// An attachment, or all of them, are larger than a reader takes in.
    #[error("{what} is larger than the {limit} bytes that a certificate may hold")]
    TooLarge { what: String, limit: usize },
    /// An attachment's packed bytes are damaged.
    #[error("attachment `{name}` cannot be unpacked: {why}")]
    Damaged { name: String, why: String },
}
