//! The people of a shop, as they are now.

use super::error::{SessionError, broken};
use super::shop::Session;
use crate::disk::Folder;
use crate::people::{Role, Roster};
use crate::seal::{SignerId, SigningKey};
use crate::to_say;
use crate::words::Words;
use std::path::Path;

/// A person as the sign-on page lists them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonLine {
    pub id: String,
    pub name: String,
    pub roles: Vec<&'static str>,
    pub supervisor: bool,
}

impl PersonLine {
    /// The roles in a language, the first letter large.
    #[must_use]
    pub fn roles_said(&self, words: &Words) -> String {
        let roles: Vec<&str> = self.roles.iter().map(|role| words.say(role_word(role))).collect();
        let roles = roles.join(", ");
        let mut letters = roles.chars();
        letters
            .next()
            .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
    }
}

/// A role's name in the roster as a text to be said.
fn role_word(role: &str) -> &str {
    match role {
        "apprentice" => to_say!("apprentice"),
        "fitter" => to_say!("fitter"),
        "supervisor" => to_say!("supervisor"),
        "author" => to_say!("author"),
        other => other,
    }
}

impl Session {
    /// The people who can sign on now, by name.
    #[must_use]
    pub fn people(&self) -> Vec<PersonLine> {
        let at = self.world.now().to_utc();
        let current = self
            .roster
            .people()
            .filter(|person| self.roster.key_at(person.id(), at).is_some());
        let mut people: Vec<PersonLine> = current
            .map(|person| {
                let roles = person.roles_at(at);
                PersonLine {
                    id: person.id().to_string(),
                    name: person.name().unwrap_or(person.id().as_str()).to_owned(),
                    roles: roles.iter().map(|role| role.as_str()).collect(),
                    supervisor: roles.contains(&Role::Supervisor),
                }
            })
            .collect();
        people.sort_by(|a, b| a.name.cmp(&b.name));
        people
    }

    /// The id under which this machine signs the ledger.
    #[must_use]
    pub fn tablet(&self) -> &SignerId {
        &self.tablet.0
    }

    /// The name behind an id.
    #[must_use]
    pub fn name_of(&self, id: &str) -> String {
        let holder = id
            .parse()
            .ok()
            .and_then(|id: SignerId| self.roster.holder(&id)?.name().map(str::to_owned));
        holder.unwrap_or_else(|| id.to_owned())
    }

    pub(super) fn expect_key(&self, id: &str, key: &SigningKey) -> Result<SignerId, SessionError> {
        let signer: SignerId = super::founding::named(id)?;
        let known = self.roster.key_at(&signer, self.world.now().to_utc());
        match known {
            Some(public) if public == key.public() => Ok(signer),
            Some(_) => Err(SessionError::NotTheirKey(id.to_owned())),
            None => Err(SessionError::NoPerson(id.to_owned())),
        }
    }

    /// Whether somebody may sign the roster and approvals now.
    pub(super) fn expect_supervisor(&self, id: &SignerId) -> Result<(), SessionError> {
        if self.roster.may(id, Role::Supervisor, self.world.now().to_utc()) {
            Ok(())
        } else {
            Err(SessionError::NoSupervisor(self.name_of(id.as_str())))
        }
    }

    /// The person or tablet of this id, who has not left.
    ///
    /// # Errors
    /// There is none; the id that was probably meant is told.
    pub fn present(&self, id: &str) -> Result<SignerId, SessionError> {
        let found = id.parse().ok().and_then(|id: SignerId| self.roster.holder(&id));
        match found {
            Some(holder) if holder.retired().is_none() => Ok(holder.id().clone()),
            Some(holder) => Err(SessionError::HasLeft(holder.id().to_string())),
            None => Err(SessionError::unknown(&self.roster, id)),
        }
    }
}

/// A shop's roster, read without its lock, so that it can be looked at while the tablet is in use.
///
/// # Errors
/// There is no shop, or its roster does not hold.
pub fn roster(folder: &Path) -> Result<Roster, SessionError> {
    let lines = Folder::open(folder)?.reader("roster.jsonl")?;
    Roster::replay(lines.ok_or(SessionError::NoShop)?).map_err(|found| broken("roster", &found))
}
