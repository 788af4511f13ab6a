//! The language in which a job is played.

use super::decide::Decision;
use super::event::Actor;
use super::fact::Body;
use super::refusal::Refusal;
use super::rights;
use super::state::{State, show};
use crate::calc::Value;
use crate::words::{Language, Words};

impl State {
    /// The language that is spoken now.
    #[must_use]
    pub fn language(&self) -> &Language {
        self.play.words().language()
    }

    /// The program's own words in the language that is spoken now.
    #[must_use]
    pub fn words(&self) -> &Words {
        self.play.words()
    }

    /// The languages in which this job can be played, English first.
    pub fn languages(&self) -> impl Iterator<Item = Language> {
        self.authored.languages()
    }

    /// From here on in this language.
    pub(super) fn speak(&mut self, language: &Language) {
        self.play = self.authored.in_language(language);
    }

    /// The same state as somebody sees it who reads another language.
    #[must_use]
    pub fn in_language(&self, language: &Language) -> Self {
        let mut other = self.clone();
        other.speak(language);
        other
    }
}

/// From here on in another language.
pub(super) fn speak(state: &State, actor: &Actor, language: Language) -> Decision {
    if !actor.tablet {
        rights::anyone(actor)?;
    }
    if language == *state.language() {
        return Err(Refusal::LanguageThere(language));
    }
    if !state.languages().any(|known| known == language) {
        let known: Vec<String> = state.languages().map(|known| known.to_string()).collect();
        let known = known.join(", ");
        return Err(Refusal::NoLanguage { language, known });
    }
    Ok(vec![Body::Language { language }])
}

/// A value as a person reads it who reads this language.
#[must_use]
pub fn show_in(value: &Value, words: &Words) -> String {
    match value {
        Value::Flag(flag) => words.say(if *flag { "yes" } else { "no" }).to_owned(),
        value => show(value),
    }
}
