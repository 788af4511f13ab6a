//! Every change of people and keys: an entry of the roster, signed by the supervisor who is signed on.
//!
//! Nobody but a supervisor signs the roster, not even for a key of their own: a thief of somebody's passphrase could
//! otherwise give them a key that they do not know.

use super::clock::World;
use super::error::{SessionError, broken};
use super::founding::{
    PersonPlan, add_person, add_tablet, keep_key, locked, named, new_key, sign_roster, supervisors_key,
};
use super::shipped::Content;
use super::shop::{Session, read_log, settle_next_keys, unlock};
use crate::disk;
use crate::people::entry::{Retire, Roles, Rotate};
use crate::people::{Role, Roster, RosterEntry, passphrase};
use crate::seal::{SignerId, SigningKey};
use chrono::{DateTime, FixedOffset};
use std::path::Path;
use zeroize::Zeroizing;

impl Session {
    /// Adds a person, whose key is valid until further notice.
    ///
    /// # Errors
    /// Nobody is signed on, they are no supervisor, or the name or passphrase cannot stand.
    pub fn join(&mut self, plan: &PersonPlan) -> Result<(), SessionError> {
        self.join_until(plan, None)
    }

    /// Adds a person, whose key is valid up to and with this second.
    ///
    /// # Errors
    /// As [`Session::join`]; or the moment is past.
    pub fn join_until(
        &mut self,
        plan: &PersonPlan,
        until: Option<DateTime<FixedOffset>>,
    ) -> Result<(), SessionError> {
        passphrase::check(&plan.passphrase, &plan.id, &plan.name, self.shop_name())?;
        if let Some(past) = until.filter(|until| *until <= self.world.now()) {
            return Err(SessionError::Past(past.to_rfc3339()));
        }
        let (id, key) = self.signed_on.as_ref().ok_or(SessionError::NobodySignedOn)?;
        self.expect_supervisor(id)?;
        let by = (id, key);
        self.roster = add_person(&mut self.shop, &self.roster, by, plan, until, &self.world)?;
        self.hand_out_roster()
    }

    /// Gives a person other roles, from now on.
    ///
    /// # Errors
    /// As [`Session::join`]; or there is no such person, or they are the last supervisor.
    pub fn change_roles(&mut self, id: &str, roles: &[Role]) -> Result<(), SessionError> {
        let person = self.present(id)?;
        let now = self.roster.roles_at(&person, self.world.now().to_utc());
        if now.len() == roles.len() && roles.iter().all(|role| now.contains(role)) {
            return Err(SessionError::SameRoles(self.name_of(id)));
        }
        let roles = roles.to_vec();
        self.enter_roster(&RosterEntry::Roles(Roles { person, roles }))
    }

    /// Ends the keys of a person or tablet now; their key file goes.
    ///
    /// # Errors
    /// As [`Session::change_roles`]; or it is this very tablet.
    pub fn retire(&mut self, id: &str, reason: &str) -> Result<(), SessionError> {
        let id = self.present(id)?;
        if id == self.tablet.0 {
            return Err(SessionError::ThisTablet(id.to_string()));
        }
        self.enter_roster(&RosterEntry::Retire(Retire {
            id: id.clone(),
            reason: named(reason)?,
        }))?;
        if self
            .signed_on
            .as_ref()
            .is_some_and(|(signed_on, _)| *signed_on == id)
        {
            self.sign_off_person();
        }
        Ok(self.shop.remove_key(&id)?)
    }

    /// A new key for somebody whose key or passphrase is lost or known to others; another supervisor signs it.
    ///
    /// # Errors
    /// As [`Session::change_roles`]; the passphrase cannot stand, or it is the signer's own key.
    pub fn replace_lost(&mut self, id: &str, passphrase: &str, reason: &str) -> Result<(), SessionError> {
        let person = self.present(id)?;
        if self
            .signed_on
            .as_ref()
            .is_some_and(|(signed_on, _)| *signed_on == person)
        {
            return Err(SessionError::NotLost);
        }
        self.new_key(&person, Some(passphrase), reason)
    }

    /// A new key for a person who is there and opens the old one.
    ///
    /// # Errors
    /// As [`Session::change_roles`]; the old passphrase is wrong, or the new one cannot stand.
    pub fn rotate(&mut self, id: &str, old: &str, new: &str, reason: &str) -> Result<(), SessionError> {
        let person = self.present(id)?;
        self.expect_key(id, &unlock(&self.key_file(id)?, old)?)?;
        self.new_key(&person, Some(new), reason)
    }

    /// A new key for this tablet.
    ///
    /// # Errors
    /// As [`Session::change_roles`].
    pub fn rotate_tablet(&mut self, reason: &str) -> Result<String, SessionError> {
        let tablet = self.tablet.0.clone();
        self.new_key(&tablet, None, reason)?;
        Ok(tablet.to_string())
    }

    /// Locks a person's own key with another passphrase; the key stays, and nothing else changes.
    ///
    /// # Errors
    /// The old passphrase is wrong, the key is not theirs now, or the new passphrase cannot stand.
    pub fn change_passphrase(&mut self, id: &str, old: &str, new: &str) -> Result<(), SessionError> {
        let person = self.present(id)?;
        let key = unlock(&self.key_file(id)?, old)?;
        self.expect_key(id, &key)?;
        passphrase::check(new, id, &self.name_of(id), self.shop_name())?;
        if old == new {
            return Err(passphrase::PassphraseFault::Same.into());
        }
        keep_key(&self.shop, &person, &key, new, &self.world)
    }

    fn new_key(&mut self, id: &SignerId, passphrase: Option<&str>, reason: &str) -> Result<(), SessionError> {
        let key = new_key(&self.world)?;
        let text = match passphrase {
            Some(text) => {
                passphrase::check(text, id.as_str(), &self.name_of(id.as_str()), self.shop_name())?;
                locked(&key, text, &self.world)?
            }
            None => key.to_openssh_unlocked()?,
        };
        let entry = RosterEntry::Rotate(Rotate {
            id: id.clone(),
            key: key.public().clone(),
            reason: named(reason)?,
        });
        // Beside the old one until the roster knows it: an interruption leaves one of both in force.
        self.shop.write_next_key(id, &text)?;
        if let Err(error) = self.enter_roster(&entry) {
            settle_next_keys(&self.shop, &self.roster)?;
            return Err(error);
        }
        self.shop.take_next_key(id)?;
        self.hold(id, key);
        Ok(())
    }

    /// Whoever holds the old key in memory holds the new one from now on.
    fn hold(&mut self, id: &SignerId, key: SigningKey) {
        if *id == self.tablet.0 {
            self.tablet.1 = key;
        } else if let Some((signed_on, held)) = &mut self.signed_on
            && signed_on == id
        {
            *held = key;
        }
    }

    /// Signs an entry, asks the roster whether it may stand, writes it, and hands the roster out to open jobs.
    fn enter_roster(&mut self, entry: &RosterEntry) -> Result<(), SessionError> {
        let (id, key) = self.signed_on.as_ref().ok_or(SessionError::NobodySignedOn)?;
        self.expect_supervisor(id)?;
        let (line, next) = sign_roster(&self.roster, (id, key), entry, self.world.now())?;
        self.shop.roster().append(&line)?;
        self.roster = next;
        self.hand_out_roster()
    }

    /// Puts the roster as it stands into the folders of open jobs, so that they verify with whoever joined since.
    /// A start of the program does it again, for what an interruption left behind.
    pub(super) fn hand_out_roster(&mut self) -> Result<(), SessionError> {
        let lines = read_log(self.shop.roster())?;
        let signers = self.roster.to_allowed_signers().to_string();
        for number in self.shop.jobs()? {
            if !self.lags(&number, &lines)? || !self.is_open(&number) {
                continue;
            }
            let folder = self.shop.job(&number)?;
            // The roster comes last: where it is up to date, the other is.
            folder.write_allowed_signers(&signers)?;
            folder.write_roster(&lines)?;
        }
        Ok(())
    }

    /// Whether a job's copy of the roster is its beginning. Any other is left for the verifier to tell.
    fn lags(&self, number: &str, roster: &[u8]) -> Result<bool, SessionError> {
        let (folder, inside) = (self.shop.folder(), format!("jobs/{number}"));
        let size = folder.size(&format!("{inside}/roster.jsonl"))?;
        if size.is_none_or(|size| size >= roster.len() as u64)
            || folder.size(&format!("{inside}/record.jsonl"))?.is_none()
        {
            return Ok(false);
        }
        let copy = folder.bytes(&format!("{inside}/roster.jsonl"), roster.len() as u64)?;
        Ok(copy.is_some_and(|copy| roster.starts_with(&copy)))
    }

    fn is_open(&self, number: &str) -> bool {
        let closed = match self.ledger.job(number) {
            Some(job) => job.closed.is_some(),
            None => self.practice(number).is_none_or(|job| job.closed.is_some()),
        };
        !closed
    }
}

/// Gives this machine a tablet's key of its own, signed by a supervisor, and opens the shop with it: for a folder
/// that came from a backup, or whose tablet's key was lost or retired.
///
/// # Errors
/// There is no shop, the passphrase does not open the key, or it is no supervisor's.
pub fn give_tablet_key(
    folder: &Path,
    content: Content,
    (by, secret): (&str, &Zeroizing<String>),
    world: World,
) -> Result<(Session, String), SessionError> {
    super::people::roster(folder)?;
    let (mut shop, _) = disk::Shop::open(folder)?;
    let roster =
        Roster::replay(read_log(shop.roster())?.as_slice()).map_err(|found| broken("roster", &found))?;
    settle_next_keys(&shop, &roster)?;
    let id: SignerId = named(by)?;
    let text = shop
        .key(&id)?
        .ok_or_else(|| SessionError::NoPerson(by.to_owned()))?;
    let key = supervisors_key(&roster, &id, (&text, secret), world.now())?;
    let (_, tablet) = add_tablet(&mut shop, &roster, (&id, &key), &world)?;
    drop(shop);
    let session = Session::open(folder, content, world)?;
    Ok((session, tablet.to_string()))
}
