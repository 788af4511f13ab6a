//! The people of an open shop: who they are now, and every change of the roster, signed by a supervisor.

use super::error::SessionError;
use super::shop::{Session, read_log};
use crate::people::Role;
use crate::seal::{SignerId, SigningKey};

/// A person as the sign-on page lists them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonLine {
    pub id: String,
    pub name: String,
    pub roles: Vec<&'static str>,
    pub supervisor: bool,
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

    /// Adds a person to the roster, signed by the supervisor who is signed on.
    ///
    /// # Errors
    /// Nobody is signed on, they are no supervisor, or the name or passphrase cannot stand.
    pub fn join(&mut self, plan: &super::PersonPlan) -> Result<(), SessionError> {
        let (id, key) = self.signed_on.as_ref().ok_or(SessionError::NobodySignedOn)?;
        self.roster = super::join(&mut self.shop, &self.roster, (id, key), plan, &self.world)?;
        self.hand_out_roster()
    }

    /// Puts the roster as it stands into the folders of open jobs, so that they verify with whoever joined since.
    fn hand_out_roster(&mut self) -> Result<(), SessionError> {
        let lines = read_log(self.shop.roster())?;
        let signers = self.roster.to_allowed_signers().to_string();
        let open: Vec<String> = self
            .jobs()
            .into_iter()
            .filter(|job| job.closed.is_none())
            .map(|job| job.number)
            .collect();
        for number in open {
            let folder = self.shop.job(&number)?;
            folder.write_roster(&lines)?;
            folder.write_allowed_signers(&signers)?;
        }
        Ok(())
    }
}
