//! A bundle of a whole shop that becomes the shop again, on a tablet that has none.
//!
//! Nothing is written before the bundle is verified and its root is the one that was given. The shop is built
//! beside its place, gets its tablet there, is verified once more as it was read back, and only then gets its place.

use super::BundleError;
use super::export::faults;
use super::relation::{Relation, of_jobs, of_lines};
use crate::audit::{Manifest, ShopReport, Standing, verify_bundle, verify_shop};
use crate::disk::{self, Copying, Folder, Part};
use crate::people::entry::Retire;
use crate::people::{Label, Ledger, Role, Roster, RosterEntry};
use crate::seal::{KeyError, SignerId, SigningKey};
use crate::session::founding::{add_tablet, named, sign_roster, supervisors_key};
use crate::session::verify::certificate;
use crate::session::{SessionError, World};
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use zeroize::Zeroizing;

/// The longest key file that is read, in bytes.
const MOST_KEY: u64 = 16 * 1024;

/// How a shop is restored.
#[derive(Clone, Debug)]
pub struct RestorePlan {
    /// The fingerprint of the shop's root key, known by another way than the bundle.
    pub root: Option<String>,
    /// The supervisor who signs for the new tablet.
    pub by: String,
    /// A folder of people's locked key files, each named by its id; besides those in the bundle.
    pub keys: Option<PathBuf>,
    /// Why the old tablet's key ends.
    pub reason: String,
}

/// The tablets of a restored shop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tablets {
    /// What this machine is now.
    pub new: String,
    /// The one that the bundle comes from, whose key ended.
    pub ended: Option<String>,
    /// Further ones, whose keys are valid.
    pub others: Vec<String>,
}

/// A shop that stands in its place.
#[derive(Clone, Debug)]
pub struct Restored {
    pub place: PathBuf,
    /// It stood there already, as long as the bundle at least; nothing was written.
    pub was_there: bool,
    pub shop: String,
    /// The fingerprint of its root key, which is the one that was given.
    pub root: String,
    /// None where the shop stood there already.
    pub tablets: Option<Tablets>,
    /// How many jobs it has, practice runs among them.
    pub jobs: usize,
    /// Those that are open.
    pub open: Vec<String>,
    /// People of the roster whose key is not on this machine: id and name.
    pub without_key: Vec<(String, String)>,
    /// Key files that were not taken, and why.
    pub not_taken: Vec<String>,
}

/// A verified bundle of a whole shop, and the keys that were found for its people.
#[derive(Debug)]
pub struct Restoring {
    bundle: Folder,
    manifest: Manifest,
    roster: Roster,
    keys: BTreeMap<SignerId, Zeroizing<String>>,
    by: SignerId,
    reason: Label,
    done: Restored,
}

impl Restoring {
    /// Verifies a bundle that is to become the shop in `place`. Nothing is written.
    ///
    /// # Errors
    /// The bundle is not whole or lacks jobs; its root is not the one that was given; another shop stands in the
    /// place; this machine's clock is behind the bundle; or no key of the supervisor is there.
    pub fn look(
        bundle: &Path,
        place: &Path,
        plan: &RestorePlan,
        at: DateTime<Utc>,
    ) -> Result<Self, SessionError> {
        let bundle = Folder::open(bundle)?;
        expect_root(&bundle, plan.root.as_deref())?;
        let root = plan.root.as_deref().map(str::trim);
        let (manifest, report) = verify_bundle(&bundle, root, Some(&certificate), &mut |_, _| {});
        let not_whole = || BundleError::NotWhole(faults(&report));
        let manifest = manifest.filter(|_| report.whole()).ok_or_else(not_whole)?;
        let roster = roster_of(&bundle)?.ok_or_else(not_whole)?;
        if !report.absent.is_empty() {
            return Err(BundleError::Partial(report.absent.join(", ")).into());
        }
        let was_there = stands(&bundle, &manifest, place)?;
        let done = told(&report, &roster, place, was_there);
        let mut restoring = Self {
            bundle,
            manifest,
            roster,
            keys: BTreeMap::new(),
            by: named(&plan.by)?,
            reason: named(&plan.reason)?,
            done,
        };
        if !restoring.done.was_there {
            restoring.expect_clock(at)?;
            restoring.find_keys(plan.keys.as_deref(), at)?;
        }
        Ok(restoring)
    }

    /// What was found, where the shop stands in its place already and nothing is to be done.
    #[must_use]
    pub fn stands(&self) -> Option<&Restored> {
        Some(&self.done).filter(|done| done.was_there)
    }

    /// Builds the shop and gives it its place, signed by the supervisor whose passphrase this is.
    ///
    /// # Errors
    /// The passphrase is wrong, or a disk fails; then nothing stands in the place, and the same can be tried again.
    pub fn restore(mut self, passphrase: &str, world: &World) -> Result<Restored, SessionError> {
        let text = self
            .keys
            .get(&self.by)
            .map(|text| text.as_str())
            .unwrap_or_default();
        let key = supervisors_key(&self.roster, &self.by, (text, passphrase), world.now())?;
        let copying = self.copying();
        let built = disk::Shop::build(&self.done.place, Some(&copying), |shop| {
            self.fill(shop, &key, world)
        });
        self.done.tablets = Some(built??);
        Ok(self.done)
    }

    /// Everything but the keys, which are written as keys are.
    fn copying(&self) -> Copying<'_> {
        let wanted = self
            .manifest
            .files()
            .filter(|(path, _)| !path.starts_with("keys/"));
        let part = |(path, sha256): (&str, _)| Part {
            from: path.to_owned(),
            to: path.to_owned(),
            sha256,
            private: super::export::is_personal(path),
        };
        Copying {
            source: &self.bundle,
            parts: wanted.map(part).collect(),
            written: Vec::new(),
        }
    }

    /// The keys, the new tablet and the end of the old one.
    fn fill(&self, shop: &mut disk::Shop, key: &SigningKey, world: &World) -> Result<Tablets, SessionError> {
        for (id, text) in &self.keys {
            shop.write_key(id, text)?;
        }
        let (ended, others) = self.tablets(world.now().to_utc());
        let by = (&self.by, key);
        let (roster, new) = add_tablet(shop, &self.roster, by, world)?;
        if let Some(id) = ended.clone() {
            let reason = self.reason.clone();
            let entry = RosterEntry::Retire(Retire { id, reason });
            let (line, _) = sign_roster(&roster, by, &entry, world.now())?;
            shop.roster().append(&line)?;
        }
        let root = self.done.root.as_str();
        let report = verify_shop(shop.folder(), Some(root), Some(&certificate), &mut |_, _| {});
        if !report.whole() {
            return Err(BundleError::NotWhole(faults(&report)).into());
        }
        Ok(Tablets {
            new: new.to_string(),
            ended: ended.map(|id| id.to_string()),
            others,
        })
    }

    /// The tablet that the bundle comes from, which joined last, and the others that are in the roster now.
    fn tablets(&self, at: DateTime<Utc>) -> (Option<SignerId>, Vec<String>) {
        let valid = self.roster.tablets().filter(|tablet| tablet.key_at(at).is_some());
        let mut valid: Vec<_> = valid.collect();
        valid.sort_by_key(|tablet| tablet.keys().first().map(|span| span.from));
        let old = valid.pop().map(|tablet| tablet.id().clone());
        (old, valid.iter().map(|tablet| tablet.id().to_string()).collect())
    }

    /// A key is valid from its entry on: by a clock that is behind, nobody of the shop could sign.
    fn expect_clock(&self, at: DateTime<Utc>) -> Result<(), SessionError> {
        let ledger = self.bundle.reader("ledger.jsonl")?;
        let ledger = ledger
            .and_then(|lines| Ledger::replay(lines, &self.roster).ok())
            .unwrap_or_default();
        let of_jobs = ledger
            .jobs()
            .map(|job| job.closed.as_ref().map_or(job.at, |(at, _)| *at).to_utc());
        let holders = self.roster.people().chain(self.roster.tablets());
        let of_keys = holders.flat_map(|holder| holder.keys()).map(|span| span.from);
        match of_jobs.chain(of_keys).max() {
            Some(last) if last > at => Err(BundleError::ClockBehind { now: at, last }.into()),
            _ => Ok(()),
        }
    }

    /// Takes the key files that fit, and says which do not and who has none.
    fn find_keys(&mut self, folder: Option<&Path>, at: DateTime<Utc>) -> Result<(), SessionError> {
        let given = folder.map(Folder::open).transpose()?;
        let people: Vec<_> = self
            .roster
            .people()
            .filter(|person| person.key_at(at).is_some())
            .cloned()
            .collect();
        for person in &people {
            let (id, known) = (person.id(), person.key_at(at));
            let of_bundle = self
                .manifest
                .get(&format!("keys/{id}"))
                .map(|_| format!("keys/{id}"));
            let places = [
                of_bundle.map(|path| (&self.bundle, path)),
                given.as_ref().map(|given| (given, id.to_string())),
            ];
            for (folder, path) in places.into_iter().flatten() {
                let Some(bytes) = folder.bytes(&path, MOST_KEY)? else {
                    continue;
                };
                let shown = folder.path().join(&path).display().to_string();
                match fits(bytes, known) {
                    Ok(text) => drop(self.keys.insert(id.clone(), text)),
                    Err(why) => self.done.not_taken.push(format!("{shown}: {why}")),
                }
            }
            if !self.keys.contains_key(id) {
                let name = person.name().unwrap_or_default().to_owned();
                self.done.without_key.push((id.to_string(), name));
            }
        }
        self.expect_supervisor(at)
    }

    fn expect_supervisor(&self, at: DateTime<Utc>) -> Result<(), SessionError> {
        if self.roster.holder(&self.by).is_none() {
            return Err(SessionError::unknown(&self.roster, self.by.as_str()));
        }
        if !self.roster.may(&self.by, Role::Supervisor, at) {
            return Err(SessionError::NoSupervisor(self.by.to_string()));
        }
        if self.keys.contains_key(&self.by) {
            return Ok(());
        }
        let people = self.roster.people().map(|person| person.id());
        let supervisors = people.filter(|id| self.roster.may(id, Role::Supervisor, at));
        let (with, without): (Vec<_>, Vec<_>) = supervisors.partition(|id| self.keys.contains_key(id));
        let list = |ids: Vec<&SignerId>| ids.iter().map(|id| id.as_str()).collect::<Vec<_>>().join(", ");
        Err(BundleError::NoSupervisorsKey {
            by: self.by.to_string(),
            not_taken: self
                .done
                .not_taken
                .iter()
                .map(|why| format!("\n  {why}"))
                .collect(),
            with: list(with),
            without: list(without),
        }
        .into())
    }
}

/// What is known of a shop before anything is written.
fn told(report: &ShopReport, roster: &Roster, place: &Path, was_there: bool) -> Restored {
    let open = report
        .jobs
        .iter()
        .filter(|(_, job)| job.standing == Standing::Open);
    Restored {
        place: place.to_owned(),
        was_there,
        shop: roster.shop().to_owned(),
        root: roster.root_fingerprint(),
        tablets: None,
        jobs: report.jobs.len(),
        open: open.map(|(number, _)| number.clone()).collect(),
        without_key: Vec::new(),
        not_taken: Vec::new(),
    }
}

/// The roster of a bundle; none where it does not hold, which verifying the bundle tells in full.
fn roster_of(bundle: &Folder) -> Result<Option<Roster>, SessionError> {
    let lines = bundle.reader("roster.jsonl")?;
    Ok(lines.and_then(|lines| Roster::replay(lines).ok()))
}

/// Anyone can sign a whole shop anew; only the root's fingerprint shows whose it is.
fn expect_root(bundle: &Folder, given: Option<&str>) -> Result<(), SessionError> {
    let Some(roster) = roster_of(bundle)? else {
        return Ok(());
    };
    let found = roster.root_fingerprint();
    match given.map(str::trim) {
        Some(given) if given == found => Ok(()),
        Some(given) => Err(BundleError::OtherRoot {
            found,
            given: given.to_owned(),
        }
        .into()),
        None => Err(BundleError::RootNotGiven {
            shop: roster.shop().to_owned(),
            found,
        }
        .into()),
    }
}

/// Whether the bundle's own shop stands in the place, with all that the bundle has.
fn stands(bundle: &Folder, manifest: &Manifest, place: &Path) -> Result<bool, SessionError> {
    if !place.join("roster.jsonl").exists() {
        return Ok(false);
    }
    let here = Folder::open(place)?;
    let mut relations = Vec::new();
    for (path, _) in manifest
        .files()
        .filter(|(path, _)| !path.contains('/') && path.ends_with(".jsonl"))
    {
        relations.push(of_lines(bundle, &here, path, path)?);
    }
    for number in manifest.jobs() {
        relations.push(of_jobs(
            bundle,
            manifest,
            &number,
            &here,
            &format!("jobs/{number}"),
        )?);
    }
    if relations
        .iter()
        .all(|relation| matches!(relation, Relation::Same | Relation::Older))
    {
        Ok(true)
    } else {
        Err(BundleError::ShopInPlace(place.to_owned()).into())
    }
}

/// A key file that is locked and whose key the roster knows now; otherwise why it is not taken.
fn fits(bytes: Vec<u8>, known: Option<&crate::seal::PublicKey>) -> Result<Zeroizing<String>, String> {
    let text = String::from_utf8(bytes).map_err(|_| "it is no key file".to_owned())?;
    let text = Zeroizing::new(text);
    match SigningKey::from_openssh(&text, None) {
        Err(KeyError::PassphraseNeeded) => {}
        Ok(_) => return Err("it is not locked with a passphrase".to_owned()),
        Err(error) => return Err(error.to_string()),
    }
    match SigningKey::public_of(&text) {
        Ok(public) if Some(&public) == known => Ok(text),
        Ok(_) => Err("it is not the key that the roster has for them now".to_owned()),
        Err(error) => Err(error.to_string()),
    }
}
