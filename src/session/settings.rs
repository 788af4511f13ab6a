//! What this tablet remembers of how it is to look and speak. Nothing of it stands in a record.

use super::error::SessionError;
use super::input::{Input, Photos, Scanner};
use super::shop::Session;
use crate::disk;
use crate::say;
use crate::words::{self, Language, Words};
use serde::{Deserialize, Serialize};

/// How a tablet looks and speaks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// The language of the screen, and of jobs that are opened.
    pub language: Language,
    /// Night colours.
    pub night: bool,
    /// How large the text of the screen is.
    pub text: TextSize,
    /// Nothing on the screen moves by itself.
    pub still: bool,
    /// Photographs, keys and scanner.
    pub input: Input,
}

/// How large the text of the screen is, beside what it is drawn for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TextSize {
    #[default]
    Usual,
    Large,
    Largest,
}

impl TextSize {
    /// All sizes, the smallest first.
    pub const ALL: [Self; 3] = [Self::Usual, Self::Large, Self::Largest];

    /// The size of running text in percent of the usual one.
    #[must_use]
    pub fn percent(self) -> u16 {
        match self {
            Self::Usual => 100,
            Self::Large => 125,
            Self::Largest => 150,
        }
    }

    /// The size of this many percent, if there is one.
    #[must_use]
    pub fn of_percent(percent: u16) -> Option<Self> {
        Self::ALL.into_iter().find(|size| size.percent() == percent)
    }
}

/// The settings as the file holds them. What an older program did not know stands at its beginning.
#[derive(Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    language: String,
    night: bool,
    #[serde(default = "usual_percent")]
    text_percent: u16,
    #[serde(default)]
    reduced_motion: bool,
    #[serde(default)]
    photos: Photos,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    keyboard: Option<String>,
    #[serde(default)]
    scanner: Scanner,
}

fn usual_percent() -> u16 {
    TextSize::Usual.percent()
}

/// What was found in the place of one of a few values, and which those are.
fn wrong(what: &str, found: &dyn std::fmt::Display, allowed: &[String]) -> String {
    format!(
        "found the {what} `{found}`, expected one of {}",
        allowed.join(", ")
    )
}

impl Settings {
    /// The settings that a text states.
    ///
    /// # Errors
    /// What was found, where, and what is allowed.
    fn parse(text: &str) -> Result<Self, String> {
        let kept: Kept = serde_json::from_str(text).map_err(|error| error.to_string())?;
        let known = words::languages();
        let found = known.iter().find(|(language, _)| language.tag() == kept.language);
        let (language, _) = found.ok_or_else(|| {
            let tags: Vec<String> = known.iter().map(|(language, _)| language.to_string()).collect();
            wrong("language", &kept.language, &tags)
        })?;
        let text = TextSize::of_percent(kept.text_percent).ok_or_else(|| {
            let sizes = TextSize::ALL.map(|size| size.percent().to_string());
            wrong("text_percent", &kept.text_percent, &sizes)
        })?;
        if let Some(fault) = kept.photos.fault() {
            return Err(fault);
        }
        Ok(Self {
            language: language.clone(),
            night: kept.night,
            text,
            still: kept.reduced_motion,
            input: Input {
                photos: kept.photos,
                keyboard: kept.keyboard,
                scanner: kept.scanner,
            },
        })
    }

    fn to_text(&self) -> String {
        let kept = Kept {
            language: self.language.tag().to_owned(),
            night: self.night,
            text_percent: self.text.percent(),
            reduced_motion: self.still,
            photos: self.input.photos.clone(),
            keyboard: self.input.keyboard.clone(),
            scanner: self.input.scanner.clone(),
        };
        let text = serde_json::to_string(&kept);
        // Plain values can always be written.
        text.map_or_else(|_| String::new(), |text| text + "\n")
    }

    /// The settings that were kept; those of a new tablet where there are none, with what is wrong where they
    /// cannot be read: no job waits for a colour.
    pub(super) fn kept(shop: &disk::Shop) -> (Self, Option<String>) {
        let text = shop.settings().map_err(|error| error.to_string());
        let kept = text.and_then(|text| text.map_or_else(|| Ok(Self::default()), |text| Self::parse(&text)));
        match kept {
            Ok(settings) => (settings, None),
            Err(why) => (Self::default(), Some(lost(&why))),
        }
    }
}

/// It is said in English, since nobody knows what the tablet spoke.
fn lost(why: &str) -> String {
    say!(
        Words::english(),
        "The settings of this tablet cannot be read (settings.json: {why}). It speaks English by day until they are chosen again.",
        why = why
    )
}

impl Session {
    /// How this tablet looks and speaks.
    #[must_use]
    pub fn settings(&self) -> Settings {
        self.settings.clone()
    }

    /// The words of the language that this tablet speaks.
    #[must_use]
    pub fn words(&self) -> Words {
        Words::program(self.language())
    }

    /// Takes on other settings and keeps them for this tablet; an open job goes on in their language.
    ///
    /// # Errors
    /// The program does not know the language, or the disk fails; what was taken on before stays.
    pub fn keep_settings(&mut self, settings: &Settings) -> Result<(), SessionError> {
        self.speak(&settings.language)?;
        self.settings = settings.clone();
        Ok(self.shop.write_settings(&settings.to_text())?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_read_as_they_were_written() {
        for tag in ["en", "de"] {
            let language = Language::parse(tag).expect("a tag");
            let settings = Settings {
                language,
                night: tag == "de",
                text: TextSize::Largest,
                still: tag == "en",
                input: Input {
                    keyboard: Some("qwertz".to_owned()),
                    ..Input::default()
                },
            };
            assert_eq!(Settings::parse(&settings.to_text()), Ok(settings));
        }
    }

    #[test]
    fn settings_from_before_there_was_input_are_read() {
        let settings = Settings::parse(r#"{"language":"de","night":true}"#).expect("older settings");
        assert_eq!(settings.input, Input::default());
        let text = r#"{"language":"en","night":false,"photos":{"from":"/media/stick"}}"#;
        let settings = Settings::parse(text).expect("a folder");
        assert_eq!(settings.input.photos.from.as_deref(), Some("/media/stick"));
        assert!(
            Settings::parse(&text.replace("from", "form")).is_err(),
            "an unknown key is told"
        );
    }

    #[test]
    fn a_camera_is_named_by_its_whole_path() {
        let text = r#"{"language":"en","night":false,"photos":{"camera":"/dev/video0"}}"#;
        let settings = Settings::parse(text).expect("a camera");
        assert_eq!(settings.input.photos.camera.as_deref(), Some("/dev/video0"));
        assert_eq!(Settings::parse(&settings.to_text()), Ok(settings));
        let fault = Settings::parse(&text.replace("/dev/", "")).expect_err("half a path");
        assert_eq!(
            fault,
            "found the camera `video0`, expected a whole path such as /dev/video0"
        );
    }

    #[test]
    fn wrong_settings_are_told_with_what_is_allowed() {
        let fault = Settings::parse(r#"{"language":"xx","night":true}"#).expect_err("no such language");
        assert_eq!(fault, "found the language `xx`, expected one of en, de");
        let fault = Settings::parse(r#"{"language":"de","night":1}"#).expect_err("no such night");
        assert!(
            fault.contains("expected a boolean") && fault.contains("line 1"),
            "{fault}"
        );
        let fault = Settings::parse(r#"{"language":"de","night":true,"text_percent":110}"#);
        let fault = fault.expect_err("no such size");
        assert_eq!(
            fault,
            "found the text_percent `110`, expected one of 100, 125, 150"
        );
        let fault = Settings::parse(r#"{"language":"de","night":true,"colour":1}"#).expect_err("no such key");
        assert!(
            fault.contains("colour") && fault.contains("text_percent"),
            "{fault}"
        );
        assert!(Settings::parse("").is_err());
    }

    #[test]
    fn settings_of_an_older_program_are_still_read() {
        let settings = Settings::parse(r#"{"language":"de","night":true}"#).expect("they hold");
        assert!(settings.night && settings.text == TextSize::Usual && !settings.still);
    }
}
