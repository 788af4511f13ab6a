//! The language in which the tablet speaks, and with it the open job.

use super::error::SessionError;
use super::job::{OpenJob, write};
use super::shop::Session;
use crate::player::{Event, Refusal};
use crate::words::{Language, languages};

impl Session {
    /// The language in which the tablet speaks and in which new jobs are opened; English to begin with.
    #[must_use]
    pub fn language(&self) -> &Language {
        &self.settings.language
    }

    /// From here on the tablet speaks this language. In an open job that is an entry of the record, since what it
    /// says from here on stands there as it was shown; it is signed by who is signed on, otherwise by the tablet.
    ///
    /// # Errors
    /// The program does not know the language, or the disk fails; then nothing changed.
    pub fn speak(&mut self, language: &Language) -> Result<(), SessionError> {
        if !languages().iter().any(|(known, _)| known == language) {
            let known: Vec<String> = languages()
                .into_iter()
                .map(|(known, _)| known.to_string())
                .collect();
            let (language, known) = (language.clone(), known.join(", "));
            return Err(Refusal::NoLanguage { language, known }.into());
        }
        let before = std::mem::replace(&mut self.settings.language, language.clone());
        if let Some(mut job) = self.job.take() {
            let told = self.tell_language(&mut job);
            self.job = Some(job);
            if told.is_err() {
                self.settings.language = before;
            }
            return told;
        }
        Ok(())
    }

    /// Brings a job into the tablet's language; one that is closed stays as it ended.
    pub(super) fn tell_language(&self, job: &mut OpenJob) -> Result<(), SessionError> {
        if job.state.closed() || *job.state.language() == self.settings.language {
            return Ok(());
        }
        let (id, key) = self.signed_on.as_ref().unwrap_or(&self.tablet);
        let actor = self.actor(id);
        write(
            job,
            &actor,
            id,
            key,
            Event::Language(self.settings.language.clone()),
        )
    }
}
