//! What stopped a request, in the words of the person at the tablet.

use super::error::SessionError;
use crate::photo::{MOST_BYTES, PhotoError};
use crate::say;
use crate::seal::KeyError;
use crate::words::Words;

impl SessionError {
    /// The error in a language. What a person at the tablet can meet is translated; what only the command line
    /// or a developer meets, and what a library or the system says, stays in English.
    #[must_use]
    pub fn said(&self, words: &Words) -> String {
        match self {
            Self::Refused(refusal) => refusal.say(words),
            Self::Key(KeyError::WrongPassphrase) => say!(words, "the passphrase does not open this key"),
            Self::Key(KeyError::EmptyPassphrase) => say!(words, "the passphrase is empty"),
            Self::Disk(error) => {
                say!(words, "could not use {path}", path = error.path.display()) + &system(error)
            }
            Self::Broken { file, what } => {
                say!(
                    words,
                    "the {file} does not hold: {what}",
                    file = file,
                    what = what
                )
            }
            _ => self.of_shop(words).unwrap_or_else(|| self.to_string()),
        }
    }

    fn of_shop(&self, words: &Words) -> Option<String> {
        Some(match self {
            Self::NoPerson(id) => say!(words, "nobody of the id “{id}” is in this shop's roster", id = id),
            Self::NoKey(id) => say!(words, "there is no key of {id} on this machine", id = id),
            Self::HasLeft(id) => say!(words, "{id} has left the shop", id = id),
            Self::NotTheirKey(id) => {
                say!(
                    words,
                    "the key does not belong to {id}, or is not valid now",
                    id = id
                )
            }
            Self::Wait(left) => say!(
                words,
                "the last passphrase was wrong: the next one can be typed in {n} s",
                n = left
            ),
            Self::Photo(error) => photo(error, words),
            Self::PhotoAltered(name) => say!(
                words,
                "the photograph {name} was altered: its bytes are not the ones that the record names",
                name = name
            ),
            Self::NobodySignedOn => say!(words, "nobody is signed on"),
            Self::NoJob => say!(words, "no job is open on the screen"),
            Self::NoSuchJob(job) => say!(words, "there is no job “{job}” in the content", job = job),
            Self::NotApproved { title, revision, why } => say!(
                words,
                "“{title}” (revision {revision}) cannot be opened for proof: {why}",
                title = title,
                revision = revision,
                why = why
            ),
            Self::Content(what) => say!(words, "the content cannot be played:") + "\n" + what,
            Self::Instruments(what) => {
                say!(words, "the register of instruments cannot be used:") + "\n" + what
            }
            Self::Certificate(what) => {
                say!(words, "the certificate could not be made: {what}", what = what)
            }
            _ => return None,
        })
    }
}

/// What the system said, in its own words.
fn system(error: &crate::disk::Error) -> String {
    let said = error.source.as_ref();
    said.map_or_else(String::new, |source| format!(" ({}: {source})", error.doing))
}

/// Why a file is no photograph.
fn photo(error: &PhotoError, words: &Words) -> String {
    match error {
        PhotoError::TooLong { found } => say!(
            words,
            "the file has {found} bytes; at most {most} are allowed",
            found = found,
            most = MOST_BYTES
        ),
        PhotoError::OtherFormat => say!(words, "the file is neither a JPEG nor a PNG picture"),
        PhotoError::TooLarge { width, height } => say!(
            words,
            "the picture has {width} by {height} pixels, which is more than a camera makes",
            width = width,
            height = height
        ),
        PhotoError::TooManyPasses | PhotoError::Broken(_) => {
            say!(words, "the picture cannot be read: it is broken or cut off")
        }
    }
}
