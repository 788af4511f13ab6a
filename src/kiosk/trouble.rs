//! Why a touch did not do what it should; its text says what to do next.

use super::frame::capital;
use crate::player::Refusal;
use crate::say;
use crate::session::SessionError;
use crate::words::Words;

/// Why a touch did not do what it should.
#[derive(Debug)]
pub(super) enum Trouble {
    /// The player does not allow it now, or the world failed: disk, keys.
    Session(Box<SessionError>),
    /// The screen showed something that is no longer what comes now.
    MovedOn,
    /// Nobody is signed on.
    Nobody,
    NoJob,
    NoneChosen,
    /// The session is still away with the touch before.
    Writing,
    /// The window is closed.
    Window,
    /// What went on beside the screen never came back.
    Lost,
}

impl Trouble {
    /// The screen showed something that is no longer what comes now.
    pub fn moved_on() -> Self {
        Self::MovedOn
    }

    /// Nobody is signed on.
    pub fn nobody() -> Self {
        Self::Nobody
    }

    /// What the player said, where it was the player who refused.
    pub fn refusal(&self, words: &Words) -> Option<String> {
        match self {
            Self::Session(error) if matches!(**error, SessionError::Refused(_)) => Some(error.said(words)),
            _ => None,
        }
    }

    /// Whether the player asks if a reading can be so.
    pub fn doubts(&self) -> bool {
        let Self::Session(error) = self else {
            return false;
        };
        matches!(&**error, SessionError::Refused(Refusal::Implausible { .. }))
    }

    fn failed(&self) -> bool {
        match self {
            Self::Session(error) => !matches!(**error, SessionError::Refused(_)),
            Self::Window | Self::Lost => true,
            _ => false,
        }
    }

    /// What stands above the text.
    pub fn title(&self, words: &Words) -> String {
        if self.failed() {
            say!(words, "That did not work")
        } else {
            say!(words, "Not now")
        }
    }

    /// What is wrong, and what to do next.
    pub fn says(&self, words: &Words) -> String {
        match self {
            Self::Session(error) => match self.refusal(words) {
                Some(refusal) => refusal,
                None => format!("{}. {}", sentence(&error.said(words)), words.say(error.hint())),
            },
            Self::MovedOn => say!(
                words,
                "The job has moved on. Look at the page again and touch once more."
            ),
            Self::Nobody => say!(
                words,
                "Nobody is signed on. Pick your name and enter your passphrase."
            ),
            Self::NoJob => say!(words, "No job is open. Open one first."),
            Self::NoneChosen => say!(words, "Choose a job first."),
            Self::Writing => say!(words, "One moment: the last touch is still being written."),
            Self::Window => say!(words, "The window is closed."),
            Self::Lost => {
                say!(
                    words,
                    "The program lost its way. What was acknowledged is on the disk: start it again."
                )
            }
        }
    }
}

impl From<SessionError> for Trouble {
    fn from(error: SessionError) -> Self {
        Self::Session(Box::new(error))
    }
}

/// The words with a capital letter in front and no full stop behind.
fn sentence(words: &str) -> String {
    capital(words.trim_end_matches('.'))
}

#[cfg(test)]
mod tests {
    #[test]
    fn words_become_a_sentence() {
        assert_eq!(super::sentence("nobody is signed on."), "Nobody is signed on");
        assert_eq!(super::sentence(""), "");
    }
}
