//! What this tablet remembers of who worked at it: who came last, at which job, and whose passphrase was wrong how
//! often. Nothing of it stands in a record, and no bundle takes it along.

use super::error::SessionError;
use super::people::PersonLine;
use super::shop::{Session, unlock};
use crate::disk;
use crate::people::patience::Tries;
use crate::say;
use crate::seal::{KeyError, SigningKey};
use crate::words::Words;
use serde::{Deserialize, Serialize};

/// As many people as are remembered; more have no shop with one tablet.
const MOST_PEOPLE: usize = 200;

/// The people who worked here, the last one first.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Memory {
    people: Vec<Remembered>,
}

#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Remembered {
    id: String,
    /// The job that was open last; none where it was never one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    job: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wrong: Option<Tries>,
    /// Whether they ever signed on here; a wrong passphrase alone brings nobody to the front.
    came: bool,
}

impl Memory {
    /// What was kept; nothing where there is none, with what is wrong where it cannot be read: nobody is kept out by it.
    pub(super) fn kept(shop: &disk::Shop, words: &Words) -> (Self, Option<String>) {
        let text = shop.desk().map_err(|error| error.to_string());
        let kept = text.and_then(|text| match text {
            Some(text) => serde_json::from_str(&text).map_err(|error| error.to_string()),
            None => Ok(Self::default()),
        });
        match kept {
            Ok(memory) => (memory, None),
            Err(why) => (Self::default(), Some(lost(words, &why))),
        }
    }

    fn to_text(&self) -> String {
        // Names, numbers and times can always be written.
        serde_json::to_string(self).map_or_else(|_| String::new(), |text| text + "\n")
    }

    fn of(&self, id: &str) -> Option<&Remembered> {
        self.people.iter().find(|person| person.id == id)
    }

    fn of_mut(&mut self, id: &str) -> &mut Remembered {
        let place = self.people.iter().position(|person| person.id == id);
        let place = place.unwrap_or_else(|| {
            self.people.truncate(MOST_PEOPLE - 1);
            self.people.push(Remembered {
                id: id.to_owned(),
                job: None,
                wrong: None,
                came: false,
            });
            self.people.len() - 1
        });
        &mut self.people[place]
    }

    fn came(&mut self, id: &str) {
        self.of_mut(id).came = true;
        if let Some(place) = self.people.iter().position(|person| person.id == id) {
            self.people[..=place].rotate_right(1);
        }
    }

    /// Where somebody stands among those who came here; those who never did stand behind all.
    fn place(&self, id: &str) -> usize {
        let mut came = self.people.iter().filter(|person| person.came);
        came.position(|person| person.id == id).unwrap_or(usize::MAX)
    }
}

fn lost(words: &Words, why: &str) -> String {
    say!(
        words,
        "What this tablet remembered of who worked here last cannot be read (desk.json: {why}). It begins anew; no record is touched by it.",
        why = why
    )
}

impl Session {
    /// The people who can sign on now: who worked here last stands first, the others by name.
    #[must_use]
    pub fn people_here(&self) -> Vec<PersonLine> {
        let mut people = self.people();
        people.sort_by_key(|person| self.memory.place(&person.id));
        people
    }

    /// The job that somebody had open last on this tablet.
    #[must_use]
    pub fn last_job(&self, id: &str) -> Option<&str> {
        self.memory.of(id)?.job.as_deref()
    }

    /// How many seconds this person waits until another passphrase may be typed.
    #[must_use]
    pub fn wait(&self, id: &str) -> u32 {
        let tries = self.memory.of(id).and_then(|person| person.wrong);
        tries.map_or(0, |tries| tries.left(self.now().to_utc()))
    }

    /// Remembers that somebody came to the tablet.
    ///
    /// # Errors
    /// The disk fails; they are signed on all the same.
    pub fn remember_coming(&mut self, id: &str) -> Result<(), SessionError> {
        self.memory.came(id);
        self.write_memory()
    }

    /// Remembers which job the person at the tablet has open.
    ///
    /// # Errors
    /// The disk fails; the job is open all the same.
    pub fn remember_job(&mut self) -> Result<(), SessionError> {
        let (Some((id, _)), Some(job)) = (self.person(), self.job()) else {
            return Ok(());
        };
        let number = job.number().to_owned();
        self.memory.of_mut(&id).job = Some(number);
        self.write_memory()
    }

    /// Opens a person's key with their passphrase. A wrong one is on the disk before it is tried, so that a restart
    /// shortens no wait. It takes about half a second.
    ///
    /// # Errors
    /// They still have to wait, the passphrase is wrong, there is no such key, or the disk fails.
    pub fn open_key(&mut self, id: &str, passphrase: &str) -> Result<SigningKey, SessionError> {
        let left = self.wait(id);
        if left > 0 {
            return Err(SessionError::Wait(left));
        }
        let file = self.key_file(id)?;
        let before = self.memory.of(id).and_then(|person| person.wrong);
        // Clocks of sessions count whole seconds: the wait begins with the next, so that it is never shorter than it says.
        let now = self.now().to_utc() + chrono::TimeDelta::seconds(1);
        self.memory.of_mut(id).wrong = Some(Tries::another(before, now));
        self.write_memory()?;
        let opened = unlock(&file, passphrase);
        let wrong = match &opened {
            Ok(_) => None,
            Err(SessionError::Key(KeyError::WrongPassphrase)) => return opened,
            // What was no passphrase at all, or no key, is no guess.
            Err(_) => before,
        };
        self.memory.of_mut(id).wrong = wrong;
        self.write_memory()?;
        opened
    }

    fn write_memory(&self) -> Result<(), SessionError> {
        Ok(self.shop.write_desk(&self.memory.to_text())?)
    }
}
