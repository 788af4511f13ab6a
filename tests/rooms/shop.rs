//! Alder Quay Motor Works, as tests know it: pinned keys that stand for people, and signed lines.
//!
//! The keys are made from one repeated byte, so they protect nothing.

use chrono::{DateTime, FixedOffset};
use serde_json::{Map, Value};
use witnessmark::people::approval::{Approve, Withdraw};
use witnessmark::people::entry::{Join, Retire, Roles, Root, Rotate, Tablet};
use witnessmark::people::{ApprovalEntry, Label, Role, RosterEntry};
use witnessmark::player::fact::ApprovalPinned;
use witnessmark::seal::{
    Digest, Envelope, Head, Line, Link, Namespace, PublicKey, SignerId, SigningKey, digest, instant,
};

pub const TOMASZ: &str = "tomasz.okafor";
pub const INES: &str = "ines.varga";
pub const TABLET: &str = "tablet-01";

/// The key of a person or tablet; `name'` is their next one, and any other name has a key of its own too.
pub fn key(name: &str) -> SigningKey {
    let byte = match name {
        TOMASZ => 1,
        INES => 2,
        TABLET => 3,
        "ines.varga'" => 4,
        "tomasz.okafor'" => 5,
        "tablet-01'" => 6,
        other => 100 + other.len() as u8,
    };
    SigningKey::generate(&[byte; 32])
}

pub fn public(name: &str) -> PublicKey {
    key(name).public().clone()
}

pub fn id(text: &str) -> SignerId {
    text.parse().expect("an id")
}

pub fn label(text: &str) -> Label {
    text.parse().expect("a label")
}

/// A time on 2 March 2026 in the shop, as `hh:mm:ss`.
pub fn at(time: &str) -> DateTime<FixedOffset> {
    instant::parse_at(&format!("2026-03-02T{time}+01:00")).expect("a time")
}

/// A file of signed lines that grows.
#[derive(Clone)]
pub struct Log {
    pub bytes: Vec<u8>,
    head: Option<Head>,
    namespace: Namespace,
}

impl Log {
    pub fn new(namespace: Namespace) -> Log {
        Log {
            bytes: Vec::new(),
            head: None,
            namespace,
        }
    }

    pub fn link(&self) -> Link {
        Link::after(self.head)
    }

    /// Takes a line that was signed before, without its LF.
    pub fn push(&mut self, line: &[u8]) {
        self.head = Some(Head::of(self.link().n, line));
        self.bytes.extend(line);
        self.bytes.push(b'\n');
    }

    /// Signs `text` as `signer` with the key that has the name `with`.
    pub fn add_text(&mut self, text: String, signer: &str, with: &str) {
        let line = Line::signed(text, id(signer), &key(with), self.namespace);
        let bytes = line.to_bytes().expect("a short line");
        self.head = Some(Head::of(self.link().n, &bytes));
        self.bytes.extend(bytes);
    }

    /// Adds an entry of any kind, signed by its author.
    pub fn add(&mut self, time: &str, by: &str, kind: &str, job: Option<&str>, body: Value) {
        let Value::Object(body): Value = body else {
            panic!("a body is an object")
        };
        let text = self.text(time, by, kind, job, body);
        self.add_text(text, by, by);
    }

    pub fn text(
        &self,
        time: &str,
        by: &str,
        kind: &str,
        job: Option<&str>,
        body: Map<String, Value>,
    ) -> String {
        Envelope::new(self.link(), at(time), id(by), kind, job, body)
            .to_text()
            .expect("an entry")
    }

    /// Adds a roster entry, signed by `by` with the key that has the name `with`.
    pub fn roster(&mut self, time: &str, by: &str, with: &str, entry: &RosterEntry) {
        let text = entry.text(self.link(), at(time), &id(by)).expect("an entry");
        self.add_text(text, by, with);
    }

    /// Adds an approval or a withdrawal, signed by its author.
    pub fn approval(&mut self, time: &str, by: &str, entry: &ApprovalEntry) {
        let text = entry.text(self.link(), at(time), &id(by)).expect("an entry");
        self.add_text(text, by, by);
    }

    /// The lines, without their LFs.
    pub fn lines(&self) -> Vec<Vec<u8>> {
        let parts = self.bytes.split_inclusive(|byte| *byte == b'\n');
        parts
            .map(|line| line.strip_suffix(b"\n").unwrap_or(line).to_vec())
            .collect()
    }
}

pub fn root() -> RosterEntry {
    let (shop, name) = (label("Alder Quay Motor Works"), label("Tomasz Okafor"));
    let roles = vec![Role::Supervisor, Role::Author];
    RosterEntry::Root(Root {
        shop,
        person: id(TOMASZ),
        name,
        roles,
        key: public(TOMASZ),
    })
}

pub fn join(person: &str, name: &str, roles: &[Role], from: &str) -> RosterEntry {
    let key = public(person);
    let (valid_from, roles) = (at(from), roles.to_vec());
    RosterEntry::Join(Join {
        person: id(person),
        name: label(name),
        roles,
        key,
        valid_from,
        valid_until: None,
    })
}

pub fn tablet(tablet: &str, from: &str) -> RosterEntry {
    RosterEntry::Tablet(Tablet {
        tablet: id(tablet),
        key: public(tablet),
        valid_from: at(from),
        valid_until: None,
    })
}

pub fn retire(who: &str) -> RosterEntry {
    RosterEntry::Retire(Retire {
        id: id(who),
        reason: label("left the shop"),
    })
}

pub fn rotate(who: &str, with: &str) -> RosterEntry {
    RosterEntry::Rotate(Rotate {
        id: id(who),
        key: public(with),
        reason: label("passphrase was seen"),
    })
}

pub fn roles(person: &str, roles: &[Role]) -> RosterEntry {
    RosterEntry::Roles(Roles {
        person: id(person),
        roles: roles.to_vec(),
    })
}

pub fn approve(authored: &str, revision: u32, content: Digest) -> ApprovalEntry {
    ApprovalEntry::Approve(Approve {
        authored: authored.into(),
        title: label("A job"),
        revision,
        content,
        reason: None,
    })
}

pub fn withdraw(authored: &str, content: Digest) -> ApprovalEntry {
    ApprovalEntry::Withdraw(Withdraw {
        authored: authored.into(),
        content,
        reason: label("a step was wrong"),
    })
}

/// The approval in line `n` of these, as an opening pins it.
pub fn pinned(log: &Log, n: u64, content: Digest) -> ApprovalPinned {
    let lines = log.lines();
    let hash = |line: &Vec<u8>| digest(line).to_string();
    ApprovalPinned {
        n,
        line: hash(&lines[usize::try_from(n).expect("a number")]),
        content: content.to_string(),
        head: lines.last().map_or_else(String::new, hash),
        lines: lines.len() as u64,
    }
}

/// The roster of the demonstration: root, apprentice, tablet.
pub fn roster() -> Log {
    let mut log = Log::new(Namespace::ShopRoster);
    log.roster("08:00:00", TOMASZ, TOMASZ, &root());
    log.roster(
        "08:01:00",
        TOMASZ,
        TOMASZ,
        &join(INES, "Ines Varga", &[Role::Apprentice], "08:01:00"),
    );
    log.roster("08:02:00", TOMASZ, TOMASZ, &tablet(TABLET, "08:02:00"));
    log
}
