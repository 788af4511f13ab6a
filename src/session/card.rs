//! The job card of the open job: kept while it is typed, accepted when it holds.

use super::error::SessionError;
use super::shop::Session;
use crate::player::card::Sheet;
use crate::player::{self, Event, Typed};

impl Session {
    /// Keeps an answer of the card while it is being filled.
    ///
    /// # Errors
    /// No job is open, or the disk fails.
    pub fn type_answer(&mut self, group: &str, field: &str, text: &str) -> Result<(), SessionError> {
        let job = self.job.as_mut().ok_or(SessionError::NoJob)?;
        let key = (group.to_owned(), field.to_owned());
        if text.is_empty() {
            job.typed.remove(&key)
        } else {
            job.typed.insert(key, text.to_owned())
        };
        job.folder.write_card_draft(&job.typed)?;
        Ok(())
    }

    /// Accepts the card as it was typed, by the person who is signed on.
    ///
    /// # Errors
    /// As [`Session::act`].
    pub fn accept_card(&mut self) -> Result<(), SessionError> {
        let salts = self.salts()?;
        let job = self.job.as_mut().ok_or(SessionError::NoJob)?;
        let mut personal = job.personal.clone();
        let mut salts = salts.into_iter();
        let mut sheet = Sheet::new();
        for ((group, field), text) in &job.typed {
            let Some(asked) = job.state.play().field(group, field) else {
                continue;
            };
            let answer = if asked.personal {
                let salt = salts.next().unwrap_or_default();
                Typed::Committed(personal.commit(group, field, text, salt).to_string())
            } else {
                Typed::Open(text.clone())
            };
            sheet.insert((group.clone(), field.clone()), answer);
        }
        // Answers that no longer apply stay typed, but are not part of the card.
        let evaluation = player::card::evaluate(job.state.play(), &sheet);
        let asked = |key: &(String, String)| {
            let field = job.state.play().field(&key.0, &key.1);
            field.is_some_and(|field| player::card::asked(&evaluation, field))
        };
        let answers = sheet
            .into_iter()
            .filter(|(key, _)| asked(key))
            .map(|((g, f), typed)| (g, f, typed))
            .collect();
        job.folder.write_personal(&personal)?;
        job.personal = personal;
        self.act(Event::Card(answers))
    }

    fn salts(&self) -> Result<Vec<[u8; 32]>, SessionError> {
        let job = self.job.as_ref().ok_or(SessionError::NoJob)?;
        let personal = job.state.play().fields().filter(|field| field.personal).count();
        (0..personal).map(|_| self.world.bytes::<32>()).collect()
    }
}
