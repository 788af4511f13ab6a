//! The old tablet is gone: its shop goes on from a bundle on another one, or nothing is written and it is told why.

use std::fs;
use std::path::{Path, PathBuf};

use chrono::{Local, TimeDelta};
use witnessmark::audit::verify_shop;
use witnessmark::people::Ledger;
use witnessmark::seal::{KeySalt, SigningKey};
use witnessmark::session::bundle::{ExportPlan, RestorePlan, Restored, Restoring};
use witnessmark::session::verify::verify;
use witnessmark::session::{Content, Session, SessionError, World, found, roster, unlock};

use crate::scratch::Scratch;
use crate::worker::{self, INES, PASSPHRASE, TOMASZ};

/// A shop with a closed job, one that is open in its middle and a practice run, and the fingerprint of its root.
struct Old {
    scratch: Scratch,
    content: Content,
    root: String,
    session: Session,
}

fn world() -> World {
    World::real().with_rounds(1)
}

fn tomasz(session: &Session) -> SigningKey {
    unlock(&session.key_file(TOMASZ).expect("a key"), PASSPHRASE).expect("opened")
}

fn play(session: &mut Session, events: usize) {
    let key = tomasz(session);
    for _ in 0..events {
        if session.job().expect("a job").state().closed() {
            return;
        }
        worker::next(session, &key).expect("it goes on");
    }
}

fn old() -> Old {
    let scratch = Scratch::new();
    fs::create_dir(scratch.path().join("stick")).expect("a folder");
    let (content, register) = worker::content();
    // The clock is the real one, so no calibration may lapse; one gauge has its certificate's photograph.
    let register = register.replace("due: 2026-", "due: 2999-").replacen(
        "due: 2999-08-31",
        "due: 2999-08-31\n    certificate: PG-3.jpg",
        1,
    );
    let folder = scratch.path().join("from");
    // A key cannot end in the second in which it began, and this machine may be quick.
    let earlier = World::with_clock(|| Local::now().fixed_offset() - TimeDelta::seconds(2), 1);
    let root = found(&folder, &worker::plan(register), &content, &earlier).expect("a shop");
    fs::create_dir(folder.join("certificates")).expect("a folder");
    fs::write(folder.join("certificates/PG-3.jpg"), "a photograph").expect("written");
    let mut session = Session::open(&folder, content.clone(), world()).expect("a session");
    session.sign_on_with(INES, PASSPHRASE).expect("signed on");
    for (practice, events) in [(false, 100), (true, 5), (false, 6)] {
        session.start("cut-out", practice).expect("a job");
        play(&mut session, events);
    }
    Old {
        scratch,
        content,
        root,
        session,
    }
}

impl Old {
    fn bundle(&self, keys: bool) -> PathBuf {
        let plan = ExportPlan {
            keys,
            personal: true,
            ..ExportPlan::default()
        };
        let done = self.session.export(&plan, &self.scratch.path().join("stick"));
        done.expect("a bundle").place
    }

    fn plan(&self) -> RestorePlan {
        RestorePlan {
            root: Some(self.root.clone()),
            by: TOMASZ.into(),
            keys: None,
            reason: "the tablet fell into the pit".into(),
        }
    }

    fn place(&self) -> PathBuf {
        self.scratch.path().join("new tablet/shop")
    }

    fn restore(&self, bundle: &Path, plan: &RestorePlan) -> Result<Restored, SessionError> {
        let looked = Restoring::look(bundle, &self.place(), plan, Local::now().to_utc())?;
        match looked.stands() {
            Some(done) => Ok(done.clone()),
            None => looked.restore(PASSPHRASE, &world()),
        }
    }

    /// Why nothing was restored; and nothing was.
    fn refused(&self, bundle: &Path, plan: &RestorePlan) -> String {
        let error = self.restore(bundle, plan).expect_err("refused");
        let left = fs::read_dir(self.place().parent().expect("a parent")).map_or(0, Iterator::count);
        assert_eq!(left, 0, "{error}");
        format!("{error}\n{}", error.hint())
    }

    fn open(&self) -> Session {
        Session::open(&self.place(), self.content.clone(), world()).expect("a session")
    }

    /// The shop is whole, and its root is the one that was known before.
    fn expect_whole(&self) {
        let folder = witnessmark::disk::Folder::open(&self.place()).expect("a folder");
        let report = verify_shop(&folder, Some(&self.root), None, &mut |_, _| {});
        assert!(report.whole() && report.anchored, "{}", report.to_text());
        for checked in verify(&self.place(), Some(&self.root)).expect("verified") {
            assert!(
                checked.report.whole(),
                "{}: {}",
                checked.place,
                checked.report.to_text()
            );
        }
    }
}

fn lines(shop: &Path, file: &str) -> String {
    fs::read_to_string(shop.join(file)).expect("lines")
}

/// With people's keys in the bundle, the open job goes on at its step, is closed by the new tablet, and everything
/// that was signed before stands at the beginning of everything that is signed after.
#[test]
fn a_shop_goes_on_from_its_bundle_on_another_tablet() {
    let old = old();
    let bundle = old.bundle(true);
    let (open, before) = (
        old.session.job().expect("a job").number().to_owned(),
        old.session.tablet().to_string(),
    );
    let prompt = old.session.job().map(|job| job.state().prompt());
    let done = old.restore(&bundle, &old.plan()).expect("restored");
    let tablets = done.tablets.clone().expect("tablets");
    assert_eq!(
        (done.was_there, done.root.as_str(), done.jobs),
        (false, old.root.as_str(), 3)
    );
    assert_eq!(
        (tablets.ended.as_deref(), &done.open),
        (Some(before.as_str()), &vec![open.clone()])
    );
    assert!(done.without_key.is_empty() && done.not_taken.is_empty() && tablets.others.is_empty());
    old.expect_whole();

    let mut session = old.open();
    assert_eq!(session.tablet().as_str(), tablets.new);
    assert_eq!(session.jobs(), old.session.jobs());
    session.sign_on_with(INES, PASSPHRASE).expect("signed on");
    session.resume(&open).expect("resumed");
    assert_eq!(session.job().map(|job| job.state().prompt()), prompt);
    old.expect_whole();
    play(&mut session, 100);
    assert!(session.job().expect("the job").state().closed());
    let number = session.start("cut-out", false).expect("another job");
    assert!(number > open, "{number}");
    play(&mut session, 100);
    old.expect_whole();

    for file in ["ledger.jsonl", "roster.jsonl"] {
        let (was, is) = (lines(&bundle, file), lines(&old.place(), file));
        assert!(is.starts_with(&was) && is.len() > was.len(), "{file}");
    }
    let people = roster(&old.place()).expect("a roster");
    let ended = people
        .holder(&before.parse().expect("an id"))
        .expect("the old tablet");
    assert!(ended.retired().is_some());
    let ledger = fs::read(old.place().join("ledger.jsonl")).expect("a ledger");
    let ledger = Ledger::replay(ledger.as_slice(), &people).expect("whole");
    assert!(ledger.jobs().all(|job| job.closed.is_some()) && ledger.jobs().count() == 3);
    assert!(
        !old.place().join("keys").join(before).exists() && old.place().join("certificates/PG-3.jpg").exists()
    );
    #[cfg(unix)]
    for file in ["keys", "keys/ines.varga", &format!("jobs/{open}/personal.json")] {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(old.place().join(file))
            .expect("there")
            .permissions()
            .mode();
        assert_eq!(mode & 0o077, 0, "{file}");
    }
}

/// A second time finds the shop in its place, also when it went on; a shop that is there is never overwritten.
#[test]
fn restoring_twice_changes_nothing_and_another_shop_stays() {
    let old = old();
    let bundle = old.bundle(true);
    old.restore(&bundle, &old.plan()).expect("restored");
    let mut session = old.open();
    session.sign_on_with(INES, PASSPHRASE).expect("signed on");
    session.start("cut-out", false).expect("a job");
    drop(session);
    let roster = lines(&old.place(), "roster.jsonl");
    let again = old.restore(&bundle, &old.plan()).expect("it stands there");
    assert!(again.was_there && again.tablets.is_none());
    assert_eq!(lines(&old.place(), "roster.jsonl"), roster);

    // The old tablet went on as well: its later bundle is of another shop now.
    let mut went_on = old;
    went_on.session.start("cut-out", false).expect("a job");
    let later = went_on.bundle(true);
    let said = went_on
        .restore(&later, &went_on.plan())
        .expect_err("refused")
        .to_string();
    assert!(
        said.contains("another shop") && said.contains("new tablet/shop"),
        "{said}"
    );
    assert_eq!(lines(&went_on.place(), "roster.jsonl"), roster);

    // Nor is anything else that stands in the place.
    let file = went_on.place().join("ledger.jsonl");
    fs::remove_dir_all(went_on.place()).expect("removed");
    fs::create_dir(went_on.place()).expect("a folder");
    fs::write(&file, "mine").expect("written");
    let said = went_on
        .restore(&bundle, &went_on.plan())
        .expect_err("refused")
        .to_string();
    assert!(
        said.contains("make the folder") && fs::read(&file).expect("there") == b"mine",
        "{said}"
    );
    fs::remove_file(file).expect("removed");
    went_on
        .restore(&bundle, &went_on.plan())
        .expect("into an empty folder");
    went_on.expect_whole();
}

/// Without keys in the bundle, a supervisor's key file comes by another way, and gives the others new ones.
#[test]
fn a_bundle_without_keys_wants_a_supervisors_key() {
    let old = old();
    let bundle = old.bundle(false);
    let said = old.refused(&bundle, &old.plan());
    for part in [
        "no key of tomasz.okafor",
        "supervisors of this shop are tomasz.okafor",
        "--keys",
        "found a new one",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let keys = old.scratch.path().join("backup");
    fs::create_dir(&keys).expect("a folder");
    let plan = RestorePlan {
        keys: Some(keys.clone()),
        ..old.plan()
    };
    let other = SigningKey::generate(&[9; 32]);
    let salt = KeySalt::from_random([7; 20]);
    for (text, says) in [
        (
            tomasz(&old.session).to_openssh_unlocked().expect("text"),
            "not locked",
        ),
        (
            other.to_openssh_encrypted(PASSPHRASE, 1, salt).expect("text"),
            "not the key that the roster has",
        ),
        ("no key".to_owned().into(), "backup/tomasz.okafor"),
    ] {
        fs::write(keys.join(TOMASZ), text.as_bytes()).expect("written");
        let said = old.refused(&bundle, &plan);
        assert!(said.contains("no key of") && said.contains(says), "{said}");
    }
    fs::copy(
        old.scratch.path().join("from/keys").join(TOMASZ),
        keys.join(TOMASZ),
    )
    .expect("copied");
    let done = old.restore(&bundle, &plan).expect("restored");
    assert_eq!(done.without_key, [(INES.to_owned(), "Ines Varga".to_owned())]);
    old.expect_whole();

    let mut session = old.open();
    let said = session
        .sign_on_with(INES, PASSPHRASE)
        .expect_err("no key")
        .to_string();
    assert!(said.contains("no key of ines.varga"), "{said}");
    session.sign_on_with(TOMASZ, PASSPHRASE).expect("signed on");
    session
        .replace_lost(
            INES,
            "olive sleeve, pressed once",
            "its key was on the old tablet",
        )
        .expect("a new key");
    session
        .sign_on_with(INES, "olive sleeve, pressed once")
        .expect("signed on");
    session.resume(&done.open[0]).expect("resumed");
    play(&mut session, 100);
    assert!(session.job().expect("the job").state().closed());
    old.expect_whole();
}

#[test]
fn what_is_not_this_shop_whole_is_not_restored() {
    let mut old = old();
    let bundle = old.bundle(true);
    let none = RestorePlan {
        root: None,
        ..old.plan()
    };
    let said = old.refused(&bundle, &none);
    assert!(
        said.contains(&old.root) && said.contains("Compare it") && said.contains("--root"),
        "{said}"
    );
    let wrong = RestorePlan {
        root: Some("SHA256:another".into()),
        ..old.plan()
    };
    let said = old.refused(&bundle, &wrong);
    assert!(
        said.contains("not SHA256:another") && said.contains("do not use it"),
        "{said}"
    );
    let nobody = RestorePlan {
        by: "tomasz.okafer".into(),
        ..old.plan()
    };
    assert!(
        old.refused(&bundle, &nobody)
            .contains("Did you mean tomasz.okafor?")
    );
    let apprentice = RestorePlan {
        by: INES.into(),
        ..old.plan()
    };
    assert!(old.refused(&bundle, &apprentice).contains("no supervisor"));
    let early = Restoring::look(
        &bundle,
        &old.place(),
        &old.plan(),
        Local::now().to_utc() - TimeDelta::days(1),
    );
    let said = early.expect_err("refused").to_string();
    assert!(said.contains("this machine's clock"), "{said}");
    let looked = Restoring::look(&bundle, &old.place(), &old.plan(), Local::now().to_utc()).expect("whole");
    let said = looked
        .restore("not the passphrase", &world())
        .expect_err("refused")
        .to_string();
    assert!(said.contains("does not open"), "{said}");
    for file in [
        "roster.jsonl",
        "ledger.jsonl",
        "keys/tomasz.okafor",
        "certificates/PG-3.jpg",
    ] {
        let whole = fs::read(bundle.join(file)).expect("a file");
        let mut altered = whole.clone();
        altered[whole.len() / 2] ^= 1;
        fs::write(bundle.join(file), altered).expect("written");
        let said = old.refused(&bundle, &old.plan());
        assert!(
            said.contains("not whole") && said.contains(file),
            "{file}: {said}"
        );
        fs::write(bundle.join(file), whole).expect("written");
    }
    let some = ExportPlan {
        jobs: vec![old.session.jobs()[0].number.clone()],
        ..ExportPlan::default()
    };
    let some = old
        .session
        .export(&some, &old.scratch.path().join("stick"))
        .expect("a bundle")
        .place;
    assert!(
        old.refused(&some, &old.plan())
            .contains("does not hold all of its shop")
    );
    old.session.sign_off_person();
    old.restore(&bundle, &old.plan()).expect("restored after all");
}

#[test]
fn the_command_line_restores_and_says_what_to_do_next() {
    let old = old();
    let bundle = old.bundle(true).display().to_string();
    let run = |arguments: &[&str]| {
        old.scratch.write("secret", format!("{PASSPHRASE}\n"));
        let program = env!("CARGO_BIN_EXE_witnessmark");
        let line =
            format!("'{program}' --shop tablet restore \"$@\" --by tomasz.okafor --passphrase-fd 3 3<secret");
        let done = old
            .scratch
            .run("sh", &[&["-c", &line, "sh"], arguments].concat(), b"");
        (
            done.status.code(),
            String::from_utf8_lossy(&[done.stdout, done.stderr].concat()).into_owned(),
        )
    };
    let (code, said) = run(&[&bundle]);
    assert!(code == Some(2) && said.contains(&old.root), "{said}");
    let (code, said) = run(&[&bundle, "--root", "SHA256:another"]);
    assert!(code == Some(1) && said.contains("not SHA256:another"), "{said}");
    let (code, said) = run(&[&bundle, "--root", &old.root]);
    let parts = [
        "3 jobs, verified",
        "is open and goes on",
        "ended now",
        "people rotate --by tomasz.okafor",
    ];
    assert!(
        code == Some(0) && parts.iter().all(|part| said.contains(part)),
        "{said}"
    );
    let (code, said) = run(&[&bundle, "--root", &old.root]);
    assert!(code == Some(0) && said.contains("nothing was done"), "{said}");
    let (code, said) = run(&[&bundle, "--root", &old.root, "--json"]);
    assert!(code == Some(0) && said.contains("\"was_there\":true"), "{said}");
}
