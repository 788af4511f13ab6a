//! What each kind of roster entry changes, and when it is refused.

use chrono::{DateTime, Utc};

use super::entry::{Join, Retire, Roles, RosterEntry, Rotate, Tablet};
use super::finding::PeopleRule;
use super::holder::{Holder, KeySpan};
use super::label::Label;
use super::role::Role;
use super::roster::Roster;
use crate::seal::{Opened, PublicKey, SignerId};

/// What is wrong, before its line is known.
pub(super) type Fault = (PeopleRule, String);

impl Roster {
    /// Applies the entry of a line whose signature holds.
    pub(super) fn apply(&mut self, opened: &Opened) -> Result<(), Fault> {
        let at = opened.entry.at.to_utc();
        let entry = RosterEntry::parse(&opened.entry).map_err(|what| (PeopleRule::MalformedEntry, what))?;
        let latest = self.chain.latest().map_or(at, |latest| latest.to_utc());
        let may = |at| self.may(&opened.entry.by, Role::Supervisor, at);
        if !may(at) || !may(latest) {
            let what = format!(
                "`{}` is no supervisor at that point; only a supervisor signs the roster",
                opened.entry.by
            );
            return Err((PeopleRule::WrongRole, what));
        }
        match entry {
            RosterEntry::Root(_) => Err((
                PeopleRule::BadRoot,
                "a second root: only the first line is one".into(),
            )),
            RosterEntry::Join(join) => self.join(&join, at),
            RosterEntry::Tablet(tablet) => self.add_tablet(&tablet, at),
            RosterEntry::Retire(retire) => self.retire(&retire, at),
            RosterEntry::Rotate(rotate) => self.rotate(&rotate, at),
            RosterEntry::Roles(roles) => self.set_roles(roles, at),
        }
    }

    fn join(&mut self, join: &Join, at: DateTime<Utc>) -> Result<(), Fault> {
        let span = (
            join.valid_from.to_utc(),
            join.valid_until.map(|until| until.to_utc()),
        );
        self.add(
            new_holder(&join.person, Some(&join.name), &join.key, span, &join.roles),
            at,
        )
    }

    fn add_tablet(&mut self, tablet: &Tablet, at: DateTime<Utc>) -> Result<(), Fault> {
        let span = (
            tablet.valid_from.to_utc(),
            tablet.valid_until.map(|until| until.to_utc()),
        );
        self.add(new_holder(&tablet.tablet, None, &tablet.key, span, &[]), at)
    }

    fn add(&mut self, holder: Holder, at: DateTime<Utc>) -> Result<(), Fault> {
        if self.holders.contains_key(&holder.id) {
            let what = format!(
                "the id `{}` was given before, and an id is never given again",
                holder.id
            );
            return Err((PeopleRule::IdRepeat, what));
        }
        for span in &holder.keys {
            self.check_new_key(&span.key)?;
            if span.from < at {
                let what =
                    "the key would be valid before the entry that brings it, which would let it backdate";
                return Err((PeopleRule::BadValidity, what.into()));
            }
            if span.until.is_some_and(|until| until <= span.from) {
                return Err((
                    PeopleRule::BadValidity,
                    "the validity ends before it begins".into(),
                ));
            }
        }
        self.put(holder);
        Ok(())
    }

    fn retire(&mut self, retire: &Retire, at: DateTime<Utc>) -> Result<(), Fault> {
        let mut holder = self.present(&retire.id)?.clone();
        check_not_same_second(&holder, at)?;
        holder.keys.iter_mut().for_each(|span| span.end(at));
        holder.retired = Some(at);
        self.replace(holder, at)
    }

    fn rotate(&mut self, rotate: &Rotate, at: DateTime<Utc>) -> Result<(), Fault> {
        let mut holder = self.present(&rotate.id)?.clone();
        self.check_new_key(&rotate.key)?;
        check_not_same_second(&holder, at)?;
        let until = holder.keys.last().and_then(|span| span.until);
        if until.is_some_and(|until| until <= at) {
            let what = format!(
                "the validity of `{}` has ended; they join again under another id",
                rotate.id
            );
            return Err((PeopleRule::BadValidity, what));
        }
        let from = holder.keys.last().map_or(at, |span| span.from.max(at));
        holder.keys.iter_mut().for_each(|span| span.end(at));
        holder.keys.push(KeySpan {
            key: rotate.key.clone(),
            from,
            until,
        });
        self.replace(holder, at)
    }

    fn set_roles(&mut self, roles: Roles, at: DateTime<Utc>) -> Result<(), Fault> {
        let mut holder = self.present(&roles.person)?.clone();
        if holder.is_tablet() {
            let what = format!("`{}` is a tablet and has no roles", roles.person);
            return Err((PeopleRule::UnknownPerson, what));
        }
        holder.roles.push((at, roles.roles));
        self.replace(holder, at)
    }

    /// Puts a changed holder in place, unless the roster would then have nobody to sign for it.
    fn replace(&mut self, holder: Holder, at: DateTime<Utc>) -> Result<(), Fault> {
        // Not at its own time: an earlier line may have ended the others by a clock that was ahead.
        let latest = self.chain.latest().map_or(at, |latest| latest.to_utc().max(at));
        let later = latest + chrono::TimeDelta::seconds(1);
        let others = self.holders.values().filter(|other| other.id != holder.id);
        let stays =
            |holder: &Holder| holder.roles_at(later).contains(&Role::Supervisor) && holder.has_future(latest);
        if !others.chain([&holder]).any(stays) {
            let what = format!(
                "`{}` is the last supervisor; without one nobody could sign the roster",
                holder.id
            );
            return Err((PeopleRule::LastSupervisor, what));
        }
        self.put(holder);
        Ok(())
    }

    fn present(&self, id: &SignerId) -> Result<&Holder, Fault> {
        match self.holders.get(id) {
            Some(holder) if holder.retired.is_none() => Ok(holder),
            Some(_) => Err((PeopleRule::UnknownPerson, format!("`{id}` has left before"))),
            None => Err((PeopleRule::UnknownPerson, format!("`{id}` is not in the roster"))),
        }
    }

    fn check_new_key(&self, key: &PublicKey) -> Result<(), Fault> {
        let owner = self
            .holders
            .values()
            .find(|holder| holder.keys.iter().any(|span| span.key == *key));
        let what =
            |owner: &Holder| format!("the key {} is one of `{}`'s already", key.fingerprint(), owner.id);
        owner.map_or(Ok(()), |owner| Err((PeopleRule::KeyRepeat, what(owner))))
    }
}

/// A person or tablet as it joins.
pub(super) fn new_holder(
    id: &SignerId,
    name: Option<&Label>,
    key: &PublicKey,
    (from, until): (DateTime<Utc>, Option<DateTime<Utc>>),
    roles: &[Role],
) -> Holder {
    let keys = vec![KeySpan {
        key: key.clone(),
        from,
        until,
    }];
    let roles = if roles.is_empty() {
        Vec::new()
    } else {
        vec![(from, roles.to_vec())]
    };
    Holder {
        id: id.clone(),
        name: name.cloned(),
        keys,
        roles,
        retired: None,
    }
}

/// A key that began in this very second may have signed in it, and no line of `allowed_signers` could say so.
fn check_not_same_second(holder: &Holder, at: DateTime<Utc>) -> Result<(), Fault> {
    if holder
        .keys
        .iter()
        .any(|span| span.from.timestamp() == at.timestamp())
    {
        let what = format!(
            "the key of `{}` began in this very second; wait one second",
            holder.id
        );
        return Err((PeopleRule::BadValidity, what));
    }
    Ok(())
}
