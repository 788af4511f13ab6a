//! Every change of people and keys, as a session makes it: stock ssh-keygen and ours agree on who could sign before
//! and after, and what is refused changes nothing.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use chrono::{DateTime, FixedOffset, TimeDelta};
use witnessmark::people::Role;
use witnessmark::player::Event;
use witnessmark::seal::{Namespace, Signers, SigningKey, instant, sign};
use witnessmark::session::{
    Content, PersonPlan, Session, SessionError, ShopPlan, World, found, give_tablet_key, roster, unlock,
    verify,
};

use crate::played_job;
use crate::scratch::Scratch;
use crate::shop::{INES, TOMASZ, at};

const OLENA: &str = "olena.marsh";
const SECRET: &str = "brass ferrule, twice";
const NEW: &str = "teal washers, seven of them";

/// A shop, and a clock that stands until it is moved.
struct Stage {
    scratch: Scratch,
    seconds: Arc<AtomicI64>,
    content: Content,
}

fn person(id: &str, name: &str, role: Role) -> PersonPlan {
    PersonPlan {
        id: id.into(),
        name: name.into(),
        roles: vec![role],
        passphrase: SECRET.to_owned().into(),
    }
}

impl Stage {
    fn new() -> Stage {
        let mut files = played_job::content();
        files.remove(witnessmark::audit::REGISTER);
        let stage = Stage {
            scratch: Scratch::new(),
            seconds: Arc::default(),
            content: Content::load(files).expect("whole content"),
        };
        let plan = ShopPlan {
            shop: "Alder Quay Motor Works".into(),
            root: person(TOMASZ, "Tomasz Okafor", Role::Supervisor),
            people: vec![person(INES, "Ines Varga", Role::Apprentice)],
            instruments: None,
        };
        found(&stage.folder(), &plan, &stage.content, &stage.world()).expect("a shop");
        stage.later(60);
        stage
    }

    fn folder(&self) -> PathBuf {
        self.scratch.path().join("shop")
    }

    fn world(&self) -> World {
        let seconds = self.seconds.clone();
        World::with_clock(
            move || at("09:00:00") + TimeDelta::seconds(seconds.load(Ordering::Relaxed)),
            1,
        )
    }

    fn later(&self, seconds: i64) {
        self.seconds.fetch_add(seconds, Ordering::Relaxed);
    }

    fn now(&self) -> DateTime<FixedOffset> {
        self.world().now()
    }

    fn session(&self) -> Session {
        Session::open(&self.folder(), self.content.clone(), self.world()).expect("a session")
    }

    /// The session of a supervisor who signs.
    fn signed_by(&self, id: &str) -> Session {
        let mut session = self.session();
        session.sign_on_with(id, SECRET).expect("signed on");
        session
    }

    fn key(&self, id: &str, passphrase: &str) -> SigningKey {
        let text = self.session().key_file(id).expect("a key file");
        unlock(&text, passphrase).expect("opened")
    }

    /// Whether stock ssh-keygen, and ours, take a signature of this key for this purpose at this moment.
    fn could_sign(
        &self,
        id: &str,
        key: &SigningKey,
        purpose: Namespace,
        when: DateTime<FixedOffset>,
    ) -> bool {
        let roster = roster(&self.folder()).expect("a roster");
        self.scratch
            .write("signers", roster.to_allowed_signers().to_string());
        self.scratch.write("sig", sign(key, purpose, b"a line"));
        let time = format!("verify-time={}", instant::format_utc(&when.to_utc()));
        let args = [
            "-Y",
            "verify",
            "-f",
            "signers",
            "-I",
            id,
            "-n",
            purpose.as_str(),
            "-s",
            "sig",
            "-O",
            &time,
        ];
        let stock = self.scratch.run("ssh-keygen", &args, b"a line").status.success();
        let id = id.parse().expect("an id");
        let ours = roster.check(&id, key.public(), purpose, when.to_utc()).is_ok();
        assert_eq!(ours, stock, "{id} for {purpose} at {when}");
        stock
    }

    /// From when until when, in seconds around `when`, the key could sign: each second is asked for.
    fn spans(
        &self,
        id: &str,
        key: &SigningKey,
        purpose: Namespace,
        when: DateTime<FixedOffset>,
    ) -> [bool; 3] {
        [-1, 0, 1].map(|offset| self.could_sign(id, key, purpose, when + TimeDelta::seconds(offset)))
    }

    /// Every file of the shop but what opening it writes.
    fn files(&self) -> BTreeMap<String, Vec<u8>> {
        let mut files = BTreeMap::new();
        for name in ["roster.jsonl", "ledger.jsonl", "approvals.jsonl"] {
            files.insert(
                name.to_owned(),
                std::fs::read(self.folder().join(name)).expect("a file"),
            );
        }
        for entry in std::fs::read_dir(self.folder().join("keys")).expect("keys") {
            let entry = entry.expect("an entry");
            let name = entry.file_name().to_string_lossy().into_owned();
            files.insert(name, std::fs::read(entry.path()).expect("a key"));
        }
        files
    }
}

#[test]
fn who_joins_signs_from_then_on_and_until_their_last_second() {
    let stage = Stage::new();
    let (joined, last) = (stage.now(), stage.now() + TimeDelta::seconds(3600));
    let plan = person(OLENA, "Olena Marsh", Role::Fitter);
    stage
        .signed_by(TOMASZ)
        .join_until(&plan, Some(last))
        .expect("joined");
    let key = stage.key(OLENA, SECRET);
    assert_eq!(
        stage.spans(OLENA, &key, Namespace::JobRecord, joined),
        [false, true, true]
    );
    assert_eq!(
        stage.spans(OLENA, &key, Namespace::JobRecord, last),
        [true, true, false]
    );
    assert!(!stage.could_sign(OLENA, &key, Namespace::ShopRoster, joined));
    stage.later(3601);
    let late = stage.session().sign_on_with(OLENA, SECRET).expect_err("too late");
    assert!(matches!(late, SessionError::NoPerson(_)), "{late}");
}

#[test]
fn who_left_signed_up_to_that_second() {
    let stage = Stage::new();
    let key = stage.key(INES, SECRET);
    let left = stage.now();
    stage
        .signed_by(TOMASZ)
        .retire(INES, "moved away")
        .expect("retired");
    assert_eq!(
        stage.spans(INES, &key, Namespace::JobRecord, left),
        [true, true, false]
    );
    let gone = stage.session().key_file(INES).expect_err("gone");
    assert!(matches!(gone, SessionError::HasLeft(_)), "{gone}");
    assert!(!stage.files().contains_key(INES), "the key file goes");
}

#[test]
fn an_old_key_ends_where_the_new_one_begins() {
    type Change = fn(&mut Session) -> Result<(), SessionError>;
    let changes: [(&str, Change); 3] = [
        (INES, |session| session.rotate(INES, SECRET, NEW, "in its time")),
        (INES, |session| session.replace_lost(INES, NEW, "forgotten")),
        (TOMASZ, |session| {
            session.rotate(TOMASZ, SECRET, NEW, "in its time")
        }),
    ];
    for (id, change) in changes {
        let stage = Stage::new();
        let old = stage.key(id, SECRET);
        let when = stage.now();
        change(&mut stage.signed_by(TOMASZ)).expect("changed");
        let new = stage.key(id, NEW);
        assert_ne!(old.public(), new.public());
        for purpose in [Namespace::JobRecord, Namespace::PracticeRecord] {
            assert_eq!(stage.spans(id, &old, purpose, when), [true, true, false], "{id}");
            assert_eq!(stage.spans(id, &new, purpose, when), [false, true, true], "{id}");
        }
        stage.later(5);
        stage.session().sign_on_with(id, NEW).expect("the new passphrase");
        let old = stage.session().sign_on(id, old).expect_err("the old key");
        assert!(matches!(old, SessionError::NotTheirKey(_)), "{old}");
    }
}

#[test]
fn roles_open_and_close_what_stock_tools_know_of_them() {
    let stage = Stage::new();
    let key = stage.key(INES, SECRET);
    let risen = stage.now();
    stage
        .signed_by(TOMASZ)
        .change_roles(INES, &[Role::Supervisor])
        .expect("risen");
    stage.later(600);
    let fallen = stage.now();
    stage
        .signed_by(TOMASZ)
        .change_roles(INES, &[Role::Fitter])
        .expect("fallen");
    for purpose in [Namespace::ContentApproval, Namespace::ShopRoster] {
        assert_eq!(stage.spans(INES, &key, purpose, risen), [false, true, true]);
        assert_eq!(stage.spans(INES, &key, purpose, fallen), [true, true, false]);
    }
    assert_eq!(stage.spans(INES, &key, Namespace::JobRecord, fallen), [true; 3]);
}

#[test]
fn a_tablets_keys_follow_each_other_and_end() {
    let stage = Stage::new();
    let tablet = stage.session().tablet().to_string();
    let read = |id: &str| {
        let text = std::fs::read_to_string(stage.folder().join("keys").join(id)).expect("a key");
        SigningKey::from_openssh(&text, None).expect("opened")
    };
    let (old, when) = (read(&tablet), stage.now());
    stage
        .signed_by(TOMASZ)
        .rotate_tablet("in its time")
        .expect("rotated");
    let new = read(&tablet);
    assert_eq!(
        stage.spans(&tablet, &old, Namespace::ShopLedger, when),
        [true, true, false]
    );
    assert_eq!(
        stage.spans(&tablet, &new, Namespace::ShopLedger, when),
        [false, true, true]
    );
    // It goes on with the new key: a job's opening stands in the ledger.
    stage.later(5);
    stage.signed_by(INES).start("cut-out", false).expect("opened");

    // Its folder comes to another machine, which gets a key of its own; the first one is gone for good.
    std::fs::remove_file(stage.folder().join("keys").join(&tablet)).expect("removed");
    let none = Session::open(&stage.folder(), stage.content.clone(), stage.world()).expect_err("no key");
    assert!(matches!(none, SessionError::NoTablet), "{none}");
    let secret = SECRET.to_owned().into();
    let by_ines = give_tablet_key(
        &stage.folder(),
        stage.content.clone(),
        (INES, &secret),
        stage.world(),
    );
    assert!(matches!(by_ines, Err(SessionError::NoSupervisor(_))));
    let added = give_tablet_key(
        &stage.folder(),
        stage.content.clone(),
        (TOMASZ, &secret),
        stage.world(),
    );
    let (session, second) = added.expect("a tablet");
    assert_ne!(second, tablet);
    drop(session);
    stage.later(5);
    let gone = stage.now();
    stage
        .signed_by(TOMASZ)
        .retire(&tablet, "stolen")
        .expect("retired");
    assert_eq!(
        stage.spans(&tablet, &new, Namespace::ShopLedger, gone),
        [true, true, false]
    );
    let checked = verify::verify(&stage.folder(), None).expect("a shop");
    for one in checked {
        assert!(one.report.whole(), "{}", one.report.to_text());
    }
}

/// A job goes on over a change of keys; what the old key signs after it is found by ours and by stock tools.
#[test]
fn a_job_outlives_the_change_of_its_workers_key() {
    let stage = Stage::new();
    let old = stage.key(INES, SECRET);
    let note = |text: &str| Event::Note {
        step: None,
        text: text.to_owned(),
    };
    let mut session = stage.signed_by(INES);
    let number = session.start("cut-out", false).expect("opened");
    session.act(note("By the old key.")).expect("written");
    drop(session);
    stage.later(60);
    stage
        .signed_by(TOMASZ)
        .replace_lost(INES, NEW, "forgotten")
        .expect("replaced");
    stage.later(60);
    let mut session = stage.session();
    session.sign_on_with(INES, NEW).expect("signed on");
    session.resume(&number).expect("resumed");
    session.act(note("By the new key.")).expect("written");
    drop(session);
    let job = stage.folder().join("jobs").join(&number);
    let whole = |job: &PathBuf| {
        let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/verify_record.sh");
        let out = stage
            .scratch
            .run("sh", &[script, job.to_str().expect("a path")], b"");
        let report = verify::verify(job, None).expect("a job").remove(0).report;
        let said = String::from_utf8_lossy(&out.stdout).into_owned();
        (
            report.whole(),
            out.status.success(),
            format!("{}{said}", report.to_text()),
        )
    };
    let (ours, stock, said) = whole(&job);
    assert!(ours && stock, "{said}");

    // The last line once more, signed by the key that was lost.
    let record = std::fs::read_to_string(job.join("record.jsonl")).expect("a record");
    let (before, last) = record.trim_end().rsplit_once('\n').expect("lines");
    let line = witnessmark::seal::Line::parse(last.as_bytes(), 1_048_576).expect("a line");
    let forged = witnessmark::seal::Line::signed(line.entry, line.signer, &old, Namespace::JobRecord);
    let forged = String::from_utf8(forged.to_bytes().expect("bytes")).expect("text");
    std::fs::write(job.join("record.jsonl"), format!("{before}\n{forged}")).expect("written");
    let (ours, stock, said) = whole(&job);
    assert!(!ours && !stock && said.contains("expired-signer"), "{said}");
}

#[test]
fn a_passphrase_changes_and_nothing_else() {
    let stage = Stage::new();
    let (before, key) = (stage.files(), stage.key(INES, SECRET));
    stage
        .session()
        .change_passphrase(INES, SECRET, NEW)
        .expect("changed");
    let after = stage.files();
    let differ: Vec<&String> = after
        .keys()
        .filter(|name| after.get(*name) != before.get(*name))
        .collect();
    assert_eq!(differ, [INES]);
    assert_eq!(after.len(), before.len());
    assert_eq!(stage.key(INES, NEW).public(), key.public());
    let old = stage
        .session()
        .sign_on_with(INES, SECRET)
        .expect_err("the old one");
    assert!(matches!(old, SessionError::Key(_)), "{old}");
    // Stock ssh-keygen opens it too, and finds the same key.
    let path = stage.folder().join("keys").join(INES);
    let args = ["-y", "-P", NEW, "-f", path.to_str().expect("a path")];
    let out = stage.scratch.run("ssh-keygen", &args, b"");
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(said.starts_with(&key.public().to_string()), "{said}");
}

/// Who asks, what for, and a part of the sentence that refuses it.
type Refused = (
    &'static str,
    &'static str,
    fn(&Stage, &mut Session) -> Result<(), SessionError>,
    &'static str,
);

const REFUSED: &[Refused] = &[
    (
        "the last supervisor leaves",
        TOMASZ,
        |_, s| s.retire(TOMASZ, "tired"),
        "is the last supervisor",
    ),
    (
        "the last supervisor gives up the role",
        TOMASZ,
        |_, s| s.change_roles(TOMASZ, &[Role::Fitter]),
        "is the last supervisor",
    ),
    (
        "a misspelt id",
        TOMASZ,
        |_, s| s.retire("ines.vagra", "left"),
        "Did you mean ines.varga?",
    ),
    (
        "no such id",
        TOMASZ,
        |_, s| s.change_roles("x", &[Role::Fitter]),
        "nobody of the id “x” is in",
    ),
    (
        "no id at all",
        TOMASZ,
        |_, s| s.retire("Ines Varga!", "left"),
        "nobody of the id",
    ),
    (
        "an apprentice adds people",
        INES,
        |_, s| s.join(&person(OLENA, "Olena Marsh", Role::Fitter)),
        "is no supervisor",
    ),
    (
        "an apprentice retires",
        INES,
        |_, s| s.retire(TOMASZ, "no"),
        "is no supervisor",
    ),
    (
        "an apprentice takes a new key",
        INES,
        |_, s| s.rotate(INES, SECRET, NEW, "mine"),
        "is no supervisor",
    ),
    (
        "a wrong old passphrase",
        TOMASZ,
        |_, s| s.rotate(INES, NEW, NEW, "in its time"),
        "does not open this key",
    ),
    (
        "a wrong passphrase at its change",
        TOMASZ,
        |_, s| s.change_passphrase(INES, NEW, NEW),
        "does not open this key",
    ),
    (
        "the same passphrase again",
        INES,
        |_, s| s.change_passphrase(INES, SECRET, SECRET),
        "is the old one",
    ),
    (
        "a short passphrase",
        INES,
        |_, s| s.change_passphrase(INES, SECRET, "ferrule"),
        "has 7 characters",
    ),
    (
        "the shop as a passphrase",
        INES,
        |_, s| s.change_passphrase(INES, SECRET, "Alder Quay Motor Works"),
        "the shop's name",
    ),
    (
        "a key of one's own as lost",
        TOMASZ,
        |_, s| s.replace_lost(TOMASZ, NEW, "lost"),
        "has not lost it",
    ),
    (
        "a lost key without a reason",
        TOMASZ,
        |_, s| s.replace_lost(INES, NEW, ""),
        "the text is empty",
    ),
    (
        "a date that is past",
        TOMASZ,
        |stage, s| s.join_until(&person(OLENA, "Olena Marsh", Role::Fitter), Some(stage.now())),
        "which is past",
    ),
    (
        "an id once more",
        TOMASZ,
        |_, s| s.join(&person(INES, "Ines Other", Role::Fitter)),
        "an id is never given again",
    ),
    (
        "the same roles",
        TOMASZ,
        |_, s| s.change_roles(INES, &[Role::Apprentice]),
        "has these roles already",
    ),
    (
        "no roles",
        TOMASZ,
        |_, s| s.change_roles(INES, &[]),
        "at least one",
    ),
    (
        "this tablet",
        TOMASZ,
        |_, s| {
            let tablet = s.tablet().to_string();
            s.retire(&tablet, "gone")
        },
        "is this tablet",
    ),
];

#[test]
fn what_is_refused_changes_nothing() {
    let stage = Stage::new();
    let before = stage.files();
    let mut wrong = Vec::new();
    for (name, who, ask, said) in REFUSED {
        let error = ask(&stage, &mut stage.signed_by(who)).err();
        let told = error.as_ref().map_or_else(String::new, ToString::to_string);
        let hint = error.as_ref().map_or("", SessionError::hint);
        if !told.contains(said) || hint.is_empty() || stage.files() != before {
            wrong.push(format!("{name}: expected “{said}”, found “{told}” “{hint}”"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
