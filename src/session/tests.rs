//! The power is cut at every step of a whole job; the shop is opened again, and the job goes on to its end.

use super::{Content, Session, SessionError, World, found};
use crate::audit::verify_shop;
use crate::disk::power;
use crate::seal::SigningKey;
use chrono::{DateTime, FixedOffset, TimeDelta};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU32, Ordering};
use zeroize::Zeroizing;

#[path = "../../tests/cut_out/worker.rs"]
mod worker;

pub(super) use worker::{INES, PASSPHRASE, TOMASZ, content, plan};

/// A folder that is removed when the test ends.
pub(super) struct Place(pub(super) PathBuf);

impl Place {
    pub(super) fn new() -> Self {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let next = NEXT.fetch_add(1, Ordering::Relaxed);
        Self(std::env::temp_dir().join(format!("witnessmark-session-{}-{next}", std::process::id())))
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        power::restore();
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// A clock that goes on by a second each time it is looked at.
pub(super) fn world() -> World {
    let start: DateTime<FixedOffset> = "2026-03-02T08:00:00+01:00".parse().expect("a time");
    let seconds = Arc::new(AtomicI64::new(CLOCK.fetch_add(BETWEEN, Ordering::Relaxed)));
    World::with_clock(
        move || start + TimeDelta::seconds(seconds.fetch_add(1, Ordering::Relaxed)),
        1,
    )
}

/// Seconds from one session to the next: more than any looks at the clock, and so few that no calibration lapses
/// while all the tests of one process open theirs.
const BETWEEN: i64 = 2_000;

/// A later session has a later clock.
static CLOCK: AtomicI64 = AtomicI64::new(0);

/// What stays the same from one power cut to the next.
pub(super) struct Stage {
    pub(super) content: Content,
    pub(super) shop: Place,
    /// Unlocked, since a key cannot be copied.
    ines: Zeroizing<String>,
    tomasz: SigningKey,
    practice: bool,
}

impl Stage {
    pub(super) fn new(practice: bool) -> Self {
        let (content, instruments) = content();
        let plan = plan(instruments);
        let shop = Place::new();
        found(&shop.0, &plan, &content, &world()).expect("a shop");
        let session = Session::open(&shop.0, content.clone(), world()).expect("a session");
        let key = |id: &str| {
            super::shop::unlock(&session.key_file(id).expect("a key"), PASSPHRASE).expect("opened")
        };
        let (ines, tomasz) = (key(INES).to_openssh_unlocked().expect("text"), key(TOMASZ));
        drop(session);
        Self {
            content,
            shop,
            ines,
            tomasz,
            practice,
        }
    }

    /// A copy of the shop before its first job.
    pub(super) fn copy(&self) -> Place {
        let place = Place::new();
        copy(&self.shop.0, &place.0);
        place
    }

    pub(super) fn open(&self, folder: &Path) -> Result<Session, SessionError> {
        let mut session = Session::open(folder, self.content.clone(), world())?;
        session.sign_on(INES, SigningKey::from_openssh(&self.ines, None)?)?;
        Ok(session)
    }

    /// Plays on until the job is closed. Gives the number of entries that were acknowledged.
    pub(super) fn play(&self, session: &mut Session, seen: &mut u64) -> Result<(), SessionError> {
        if session.job().is_none() {
            match session.jobs().first().map(|job| job.number.clone()) {
                Some(number) => session.resume(&number)?,
                None => drop(session.start("cut-out", self.practice)?),
            }
        }
        for _ in 0..100 {
            let job = session.job().expect("a job");
            *seen = job.state().next_number();
            if job.state().closed() {
                return Ok(());
            }
            self.next(session)?;
        }
        panic!(
            "100 events were not enough: {:?}",
            session.job().map(|job| job.state().prompt())
        );
    }

    pub(super) fn next(&self, session: &mut Session) -> Result<(), SessionError> {
        worker::next(session, &self.tomasz)
    }
}

pub(super) fn copy(from: &Path, to: &Path) {
    std::fs::create_dir(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).expect("copied");
        }
    }
}

pub(super) fn expect_whole(session: &Session, steps: u32) {
    let report = verify_shop(session.folder(), None, None, &mut |_, _| {});
    assert!(report.whole(), "after {steps} steps:\n{}", report.to_text());
}

#[test]
fn a_job_outlives_a_power_cut_at_any_step() {
    power_cuts(false);
}

#[test]
fn a_practice_run_outlives_a_power_cut_at_any_step() {
    power_cuts(true);
}

/// Drawing certificates takes long without optimisation; the build without them cuts at every single step.
pub(super) const STRIDE: usize = if cfg!(feature = "certificate") { 7 } else { 1 };

fn power_cuts(practice: bool) {
    let stage = Stage::new(practice);
    for steps in (0..1_000_u32).step_by(STRIDE) {
        let shop = stage.copy();
        let mut seen = 0;
        power::cut_after(steps);
        let played = stage
            .open(&shop.0)
            .and_then(|mut session| stage.play(&mut session, &mut seen));
        power::restore();

        let mut session = stage
            .open(&shop.0)
            .unwrap_or_else(|error| panic!("after {steps} steps: {error}"));
        expect_whole(&session, steps);
        let number = session.jobs().first().map(|job| job.number.clone());
        assert!(
            number.is_some() || seen == 0,
            "after {steps} steps the job is gone"
        );
        if let Some(number) = number {
            session
                .resume(&number)
                .unwrap_or_else(|error| panic!("after {steps} steps: {error}"));
            let found = session.job().expect("the job").state().next_number();
            assert!(
                found >= seen,
                "after {steps} steps: {seen} entries were acknowledged, {found} are there"
            );
        }
        stage
            .play(&mut session, &mut seen)
            .unwrap_or_else(|error| panic!("after {steps} steps: {error}"));
        expect_whole(&session, steps);
        if played.is_ok() {
            assert!(steps > 100, "so few steps cannot be a whole job");
            return;
        }
    }
    panic!("1000 steps were not enough");
}

/// A shop is there whole or not at all, so that founding can be tried again.
#[test]
fn a_founding_outlives_a_power_cut_at_any_step() {
    let (content, instruments) = content();
    let plan = plan(instruments);
    for steps in 0..300 {
        let shop = Place::new();
        power::cut_after(steps);
        let founded = found(&shop.0, &plan, &content, &world());
        power::cut_after(u32::MAX);
        let again = match Session::open(&shop.0, content.clone(), world()) {
            Ok(_) => None,
            Err(SessionError::NoShop) => {
                assert!(founded.is_err(), "after {steps} steps the shop is gone");
                let again = found(&shop.0, &plan, &content, &world());
                Some(again.unwrap_or_else(|error| panic!("after {steps} steps: {error}")))
            }
            Err(error) => panic!("after {steps} steps: {error}"),
        };
        let session = Session::open(&shop.0, content.clone(), world()).expect("a shop");
        assert_eq!(session.people().len(), 2, "after {steps} steps");
        expect_whole(&session, steps);
        if let (Ok(root), None) = (&founded, &again) {
            assert_eq!(*root, session.root_fingerprint());
            return;
        }
    }
    panic!("300 steps were not enough");
}
