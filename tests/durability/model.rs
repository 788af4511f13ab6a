//! A disk that keeps what was synced, and of all else whatever a power cut happens to leave.
//!
//! What is pending: bytes of a file that was not synced since, and names in a folder that was not. Of these any part
//! may be on the disk, in any order; the bytes of one write up to any of them. A rename is on the disk whole or not
//! at all. What is trusted: a synced file keeps its bytes, and a file does not grow by bytes that were never written.

use std::collections::{BTreeMap, BTreeSet};

use crate::job::{Tree, Word};
use crate::trace::Op;

#[derive(Clone)]
enum Node {
    File(Vec<u8>),
    Folder(BTreeMap<String, usize>),
}

/// One change of one file or folder, by its number.
#[derive(Clone)]
enum Change {
    Name(usize, String, usize),
    NoName(usize, String),
    Moved(usize, String, usize, String, usize),
    Bytes(usize, usize, Vec<u8>),
    Length(usize, usize),
}

impl Change {
    /// Whether a sync of this file or folder makes it last.
    fn is_of(&self, node: usize) -> bool {
        match self {
            Self::Name(of, ..) | Self::NoName(of, _) | Self::Bytes(of, ..) | Self::Length(of, _) => {
                *of == node
            }
            Self::Moved(from, _, to, ..) => *from == node || *to == node,
        }
    }
}

/// The disk after some changes: those that last, and those that are pending.
#[derive(Clone)]
pub struct Disk {
    /// As the running program sees it.
    now: Vec<Node>,
    /// What lasts.
    kept: Vec<Node>,
    pending: Vec<Change>,
    /// What was acknowledged so far.
    pub acknowledged: Vec<Word>,
}

impl Disk {
    pub fn new(tree: &Tree) -> Disk {
        let mut disk = Disk {
            now: vec![Node::Folder(BTreeMap::new())],
            kept: Vec::new(),
            pending: Vec::new(),
            acknowledged: Vec::new(),
        };
        for (path, bytes) in tree {
            let node = bytes
                .as_ref()
                .map_or(Node::Folder(BTreeMap::new()), |bytes| Node::File(bytes.clone()));
            let (parent, name) = disk.place(path);
            disk.now.push(node);
            let made = disk.now.len() - 1;
            disk.names(parent).insert(name, made);
        }
        disk.kept.clone_from(&disk.now);
        disk
    }

    fn names(&mut self, folder: usize) -> &mut BTreeMap<String, usize> {
        match &mut self.now[folder] {
            Node::Folder(names) => names,
            Node::File(_) => panic!("a file has no names"),
        }
    }

    fn find(&self, path: &str) -> usize {
        path.split('/')
            .filter(|part| !part.is_empty())
            .fold(0, |node, part| match &self.now[node] {
                Node::Folder(names) => *names.get(part).unwrap_or_else(|| panic!("{path} is not there")),
                Node::File(_) => panic!("{path}: a file is on the way"),
            })
    }

    /// The folder of a path, and the name in it.
    fn place(&self, path: &str) -> (usize, String) {
        let (parent, name) = path.rsplit_once('/').unwrap_or(("", path));
        (self.find(parent), name.to_owned())
    }

    fn make(&mut self, path: &str, node: Node) {
        let (parent, name) = self.place(path);
        // The node itself is there with whatever of it lasts; only its name is pending.
        self.now.push(node.clone());
        self.kept.push(node);
        let made = self.now.len() - 1;
        self.change(Change::Name(parent, name, made));
    }

    fn change(&mut self, change: Change) {
        apply(&mut self.now, &change);
        self.pending.push(change);
    }

    /// Takes one change.
    pub fn take(&mut self, op: &Op) {
        match op {
            Op::Create(path) => self.make(path, Node::File(Vec::new())),
            Op::MakeFolder(path) => self.make(path, Node::Folder(BTreeMap::new())),
            Op::Write(path, bytes) => {
                let file = self.find(path);
                let Node::File(held) = &self.now[file] else {
                    panic!("{path} is a folder")
                };
                self.change(Change::Bytes(file, held.len(), bytes.clone()));
            }
            Op::Cut(path, len) => self.change(Change::Length(self.find(path), *len)),
            Op::Sync(path) => self.sync(self.find(path)),
            Op::Rename(from, to) => {
                let ((old, name), (new, given), node) = (self.place(from), self.place(to), self.find(from));
                self.change(Change::Moved(old, name, new, given, node));
            }
            Op::Remove(path) => {
                let (parent, name) = self.place(path);
                self.change(Change::NoName(parent, name));
            }
            Op::Acknowledge(word) => self.acknowledged.push(word.clone()),
        }
    }

    fn sync(&mut self, node: usize) {
        let (last, rest): (Vec<_>, Vec<_>) = std::mem::take(&mut self.pending)
            .into_iter()
            .partition(|c| c.is_of(node));
        last.iter().for_each(|change| apply(&mut self.kept, change));
        self.pending = rest;
    }

    /// How many changes are pending.
    pub fn pending(&self) -> usize {
        self.pending.len()
    }

    /// What a killed program leaves: everything that it did.
    pub fn all(&self) -> Tree {
        let mut tree = Tree::new();
        walk(&self.now, 0, "", &mut tree);
        tree
    }

    /// What a power cut leaves when so much of each pending change comes to the disk: none, or of bytes so many.
    pub fn left(&self, of: &[usize]) -> Tree {
        let mut nodes = self.kept.clone();
        for (change, share) in self.pending.iter().zip(of) {
            match change {
                _ if *share == 0 => {}
                Change::Bytes(file, at, bytes) => {
                    let some = bytes[..bytes.len().min(*share)].to_vec();
                    apply(&mut nodes, &Change::Bytes(*file, *at, some));
                }
                change => apply(&mut nodes, change),
            }
        }
        let mut tree = Tree::new();
        walk(&nodes, 0, "", &mut tree);
        tree
    }

    /// The shares to try: all and nothing, each one alone, each one missing, the last write torn in places, and some
    /// at random; none twice.
    pub fn shares(&self, random: &mut Random, some: usize) -> BTreeSet<Vec<usize>> {
        let (count, all) = (self.pending.len(), usize::MAX);
        let mut shares = BTreeSet::from([vec![0; count], vec![all; count]]);
        for at in 0..count {
            let (mut alone, mut missing) = (vec![0; count], vec![all; count]);
            (alone[at], missing[at]) = (all, 0);
            if let Change::Bytes(_, _, bytes) = &self.pending[at] {
                for torn in [
                    1,
                    bytes.len() / 2,
                    bytes.len().saturating_sub(1),
                    random.below(bytes.len() + 1),
                ] {
                    let (mut rest, mut only) = (missing.clone(), vec![0; count]);
                    (rest[at], only[at]) = (torn, torn);
                    shares.extend([rest, only]);
                }
            }
            shares.extend([alone, missing]);
        }
        for _ in 0..if count > 1 { some } else { 0 } {
            shares.insert(
                (0..count)
                    .map(|_| [0, all, 1 + random.below(4096)][random.below(3)])
                    .collect(),
            );
        }
        shares
    }
}

fn apply(nodes: &mut [Node], change: &Change) {
    let names = |nodes: &mut [Node], folder: usize, act: &mut dyn FnMut(&mut BTreeMap<String, usize>)| {
        if let Node::Folder(names) = &mut nodes[folder] {
            act(names);
        }
    };
    match change {
        Change::Name(folder, name, node) => names(nodes, *folder, &mut |names| {
            names.insert(name.clone(), *node);
        }),
        Change::NoName(folder, name) => names(nodes, *folder, &mut |names| {
            names.remove(name);
        }),
        Change::Moved(old, name, new, given, node) => {
            names(nodes, *old, &mut |names| {
                names.remove(name);
            });
            names(nodes, *new, &mut |names| {
                names.insert(given.clone(), *node);
            });
        }
        Change::Bytes(file, at, bytes) => {
            if let Node::File(held) = &mut nodes[*file]
                && !bytes.is_empty()
            {
                held.resize(held.len().max(at + bytes.len()), 0);
                held[*at..at + bytes.len()].copy_from_slice(bytes);
            }
        }
        Change::Length(file, len) => {
            if let Node::File(held) = &mut nodes[*file] {
                held.truncate(*len);
            }
        }
    }
}

fn walk(nodes: &[Node], at: usize, path: &str, tree: &mut Tree) {
    let Node::Folder(names) = &nodes[at] else { return };
    for (name, node) in names {
        let inside = if path.is_empty() {
            name.clone()
        } else {
            format!("{path}/{name}")
        };
        let bytes = match &nodes[*node] {
            Node::File(bytes) => Some(bytes.clone()),
            Node::Folder(_) => None,
        };
        tree.insert(inside.clone(), bytes);
        walk(nodes, *node, &inside, tree);
    }
}

/// Numbers that look random and are the same in every run (xorshift64).
pub struct Random(pub u64);

impl Random {
    pub fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % end.max(1) as u64).expect("small")
    }
}
