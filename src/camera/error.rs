//! Why a camera gives no picture.

use crate::say;
use crate::words::Words;
use std::fmt;
use std::time::Duration;

/// What failed, at which camera, and one hint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CameraError {
    /// The program can use no camera at all.
    NotBuilt,
    /// The system has no such device.
    NotThere { path: String },
    /// The system does not let this program use it.
    Denied { path: String },
    /// Another program films with it.
    Busy { path: String },
    /// It is a device, but gives no pictures.
    NoCamera { path: String },
    /// It gives pictures, but in no format that can be read.
    NoFormat {
        path: String,
        /// Those that it gives, by their four letters.
        found: Vec<String>,
    },
    /// It was there, and is not any more.
    Gone { path: String },
    /// It was asked and gave nothing in time.
    Silent { path: String, waited: Duration },
    /// It gives pictures, and none that can be read.
    Garbled { path: String, why: String },
    /// The system refused something else, in its own words.
    Broken { path: String, why: String },
}

impl CameraError {
    /// The sentence in a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::NotBuilt => say!(words, "This program was built without cameras."),
            Self::NotThere { path } => {
                say!(
                    words,
                    "There is no camera at {path}. Is it plugged in?",
                    path = path
                )
            }
            Self::Denied { path } => say!(
                words,
                "The system does not let this program use the camera at {path}. Its user has to be in the group “video”.",
                path = path
            ),
            Self::Busy { path } => say!(
                words,
                "Another program uses the camera at {path}. End that one.",
                path = path
            ),
            Self::NoCamera { path } => say!(words, "What is at {path} is no camera.", path = path),
            Self::NoFormat { path, found } if found.is_empty() => {
                say!(
                    words,
                    "The camera at {path} names no format of its pictures.",
                    path = path
                )
            }
            Self::NoFormat { path, found } => say!(
                words,
                "The camera at {path} gives {found}. Only MJPG and YUYV can be read.",
                path = path,
                found = found.join(", ")
            ),
            _ => self.on_the_way(words),
        }
    }

    /// What can go wrong with a camera that did open.
    fn on_the_way(&self, words: &Words) -> String {
        match self {
            Self::Gone { path } => say!(
                words,
                "The camera at {path} was pulled out. Plug it in again.",
                path = path
            ),
            Self::Silent { path, waited } => say!(
                words,
                "The camera at {path} gave no picture within {n} s. Pull it out and plug it in again.",
                path = path,
                n = waited.as_secs()
            ),
            Self::Garbled { path, why } => say!(
                words,
                "The camera at {path} gives pictures that cannot be read: {why}",
                path = path,
                why = why
            ),
            Self::Broken { path, why } => say!(
                words,
                "The camera at {path} cannot be used: {why}",
                path = path,
                why = why
            ),
            _ => String::new(),
        }
    }
}

impl fmt::Display for CameraError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl std::error::Error for CameraError {}
