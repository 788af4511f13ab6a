//! The power is cut at every step of a change of keys: the old key or the new one is in force, never none.

use super::tests::{INES, PASSPHRASE, Place, TOMASZ, content, copy, expect_whole, plan, world};
use super::{Content, Session, World, found};
use crate::disk::power;
use chrono::{DateTime, FixedOffset, TimeDelta};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

const NEW: &str = "teal washers, seven of them";

fn shop() -> (Place, Content) {
    let (content, instruments) = content();
    let shop = Place::new();
    found(&shop.0, &plan(instruments), &content, &world()).expect("a shop");
    (shop, content)
}

fn open(shop: &Place, content: &Content) -> Session {
    Session::open(&shop.0, content.clone(), world()).expect("a shop")
}

fn opens(session: &mut Session, id: &str, passphrase: &str) -> bool {
    session.sign_on_with(id, passphrase).is_ok()
}

/// Cuts the power after 0, 1, 2 … steps of a change by Tomasz. Afterwards exactly one of both passphrases of `id`
/// opens a key that the roster knows, and the shop is whole.
fn cut_everywhere(id: &str, change: impl Fn(&mut Session) -> Result<(), super::SessionError>) {
    let (shop, content) = shop();
    for steps in 0..200 {
        let place = Place::new();
        copy(&shop.0, &place.0);
        let mut session = open(&place, &content);
        session.sign_on_with(TOMASZ, PASSPHRASE).expect("signed on");
        power::cut_after(steps);
        let done = change(&mut session);
        power::restore();
        drop(session);

        let mut session = open(&place, &content);
        let (old, new) = (opens(&mut session, id, PASSPHRASE), opens(&mut session, id, NEW));
        assert!(old != new, "after {steps} steps: old {old}, new {new}");
        assert!(new || done.is_err(), "after {steps} steps the change is gone");
        expect_whole(&session, steps);
        let left = std::fs::read_dir(place.0.join("keys")).expect("keys").count();
        assert_eq!(left, 3, "after {steps} steps");
        if done.is_ok() {
            assert!(steps > 5, "so few steps cannot be a change");
            return;
        }
    }
    panic!("200 steps were not enough");
}

#[test]
fn a_rotation_outlives_a_power_cut_at_any_step() {
    cut_everywhere(INES, |session| {
        session.rotate(INES, PASSPHRASE, NEW, "in its time")
    });
    cut_everywhere(TOMASZ, |session| {
        session.rotate(TOMASZ, PASSPHRASE, NEW, "in its time")
    });
}

#[test]
fn a_lost_key_outlives_a_power_cut_at_any_step() {
    cut_everywhere(INES, |session| session.replace_lost(INES, NEW, "forgotten"));
}

#[test]
fn a_new_passphrase_outlives_a_power_cut_at_any_step() {
    cut_everywhere(INES, |session| session.change_passphrase(INES, PASSPHRASE, NEW));
}

/// The tablet's key is rotated, and the shop opens with the one that the roster knows.
#[test]
fn a_tablets_rotation_outlives_a_power_cut_at_any_step() {
    let (shop, content) = shop();
    for steps in 0..200 {
        let place = Place::new();
        copy(&shop.0, &place.0);
        let mut session = open(&place, &content);
        session.sign_on_with(TOMASZ, PASSPHRASE).expect("signed on");
        power::cut_after(steps);
        let done = session.rotate_tablet("in its time");
        power::restore();
        drop(session);
        let mut session = open(&place, &content);
        session.sign_on_with(INES, PASSPHRASE).expect("signed on");
        session.start("cut-out", false).expect("the ledger is signed");
        expect_whole(&session, steps);
        if done.is_ok() {
            return;
        }
    }
    panic!("200 steps were not enough");
}

/// An open job gets the roster with whoever signs in it from now on, though the power was cut before it had it.
#[test]
fn an_open_job_has_the_roster_after_a_power_cut_at_any_step() {
    let stage = super::tests::Stage::new(false);
    let mut session = stage.open(&stage.shop.0).expect("a session");
    session.start("cut-out", false).expect("a job");
    stage.next(&mut session).expect("a card");
    drop(session);
    for steps in 0..200 {
        let place = stage.copy();
        let mut session =
            Session::open(&place.0, stage.content.clone(), super::tests::world()).expect("a session");
        session.sign_on_with(TOMASZ, PASSPHRASE).expect("signed on");
        power::cut_after(steps);
        let done = session.rotate(INES, PASSPHRASE, NEW, "in its time");
        power::restore();
        drop(session);
        let mut session =
            Session::open(&place.0, stage.content.clone(), super::tests::world()).expect("a session");
        let passphrase = if opens(&mut session, INES, NEW) {
            NEW
        } else {
            PASSPHRASE
        };
        session.sign_on_with(INES, passphrase).expect("signed on");
        let number = session.jobs()[0].number.clone();
        session.resume(&number).expect("resumed");
        stage.next(&mut session).expect("it goes on");
        expect_whole(&session, steps);
        if done.is_ok() {
            assert!(steps > 10, "so few steps cannot be a change");
            return;
        }
    }
    panic!("200 steps were not enough");
}

/// A clock that fell back to its beginning is told as what it is, and the shop opens once it is set.
#[test]
fn a_clock_behind_the_tablets_key_is_told() {
    let (shop, content) = shop();
    let fell_back = || "2000-01-01T00:00:00+01:00".parse().expect("a time");
    let error = Session::open(&shop.0, content.clone(), World::with_clock(fell_back, 1)).expect_err("told");
    let said = format!("{error}; {}", error.hint());
    assert!(
        said.contains("clock says 1999-12-31 23:00") && said.contains("Set this machine's clock"),
        "{said}"
    );
    open(&shop, &content);
}

/// The last entry may be of the open job or, once that is left, of the ledger.
#[test]
fn a_clock_that_was_set_back_is_told() {
    let (shop, content) = shop();
    let start: DateTime<FixedOffset> = "2027-03-02T08:00:00+01:00".parse().expect("a time");
    let seconds = Arc::new(AtomicI64::new(0));
    let clock = Arc::clone(&seconds);
    let now = move || start + TimeDelta::seconds(clock.load(Ordering::Relaxed));
    let mut session = Session::open(&shop.0, content, World::with_clock(now, 1)).expect("a session");
    session.sign_on_with(INES, PASSPHRASE).expect("signed on");
    assert_eq!(session.clock_behind(), None);
    session.start("cut-out", false).expect("a job");
    assert_eq!(session.clock_behind(), None);
    for leave in [false, true] {
        if leave {
            session.leave_job();
        }
        seconds.store(-5, Ordering::Relaxed);
        assert_eq!(session.clock_behind(), None, "left: {leave}");
        seconds.store(-6, Ordering::Relaxed);
        assert!(session.clock_behind().is_some(), "left: {leave}");
    }
}
