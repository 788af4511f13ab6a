//! The power is cut, or the stick pulled, at every step of an export, of an import and of a restoring; then the same
//! again.
#![allow(clippy::disallowed_methods)]

use super::{Arrival, ExportPlan, ImportPlan, RestorePlan, Restored, Restoring};
use crate::disk::power;
use crate::session::tests::{PASSPHRASE, Place, STRIDE, Stage, TOMASZ, copy, world};
use crate::session::verify::verify;
use crate::session::{Session, SessionError};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// More steps than any of these takes.
const MOST_STEPS: u32 = 2_000;

fn all() -> ExportPlan {
    ExportPlan {
        personal: true,
        keys: true,
        ..ExportPlan::default()
    }
}

/// A folder that stands for a stick.
fn stick() -> Place {
    let place = Place::new();
    std::fs::create_dir(&place.0).expect("a folder");
    place
}

/// A shop whose one job came to its card, and the same shop when the job was closed, each as a bundle.
fn bundles(stage: &Stage) -> [(Place, PathBuf); 2] {
    let shop = stage.copy();
    let mut session = stage.open(&shop.0).expect("a session");
    session.start("cut-out", false).expect("a job");
    let export = |session: &Session| {
        let stick = stick();
        let done = session.export(&all(), &stick.0).expect("a bundle");
        (stick, done.place)
    };
    stage.next(&mut session).expect("a card");
    let open = export(&session);
    stage.play(&mut session, &mut 0).expect("a whole job");
    [open, export(&session)]
}

fn import(session: &mut Session, bundle: &Path) -> Result<Vec<Arrival>, SessionError> {
    let done = session.import(bundle, &ImportPlan::default())?;
    Ok(done.jobs.into_iter().map(|(_, arrival)| arrival).collect())
}

fn expect_whole(folder: &Path, when: &str) {
    for checked in verify(folder, None).expect("verified") {
        assert!(
            checked.report.whole(),
            "{when}: {}: {}",
            checked.place,
            checked.report.to_text()
        );
    }
}

/// The names of a folder; temporary ones among them if `all`.
fn names(folder: &Path, all: bool) -> Vec<String> {
    let Ok(found) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let names = found.map(|entry| {
        entry
            .expect("an entry")
            .file_name()
            .to_string_lossy()
            .into_owned()
    });
    names.filter(|name| all || !name.starts_with('.')).collect()
}

/// Every file below a folder with its bytes.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for name in names(folder, true) {
        let path = folder.join(name);
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.insert(path.clone(), std::fs::read(&path).expect("a file"));
        }
    }
    found
}

#[test]
fn an_export_outlives_a_pulled_stick_at_any_step() {
    let stage = Stage::new(false);
    let shop = stage.copy();
    let mut session = stage.open(&shop.0).expect("a session");
    stage.play(&mut session, &mut 0).expect("a whole job");
    for steps in (0..MOST_STEPS).step_by(STRIDE) {
        let stick = stick();
        power::cut_after(steps);
        let cut = session.export(&all(), &stick.0);
        power::restore();
        let when = format!("after {steps} steps");
        let there = names(&stick.0, false);
        assert!(
            there.len() <= 1 && (cut.is_err() || there.len() == 1),
            "{when}: {there:?}"
        );
        for name in &there {
            expect_whole(&stick.0.join(name), &when);
        }
        let again = session
            .export(&all(), &stick.0)
            .unwrap_or_else(|error| panic!("{when}: {error}"));
        assert_eq!(names(&stick.0, true).len(), 1, "{when}: something is left");
        expect_whole(&again.place, &when);
        assert_eq!(again.was_there, there.len() == 1, "{when}");
        if cut.is_ok() {
            assert!(steps > 50, "so few steps cannot be a whole export");
            return;
        }
    }
    panic!("{MOST_STEPS} steps were not enough");
}

#[test]
fn an_import_outlives_a_power_cut_at_any_step() {
    let [open, closed] = bundles(&Stage::new(false));
    let other = Stage::new(false);
    cut_import(&other, &other.shop.0, &closed.1, Arrival::New);
    let with_open = other.copy();
    let mut session = other.open(&with_open.0).expect("a session");
    assert_eq!(import(&mut session, &open.1).expect("taken in"), [Arrival::New]);
    assert_eq!(import(&mut session, &open.1).expect("taken in"), [Arrival::Here]);
    drop(session);
    let done = cut_import(&other, &with_open.0, &closed.1, Arrival::TookLonger);
    let mut session = other.open(&done.0).expect("a session");
    assert_eq!(
        import(&mut session, &open.1).expect("taken in"),
        [Arrival::HereLonger]
    );
}

/// Imports a bundle into copies of a shop with the power cut at every step; gives the last copy.
fn cut_import(stage: &Stage, shop: &Path, bundle: &Path, expected: Arrival) -> Place {
    let before: Vec<Vec<u8>> = files(shop).into_values().collect();
    for steps in (0..MOST_STEPS).step_by(STRIDE) {
        let place = Place::new();
        copy(shop, &place.0);
        let mut session = stage.open(&place.0).expect("a session");
        power::cut_after(steps);
        let cut = import(&mut session, bundle);
        power::restore();
        drop(session);
        let when = format!("{expected:?} after {steps} steps");
        expect_whole(&place.0, &when);
        let mut session = stage
            .open(&place.0)
            .unwrap_or_else(|error| panic!("{when}: {error}"));
        import(&mut session, bundle).unwrap_or_else(|error| panic!("{when}: {error}"));
        assert_eq!(
            import(&mut session, bundle).expect("again"),
            [Arrival::Here],
            "{when}"
        );
        expect_whole(&place.0, &when);
        let after = files(&place.0);
        assert!(
            !after.keys().any(|path| path.to_string_lossy().contains("/.new-")),
            "{when}"
        );
        let kept = |bytes: &Vec<u8>| after.values().any(|found| found == bytes);
        let lines = |bytes: &&Vec<u8>| !after.values().any(|found| found.starts_with(bytes));
        assert_eq!(
            before.iter().filter(lines).find(|bytes| !kept(bytes)),
            None,
            "{when}: bytes are lost"
        );
        if let Ok(arrivals) = cut {
            assert_eq!(arrivals, [expected]);
            assert!(steps > 50, "so few steps cannot be a whole import");
            return place;
        }
    }
    panic!("{MOST_STEPS} steps were not enough");
}

fn restore(bundle: &Path, place: &Path, root: &str) -> Result<Restored, SessionError> {
    let plan = RestorePlan {
        root: Some(root.to_owned()),
        by: TOMASZ.to_owned(),
        keys: None,
        reason: "The tablet is gone.".to_owned(),
    };
    let world = world();
    let looked = Restoring::look(bundle, place, &plan, world.now().to_utc())?;
    match looked.stands() {
        Some(done) => Ok(done.clone()),
        None => looked.restore(PASSPHRASE, &world),
    }
}

#[test]
fn a_restoring_outlives_a_power_cut_at_any_step() {
    let stage = Stage::new(false);
    let [open, _closed] = bundles(&stage);
    let root = stage.open(&stage.shop.0).expect("a session").root_fingerprint();
    for steps in (0..MOST_STEPS).step_by(STRIDE) {
        let place = Place::new();
        power::cut_after(steps);
        let cut = restore(&open.1, &place.0, &root);
        power::restore();
        let when = format!("after {steps} steps");
        if place.0.exists() {
            expect_whole(&place.0, &when);
        } else {
            assert!(cut.is_err(), "{when}: it is gone");
        }
        let there = place.0.exists();
        let again = restore(&open.1, &place.0, &root).unwrap_or_else(|error| panic!("{when}: {error}"));
        assert_eq!(again.was_there, there, "{when}");
        let name = place
            .0
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let beside = place.0.with_file_name(format!(".new-{name}"));
        assert!(!beside.exists(), "{when}: something is left");
        expect_whole(&place.0, &when);
        if steps % 13 == 0 || cut.is_ok() {
            let mut session = stage.open(&place.0).expect("a session");
            stage.play(&mut session, &mut 0).expect("it goes on");
            expect_whole(&place.0, &when);
        }
        if cut.is_ok() {
            assert!(steps > 50, "so few steps cannot be a whole shop");
            return;
        }
    }
    panic!("{MOST_STEPS} steps were not enough");
}
