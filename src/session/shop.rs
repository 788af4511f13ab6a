//! An open shop: its people, its jobs, who is signed on, and the job on the screen.

use super::clock::World;
use super::error::{SessionError, broken};
use super::job::OpenJob;
use super::memory::Memory;
use super::settings::Settings;
use super::shipped::Content;
use crate::disk;
use crate::people::{Approvals, Ledger, Role, Roster};
use crate::player::{Actor, Play};
use crate::procedure::{self, Instrument};
use crate::say;
use crate::seal::{SignerId, SigningKey};
use crate::words::Words;
use std::path::Path;
use std::sync::Arc;

/// One shop on one tablet, locked for this instance.
#[derive(Debug)]
pub struct Session {
    pub(super) shop: disk::Shop,
    pub(super) roster: Roster,
    pub(super) ledger: Ledger,
    pub(super) approvals: Approvals,
    pub(super) tablet: (SignerId, SigningKey),
    pub(super) content: Content,
    pub(super) instruments: Vec<Instrument>,
    pub(super) instruments_text: Option<String>,
    pub(super) world: World,
    pub(super) signed_on: Option<(SignerId, SigningKey)>,
    pub(super) job: Option<OpenJob>,
    pub(super) settings: Settings,
    pub(super) memory: Memory,
    /// What start-up put right, for the screen.
    pub recovered: Vec<String>,
}

/// Opens a passphrase-locked key. It takes about half a second, so keep it off the screen's thread.
///
/// # Errors
/// The passphrase does not open it, or the file is no key.
pub fn unlock(key_file: &str, passphrase: &str) -> Result<SigningKey, SessionError> {
    Ok(SigningKey::from_openssh(key_file, Some(passphrase))?)
}

impl Session {
    /// Opens a shop and finishes what an interruption left.
    ///
    /// # Errors
    /// There is no shop, another instance has it, or its roster or ledger does not hold.
    pub fn open(folder: &Path, content: Content, world: World) -> Result<Self, SessionError> {
        if !folder.join("roster.jsonl").exists() {
            return Err(SessionError::NoShop);
        }
        let (mut shop, recovery) = disk::Shop::open(folder)?;
        if shop.roster().is_empty() {
            return Err(SessionError::NoShop);
        }
        let roster_bytes = read_log(shop.roster())?;
        let roster = Roster::replay(roster_bytes.as_slice()).map_err(|found| broken("roster", &found))?;
        let ledger = Ledger::open(shop.ledger().reader()?, &roster);
        let ledger = ledger.map_err(|found| broken("ledger", &found))?;
        let approvals = read_log(shop.approvals())?;
        let approvals =
            Approvals::replay(approvals.as_slice(), &roster).map_err(|found| broken("approvals", &found))?;
        settle_next_keys(&shop, &roster)?;
        let tablet = tablet_key(&shop, &roster, world.now().to_utc())?;
        let (settings, lost) = Settings::kept(&shop);
        let words = Words::program(&settings.language);
        let (memory, forgotten) = Memory::kept(&shop, &words);
        let instruments_text = shop.instruments()?;
        let instruments = register(instruments_text.as_deref())?;
        let mut session = Self {
            shop,
            roster,
            ledger,
            approvals,
            tablet,
            content,
            instruments,
            instruments_text,
            world,
            signed_on: None,
            job: None,
            recovered: recovered(&recovery, &words, lost.into_iter().chain(forgotten)),
            settings,
            memory,
        };
        session.finish_interrupted()?;
        session.hand_out_roster()?;
        Ok(session)
    }

    /// The shop's name.
    #[must_use]
    pub fn shop_name(&self) -> &str {
        self.roster.shop()
    }

    /// The root supervisor's fingerprint.
    #[must_use]
    pub fn root_fingerprint(&self) -> String {
        self.roster.root_fingerprint()
    }

    /// The content that new jobs are played from.
    #[must_use]
    pub fn content(&self) -> &Content {
        &self.content
    }

    /// Plays jobs that are opened from now on from this content. An open job keeps the content that it pinned.
    pub fn read_again(&mut self, content: Content) {
        self.content = content;
    }

    /// Now, by this session's clock.
    #[must_use]
    pub fn now(&self) -> chrono::DateTime<chrono::FixedOffset> {
        self.world.now()
    }

    /// A person's key file, to be opened with [`unlock`].
    ///
    /// # Errors
    /// There is no such person or no key of theirs on this tablet.
    pub fn key_file(&self, id: &str) -> Result<zeroize::Zeroizing<String>, SessionError> {
        let person = self.present(id)?;
        self.shop
            .key(&person)?
            .ok_or_else(|| SessionError::NoKey(id.to_owned()))
    }

    /// Signs a person on with their opened key.
    ///
    /// # Errors
    /// It is not the key that the roster knows as theirs now.
    pub fn sign_on(&mut self, id: &str, key: SigningKey) -> Result<(), SessionError> {
        let id = self.expect_key(id, &key)?;
        self.signed_on = Some((id, key));
        Ok(())
    }

    /// Signs on with a passphrase; blocks while the key is opened.
    ///
    /// # Errors
    /// As [`Session::sign_on`] and [`unlock`].
    pub fn sign_on_with(&mut self, id: &str, passphrase: &str) -> Result<(), SessionError> {
        let key = unlock(&self.key_file(id)?, passphrase)?;
        self.sign_on(id, key)
    }

    /// Nobody is signed on any more; the key is wiped. The job stays as it is.
    pub fn sign_off_person(&mut self) {
        self.signed_on = None;
    }

    /// Who is signed on: id and name.
    #[must_use]
    pub fn person(&self) -> Option<(String, String)> {
        let (id, _) = self.signed_on.as_ref()?;
        Some((id.to_string(), self.name_of(id.as_str())))
    }

    /// The actor behind a signer, with the roles that the roster gives now.
    pub(super) fn actor(&self, id: &SignerId) -> Actor {
        let at = self.world.now();
        let may = |role| self.roster.may(id, role, at.to_utc());
        Actor {
            id: id.to_string(),
            supervisor: may(Role::Supervisor),
            worker: may(Role::Apprentice) || may(Role::Fitter) || may(Role::Supervisor),
            tablet: *id == self.tablet.0,
            at,
        }
    }

    /// What a job of this slug plays.
    pub(super) fn play(&self, slug: &str) -> Result<Arc<Play>, SessionError> {
        let library = self.content.library()?;
        let job = library.jobs.iter().find(|job| job.id.as_str() == slug);
        let job = job.ok_or_else(|| SessionError::NoSuchJob(slug.to_owned()))?;
        let play = Play::new(
            job.clone(),
            library.shared.clone(),
            library.tables.clone(),
            self.instruments.clone(),
        );
        Ok(Arc::new(play))
    }

    /// The folder of the shop, for verifying.
    #[must_use]
    pub fn folder(&self) -> &disk::Folder {
        self.shop.folder()
    }
}

pub(super) fn shown(at: &chrono::DateTime<chrono::FixedOffset>) -> String {
    at.format("%Y-%m-%d %H:%M").to_string()
}

/// All bytes of a log.
pub(super) fn read_log(log: &disk::AppendLog) -> Result<Vec<u8>, SessionError> {
    let mut bytes = Vec::new();
    for line in log.lines()? {
        let line = line.map_err(|error| SessionError::Broken {
            file: "log".into(),
            what: error.to_string(),
        })?;
        let whole = line.whole()?;
        bytes.extend_from_slice(whole);
        bytes.push(b'\n');
    }
    Ok(bytes)
}

pub(super) fn register(text: Option<&str>) -> Result<Vec<Instrument>, SessionError> {
    text.map_or(Ok(Vec::new()), procedure::register)
        .map_err(|report| SessionError::Instruments(report.render()))
}

/// The key of this machine: of the tablet that joined last, where a copy of the folder brought an older one along.
fn tablet_key(
    shop: &disk::Shop,
    roster: &Roster,
    at: chrono::DateTime<chrono::Utc>,
) -> Result<(SignerId, SigningKey), SessionError> {
    let mut tablets: Vec<_> = roster
        .tablets()
        .filter_map(|tablet| Some((tablet.keys().first()?.from, tablet)))
        .collect();
    tablets.sort_by_key(|(from, _)| std::cmp::Reverse(*from));
    let mut early = None;
    for (_, tablet) in tablets {
        let Some(text) = shop.key(tablet.id())? else {
            continue;
        };
        let key = SigningKey::from_openssh(&text, None)?;
        if tablet.key_at(at) == Some(key.public()) {
            return Ok((tablet.id().clone(), key));
        }
        let span = tablet.keys().iter().find(|span| span.key == *key.public());
        early = early.or(span.map(|span| span.from).filter(|from| *from > at));
    }
    Err(
        early.map_or(SessionError::NoTablet, |from| SessionError::ClockBehind {
            now: shown(&at.into()),
            from: shown(&from.into()),
        }),
    )
}

/// An interruption may have come between a roster's line and the key file that it speaks of: the key that the
/// roster knows takes its place, and one that it does not know never was.
pub(super) fn settle_next_keys(shop: &disk::Shop, roster: &Roster) -> Result<(), SessionError> {
    for (id, text) in shop.next_keys()? {
        let known = roster.holder(&id).and_then(|holder| holder.keys().last());
        let next = SigningKey::public_of(&text).ok();
        if next.is_some() && known.map(|span| &span.key) == next.as_ref() {
            shop.take_next_key(&id)?;
        } else {
            shop.drop_next_key(&id)?;
        }
    }
    Ok(())
}

fn recovered(recovery: &disk::Recovery, words: &Words, lost: impl Iterator<Item = String>) -> Vec<String> {
    let torn = [
        ("ledger.jsonl", &recovery.ledger),
        ("roster.jsonl", &recovery.roster),
        ("approvals.jsonl", &recovery.approvals),
    ];
    let torn = torn.into_iter().filter_map(|(file, torn)| {
        torn.as_ref().map(|torn| {
            say!(
                words,
                "Unfinished bytes of {file} were moved aside ({hash}).",
                file = file,
                hash = torn.sha256
            )
        })
    });
    let cleared = recovery.cleared.iter().map(|job| {
        say!(
            words,
            "The unfinished opening of job {job} was cleared.",
            job = job
        )
    });
    torn.chain(cleared).chain(lost).collect()
}
