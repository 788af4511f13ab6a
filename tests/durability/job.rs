//! The job that is played, the short one or the demonstration's: a shop founded once, and whoever works in it.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use witnessmark::player::Prompt;
use witnessmark::seal::SigningKey;
use witnessmark::session::{Content, Session, SessionError, World, found, unlock};

use crate::demo;
use crate::worker::{self, INES, PASSPHRASE, TOMASZ};

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

/// What a person saw as kept: the last line by its number and hash, which pins all before it, and how many answers of
/// the card are typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Word {
    pub n: u64,
    pub hash: String,
    pub typed: usize,
}

impl Word {
    /// Read from what a process said.
    pub fn read(said: &str) -> Option<Word> {
        let mut parts = said.strip_prefix("acknowledged ")?.split_whitespace();
        let (n, hash, typed) = (parts.next()?, parts.next()?, parts.next()?);
        Some(Word {
            n: n.parse().ok()?,
            hash: hash.to_owned(),
            typed: typed.parse().ok()?,
        })
    }

    pub fn say(&self) -> String {
        format!("acknowledged {} {} {}", self.n, self.hash, self.typed)
    }
}

/// Which job is played.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Plan {
    CutOut,
    Demo,
}

/// A shop, founded without a job or as it once stood, and what it takes to play on in it.
pub struct Stage {
    pub plan: Plan,
    content: Content,
    keys: [SigningKey; 2],
    script: Vec<serde_json::Value>,
    pub shop: Tree,
}

fn content(plan: Plan) -> (Content, String) {
    match plan {
        Plan::Demo => demo::content(),
        Plan::CutOut => {
            let (content, register) = worker::content();
            // The clock is the real one, so no calibration may lapse.
            (content, register.replace("due: 2026-", "due: 2999-"))
        }
    }
}

impl Stage {
    pub fn new(plan: Plan) -> Stage {
        let (content, register) = content(plan);
        let shop = worker::plan(register);
        let place = Place::new();
        // One round locks a key well enough for a test.
        let world = World::real().with_rounds(1);
        found(place.path(), &shop, &content, &world).expect("a shop");
        let session = Session::open(place.path(), content.clone(), World::real()).expect("a session");
        let keys = [INES, TOMASZ]
            .map(|id| unlock(&session.key_file(id).expect("a key"), PASSPHRASE).expect("opened"));
        drop(session);
        let shop = read_tree(place.path());
        let script = demo::script();
        Stage {
            plan,
            content,
            keys,
            script,
            shop,
        }
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
    pub fn read(plan: Plan, keys: &Path) -> Stage {
        let key = |name: &str| {
            let text = fs::read_to_string(keys.join(name)).expect("a key");
            SigningKey::from_openssh(&text, None).expect("a key")
        };
        let (content, _) = content(plan);
        Stage {
            plan,
            content,
            keys: [key("ines"), key("tomasz")],
            script: demo::script(),
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

    /// Plays on for so many events, or until the job is closed. After each, `acknowledge` gets the word that was given.
    pub fn play(
        &self,
        session: &mut Session,
        events: usize,
        acknowledge: &mut dyn FnMut(Word),
    ) -> Result<bool, SessionError> {
        for _ in 0..events {
            match session.job().map(|job| job.state().closed()) {
                None => drop(session.start(self.job(), false)?),
                Some(true) => return Ok(true),
                Some(false) if self.plan == Plan::Demo => demo::next(session, &self.script, &self.keys)?,
                Some(false) if self.types(session)? => {}
                Some(false) => worker::next(session, &self.keys[1])?,
            }
            if let Some((job, head)) = session.job().and_then(|job| Some((job, job.head()?))) {
                let (n, hash, typed) = (head.n, head.hash.to_string(), job.typed().len());
                acknowledge(Word { n, hash, typed });
            }
        }
        Ok(session.job().is_some_and(|job| job.state().closed()))
    }

    /// Types one answer of the card, if one is missing.
    fn types(&self, session: &mut Session) -> Result<bool, SessionError> {
        let card = session.job().map(|job| job.state().prompt());
        Ok(matches!(card, Some(Prompt::Card)) && worker::type_one(session)?)
    }

    fn job(&self) -> &'static str {
        match self.plan {
            Plan::CutOut => "cut-out",
            Plan::Demo => demo::JOB,
        }
    }

    /// More events than the job takes.
    pub fn all(&self) -> usize {
        match self.plan {
            Plan::CutOut => 100,
            Plan::Demo => 2 * self.script.len(),
        }
    }
}
