//! A new shop: its root supervisor, its people, and the tablet's key.

use super::approval::Desk;
use super::clock::World;
use super::error::{SessionError, broken, refused};
use super::shipped::Content;
use crate::disk;
use crate::people::entry::{Join, Root, Tablet};
use crate::people::{Approvals, Label, Role, Roster, RosterEntry, passphrase};
use crate::seal::{KeySalt, Line, Namespace, SignerId, SigningKey};
use chrono::{DateTime, FixedOffset};
use std::path::Path;
use zeroize::Zeroizing;

/// A person to be.
#[derive(Clone, Debug)]
pub struct PersonPlan {
    pub id: String,
    pub name: String,
    pub roles: Vec<Role>,
    pub passphrase: Zeroizing<String>,
}

/// A shop to be. The first person is the root supervisor.
#[derive(Clone, Debug)]
pub struct ShopPlan {
    pub shop: String,
    pub root: PersonPlan,
    pub people: Vec<PersonPlan>,
    /// The register of instruments, as YAML; none for an empty one.
    pub instruments: Option<String>,
}

/// Makes a shop in a folder that holds none, with the root's approval of its content, and gives the root's fingerprint, which a stranger
/// must get by another way than the record.
///
/// # Errors
/// A shop is there already, a name or passphrase cannot stand, or the disk fails.
pub fn found(
    folder: &Path,
    plan: &ShopPlan,
    content: &Content,
    world: &World,
) -> Result<String, SessionError> {
    for person in std::iter::once(&plan.root).chain(&plan.people) {
        passphrase::check(&person.passphrase, &person.id, &person.name, &plan.shop)?;
    }
    if let Some(text) = &plan.instruments {
        crate::procedure::register(text).map_err(|report| SessionError::Instruments(report.render()))?;
    }
    if folder.join("roster.jsonl").exists() {
        return Err(SessionError::ShopThere);
    }
    // Half a shop could be neither opened nor founded again, so it is built beside its place.
    disk::Shop::build(folder, None, |shop| build(shop, plan, content, world))?
}

fn build(
    shop: &mut disk::Shop,
    plan: &ShopPlan,
    content: &Content,
    world: &World,
) -> Result<String, SessionError> {
    let root_id: SignerId = named(&plan.root.id)?;
    let root_key = new_key(world)?;
    let mut roster = write_root(shop, plan, &root_id, &root_key, world)?;
    for person in &plan.people {
        roster = add_person(shop, &roster, (&root_id, &root_key), person, None, world)?;
    }
    let (roster, _) = add_tablet(shop, &roster, (&root_id, &root_key), world)?;
    let mut desk = Desk {
        shop,
        roster: &roster,
        by: (&root_id, &root_key),
        world,
    };
    desk.approve(
        &Approvals::default(),
        content,
        Some("as it came when the shop was founded"),
    )?;
    if let Some(text) = &plan.instruments {
        shop.write_instruments(text)?;
    }
    Ok(root_key.fingerprint())
}

pub(super) fn new_key(world: &World) -> Result<SigningKey, SessionError> {
    let seed = Zeroizing::new(world.bytes::<32>()?);
    Ok(SigningKey::generate(&seed))
}

fn write_root(
    shop: &mut disk::Shop,
    plan: &ShopPlan,
    id: &SignerId,
    key: &SigningKey,
    world: &World,
) -> Result<Roster, SessionError> {
    keep_key(shop, id, key, &plan.root.passphrase, world)?;
    let entry = RosterEntry::Root(Root {
        shop: named::<Label>(&plan.shop)?,
        person: id.clone(),
        name: named(&plan.root.name)?,
        roles: plan.root.roles.clone(),
        key: key.public().clone(),
    });
    let text = entry.text(crate::seal::Link::FIRST, world.now(), id)?;
    let line = Line::signed(text, id.clone(), key, Namespace::ShopRoster).to_bytes()?;
    let roster = Roster::found(bare(&line)).map_err(|findings| broken("roster", &findings))?;
    shop.roster().append(&line)?;
    Ok(roster)
}

pub(super) fn add_person(
    shop: &mut disk::Shop,
    roster: &Roster,
    by: (&SignerId, &SigningKey),
    person: &PersonPlan,
    valid_until: Option<DateTime<FixedOffset>>,
    world: &World,
) -> Result<Roster, SessionError> {
    let (id, key): (SignerId, _) = (named(&person.id)?, new_key(world)?);
    // One look at the clock: a second later, the key would be valid before the entry that brings it.
    let at = world.now();
    let entry = RosterEntry::Join(Join {
        person: id.clone(),
        name: named(&person.name)?,
        roles: person.roles.clone(),
        key: key.public().clone(),
        valid_from: at,
        valid_until,
    });
    let (line, next) = sign_roster(roster, by, &entry, at)?;
    // The key is on the disk before the line that trusts it.
    keep_key(shop, &id, &key, &person.passphrase, world)?;
    shop.roster().append(&line)?;
    Ok(next)
}

pub(super) fn add_tablet(
    shop: &mut disk::Shop,
    roster: &Roster,
    by: (&SignerId, &SigningKey),
    world: &World,
) -> Result<(Roster, SignerId), SessionError> {
    let (key, at) = (new_key(world)?, world.now());
    let tail: String = world
        .bytes::<4>()?
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let id: SignerId = named(&format!("tablet-{tail}"))?;
    let entry = RosterEntry::Tablet(Tablet {
        tablet: id.clone(),
        key: key.public().clone(),
        valid_from: at,
        valid_until: None,
    });
    let (line, next) = sign_roster(roster, by, &entry, at)?;
    shop.write_key(&id, &key.to_openssh_unlocked()?)?;
    shop.roster().append(&line)?;
    Ok((next, id))
}

/// Opens a supervisor's key, which is to sign the roster now.
///
/// # Errors
/// The passphrase is wrong, the key is not theirs now, or they are no supervisor.
pub(super) fn supervisors_key(
    roster: &Roster,
    id: &SignerId,
    (text, secret): (&str, &str),
    at: DateTime<FixedOffset>,
) -> Result<SigningKey, SessionError> {
    let key = super::shop::unlock(text, secret)?;
    if roster.key_at(id, at.to_utc()) != Some(key.public()) {
        return Err(SessionError::NotTheirKey(id.to_string()));
    }
    if !roster.may(id, Role::Supervisor, at.to_utc()) {
        return Err(SessionError::NoSupervisor(id.to_string()));
    }
    Ok(key)
}

pub(super) fn sign_roster(
    roster: &Roster,
    (id, key): (&SignerId, &SigningKey),
    entry: &RosterEntry,
    at: DateTime<FixedOffset>,
) -> Result<(Vec<u8>, Roster), SessionError> {
    let text = entry.text(roster.link(), at, id)?;
    let line = Line::signed(text, id.clone(), key, Namespace::ShopRoster).to_bytes()?;
    let next = roster
        .append(bare(&line))
        .map_err(|findings| refused("roster", &findings))?;
    Ok((line, next))
}

pub(super) fn keep_key(
    shop: &disk::Shop,
    id: &SignerId,
    key: &SigningKey,
    passphrase: &str,
    world: &World,
) -> Result<(), SessionError> {
    shop.write_key(id, &locked(key, passphrase, world)?)?;
    Ok(())
}

/// A key file that opens with this passphrase.
pub(super) fn locked(
    key: &SigningKey,
    passphrase: &str,
    world: &World,
) -> Result<Zeroizing<String>, SessionError> {
    let salt = KeySalt::from_random(world.bytes::<20>()?);
    Ok(key.to_openssh_encrypted(passphrase, world.rounds(), salt)?)
}

/// A line without its LF.
pub(super) fn bare(line: &[u8]) -> &[u8] {
    line.strip_suffix(b"\n").unwrap_or(line)
}

/// A name or id that the shop's files can carry.
pub(super) fn named<T: std::str::FromStr>(text: &str) -> Result<T, SessionError>
where
    T::Err: std::fmt::Display,
{
    text.parse().map_err(|error: T::Err| SessionError::Named {
        what: format!("“{text}”"),
        why: error.to_string(),
    })
}
