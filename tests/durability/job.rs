//! The short job that is played: a shop founded once, and whoever works and supervises in it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use witnessmark::disk::content_files;
use witnessmark::people::Role;
use witnessmark::player::{Event, Prompt};
use witnessmark::procedure::StepRef;
use witnessmark::seal::SigningKey;
use witnessmark::session::{Content, PersonPlan, Session, SessionError, ShopPlan, World, found, unlock};

const INES: &str = "ines.varga";
const TOMASZ: &str = "tomasz.okafor";
const PASSPHRASE: &str = "brass ferrule, twice";

/// A folder in memory, so that a sync costs nothing, or in the usual place for temporary files.
pub struct Place(PathBuf);

impl Place {
    pub fn new() -> Place {
        static NEXT: AtomicU32 = AtomicU32::new(0);
        let memory = Path::new("/dev/shm");
        let root = if memory.is_dir() {
            memory.to_owned()
        } else {
            std::env::temp_dir()
        };
        let next = NEXT.fetch_add(1, Ordering::Relaxed);
        Place(root.join(format!("witnessmark-durability-{}-{next}", std::process::id())))
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Every file of a folder by its path, and every folder with none.
pub type Tree = BTreeMap<String, Option<Vec<u8>>>;

pub fn read_tree(root: &Path) -> Tree {
    let (mut tree, mut left) = (Tree::new(), vec![String::new()]);
    while let Some(inside) = left.pop() {
        for entry in fs::read_dir(root.join(&inside)).expect("a folder") {
            let entry = entry.expect("an entry");
            let name = entry.file_name().into_string().expect("UTF-8");
            let path = if inside.is_empty() {
                name
            } else {
                format!("{inside}/{name}")
            };
            if entry.path().is_dir() {
                tree.insert(path.clone(), None);
                left.push(path);
            } else {
                tree.insert(path, Some(fs::read(entry.path()).expect("a file")));
            }
        }
    }
    tree
}

pub fn write_tree(root: &Path, tree: &Tree) {
    fs::create_dir(root).expect("a folder");
    // A folder comes before what is in it.
    for (path, bytes) in tree {
        match bytes {
            None => fs::create_dir_all(root.join(path)).expect("a folder"),
            Some(bytes) => fs::write(root.join(path), bytes).expect("a file"),
        }
    }
}

/// A founded shop without a job, and what it takes to play one in it.
pub struct Stage {
    content: Content,
    keys: [SigningKey; 2],
    pub shop: Tree,
}

fn content() -> (Content, String) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/content/cut-out");
    let mut files = content_files(&root, 1_000_000).expect("content");
    let register = files.remove("register/instruments.yaml").expect("a register");
    // The clock is the real one, so no calibration may lapse.
    let register = String::from_utf8(register)
        .expect("text")
        .replace("due: 2026-", "due: 2999-");
    (Content::load(files).expect("whole content"), register)
}

fn person(id: &str, name: &str, role: Role) -> PersonPlan {
    PersonPlan {
        id: id.into(),
        name: name.into(),
        roles: vec![role],
        passphrase: PASSPHRASE.to_owned().into(),
    }
}

impl Stage {
    pub fn new() -> Stage {
        let (content, register) = content();
        let plan = ShopPlan {
            shop: "Alder Quay Motor Works".into(),
            root: person(TOMASZ, "Tomasz Okafor", Role::Supervisor),
            people: vec![person(INES, "Ines Varga", Role::Apprentice)],
            instruments: Some(register),
        };
        let place = Place::new();
        // One round locks a key well enough for a test.
        found(
            place.path(),
            &plan,
            &content,
            &World::with_clock(|| chrono::Local::now().fixed_offset(), 1),
        )
        .expect("a shop");
        let session = Session::open(place.path(), content.clone(), World::real()).expect("a session");
        let keys = [INES, TOMASZ]
            .map(|id| unlock(&session.key_file(id).expect("a key"), PASSPHRASE).expect("opened"));
        drop(session);
        let shop = read_tree(place.path());
        Stage { content, keys, shop }
    }

    /// For another process: the keys, unlocked, in a folder of their own.
    pub fn write_keys(&self, folder: &Path) {
        fs::create_dir(folder).expect("a folder");
        for (name, key) in ["ines", "tomasz"].iter().zip(&self.keys) {
            fs::write(
                folder.join(name),
                key.to_openssh_unlocked().expect("a key").as_str(),
            )
            .expect("a file");
        }
    }

    /// In the other process.
    pub fn read(keys: &Path) -> Stage {
        let key = |name: &str| {
            let text = fs::read_to_string(keys.join(name)).expect("a key");
            SigningKey::from_openssh(&text, None).expect("a key")
        };
        let (content, _) = content();
        Stage {
            content,
            keys: [key("ines"), key("tomasz")],
            shop: Tree::new(),
        }
    }

    /// Opens the shop, and the job where there is one. Gives how many entries it has then.
    pub fn open(&self, shop: &Path) -> Result<Session, SessionError> {
        self.open_at(shop, World::real())
    }

    /// The same by another clock.
    pub fn open_at(&self, shop: &Path, world: World) -> Result<Session, SessionError> {
        let mut session = Session::open(shop, self.content.clone(), world)?;
        let key = self.keys[0].to_openssh_unlocked()?;
        session.sign_on(INES, SigningKey::from_openssh(&key, None)?)?;
        if let Some(number) = session.jobs().first().map(|job| job.number.clone()) {
            session.resume(&number)?;
        }
        Ok(session)
    }

    /// Plays on for so many events, or until the job is closed. After each, `acknowledge` gets the number and the
    /// hash of the last line, which pins all before it.
    pub fn play(
        &self,
        session: &mut Session,
        events: usize,
        acknowledge: &mut dyn FnMut(u64, String),
    ) -> Result<bool, SessionError> {
        for _ in 0..events {
            match session.job().map(|job| job.state().closed()) {
                None => drop(session.start("cut-out", false)?),
                Some(true) => return Ok(true),
                Some(false) => self.next(session)?,
            }
            if let Some(head) = session.job().and_then(|job| job.head()) {
                acknowledge(head.n, head.hash.to_string());
            }
        }
        Ok(session.job().is_some_and(|job| job.state().closed()))
    }

    fn next(&self, session: &mut Session) -> Result<(), SessionError> {
        let state = session.job().expect("a job").state();
        let failed_once = !state.deviations().is_empty();
        let supervisor = |session: &mut Session, event| session.act_with(TOMASZ, &self.keys[1], event);
        match state.prompt() {
            Prompt::Card => accept(session),
            Prompt::Before(procedure) => session.act(Event::Begin { procedure }),
            Prompt::Hazards { step, .. } => session.act(Event::Acknowledge { step }),
            Prompt::Step { step, wants } => session.act(work(step, wants.first(), failed_once)),
            Prompt::Deviation(deviation) => {
                let reason = "The hose was loose.".to_owned();
                session.act(Event::MeasureAgain { deviation, reason })
            }
            Prompt::CloseOut(procedure) => session.act(Event::CloseOut { procedure }),
            Prompt::SignOff => session.act(Event::SignOff),
            Prompt::Witness(step) => supervisor(session, Event::Witness { step, attended: true }),
            Prompt::Hold(step) => supervisor(session, Event::Release { step }),
            Prompt::JobRelease => supervisor(session, Event::ReleaseJob),
            other => panic!("not expected: {other}"),
        }
    }
}

fn accept(session: &mut Session) -> Result<(), SessionError> {
    for (group, field, text) in [
        ("car", "name", "1999 Larkfield Pell 1.8"),
        ("car", "owner", "Ada Brandt"),
        ("fuel", "trip", "30 psi"),
        ("fuel", "reset", "33 psi"),
        ("fuel", "boxed", "yes"),
    ] {
        session.type_answer(group, field, text)?;
    }
    session.accept_card()
}

/// The first trip lies outside its band, all other readings inside theirs.
fn work(step: StepRef, wanted: Option<&String>, failed_once: bool) -> Event {
    let Some(name) = wanted else {
        return Event::Done { step };
    };
    let typed = match name.as_str() {
        "trip" if !failed_once => "36 psi",
        "trip" => "30 psi",
        "idle" => "3 bar",
        "clean" => "yes",
        _ => "Nothing.",
    };
    let instrument = matches!(name.as_str(), "trip" | "idle").then(|| "pg-3".to_owned());
    Event::Read {
        step,
        name: name.clone(),
        typed: typed.to_owned(),
        instrument,
    }
}
