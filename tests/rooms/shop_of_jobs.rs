//! A shop with many closed jobs on the disk, and the mathematics of it alone, for tests and benches.

use std::fs;
use std::path::Path;

use crate::played_job::{self, Run};
use crate::shop::{self, Log, TABLET};
use witnessmark::people::LedgerEntry;
use witnessmark::people::ledger::{JobClosed, JobOpened};
use witnessmark::player::fact::{Body, Fact};
use witnessmark::record;
use witnessmark::seal::{Line, MAX_LINE_BYTES, Namespace, PublicKey, Signature, digest};

/// The record of a played job under another number.
pub fn numbered(facts: &[Fact], number: &str) -> Log {
    let mut log = Log::new(Namespace::JobRecord);
    for fact in facts {
        let mut fact = fact.clone();
        if let Body::Opening(opening) = &mut fact.body {
            number.clone_into(&mut opening.number);
        }
        let text = record::write(&fact, log.link().prev, number).expect("an entry");
        log.add_text(text, &fact.by, &fact.by);
    }
    log
}

/// One ledger line; gives it with its LF.
pub fn enter(ledger: &mut Log, number: &str, entry: &LedgerEntry) -> Vec<u8> {
    let text = entry.text(ledger.link(), shop::at("12:00:00"), &shop::id(TABLET), number);
    let before = ledger.bytes.len();
    ledger.add_text(text.expect("an entry"), TABLET, TABLET);
    ledger.bytes[before..].to_vec()
}

/// Builds a shop with so many closed jobs.
pub fn build(root: &Path, count: usize) {
    let facts = Run::through(false).facts;
    let mut files = played_job::folder(&facts, false);
    files.remove("record.jsonl");
    let mut ledger = Log::new(Namespace::ShopLedger);
    for n in 0..count {
        let (number, place) = (format!("2026-{n:05}"), root.join(format!("jobs/2026-{n:05}")));
        let record = numbered(&facts, &number);
        let lines = record.lines();
        let (first_hash, final_hash) = (digest(&lines[0]), digest(lines.last().expect("lines")));
        let title = shop::label("Cut-out");
        let entries = lines.len() as u64;
        let opened = enter(
            &mut ledger,
            &number,
            &LedgerEntry::Opened(JobOpened { title, first_hash }),
        );
        let closed = enter(
            &mut ledger,
            &number,
            &LedgerEntry::Closed(JobClosed { final_hash, entries }),
        );
        fs::create_dir_all(place.join("content")).expect("a folder");
        files.insert("ledger-extract.jsonl".into(), [opened, closed].concat());
        for (name, bytes) in &files {
            fs::write(place.join(name), bytes).expect("a file");
        }
        fs::write(place.join("record.jsonl"), record.bytes).expect("a file");
    }
    fs::write(root.join("ledger.jsonl"), ledger.bytes).expect("a file");
    for name in ["roster.jsonl", "approvals.jsonl"] {
        fs::write(root.join(name), &files[name]).expect("a file");
    }
}

/// A signature as it was read from its line, with everything that checking it needs.
struct Signed {
    key: PublicKey,
    namespace: Namespace,
    entry: String,
    signature: Signature,
}

/// The files and signatures of a shop's jobs, taken apart beforehand: what is left to measure is mathematics alone.
pub struct Mathematics {
    files: Vec<Vec<u8>>,
    signed: Vec<Signed>,
}

impl Mathematics {
    /// Takes the jobs of a shop apart.
    pub fn of(root: &Path) -> Mathematics {
        let mut all = Mathematics {
            files: Vec::new(),
            signed: Vec::new(),
        };
        for job in fs::read_dir(root.join("jobs")).expect("a folder") {
            let job = job.expect("an entry").path();
            for inside in [job.clone(), job.join("content")] {
                let files = fs::read_dir(inside).expect("a folder");
                files.for_each(|file| all.take(&file.expect("an entry").path()));
            }
        }
        all
    }

    fn take(&mut self, file: &Path) {
        let Ok(bytes) = fs::read(file) else { return };
        let namespace = match file.file_name().and_then(|name| name.to_str()) {
            Some("record.jsonl") => Some(Namespace::JobRecord),
            Some("roster.jsonl") => Some(Namespace::ShopRoster),
            Some("ledger-extract.jsonl") => Some(Namespace::ShopLedger),
            Some("approvals.jsonl") => Some(Namespace::ContentApproval),
            _ => None,
        };
        let lines = bytes.split(|byte| *byte == b'\n').filter(|raw| !raw.is_empty());
        for raw in lines.take_while(|_| namespace.is_some()) {
            let Line { entry, signer, sig } = Line::parse(raw, MAX_LINE_BYTES).expect("a line");
            self.signed.push(Signed {
                key: shop::public(signer.as_str()),
                namespace: namespace.expect("a file of lines"),
                entry,
                signature: Signature::read(&sig).expect("a signature"),
            });
        }
        self.files.push(bytes);
    }

    /// How many signatures there are.
    pub fn signatures(&self) -> usize {
        self.signed.len()
    }

    /// Hashes every byte of every file once and checks every signature once, by two threads.
    pub fn check(&self) {
        std::thread::scope(|scope| {
            for half in [0, 1] {
                scope.spawn(move || {
                    for file in self.files.iter().skip(half).step_by(2) {
                        std::hint::black_box(digest(file));
                    }
                    for one in self.signed.iter().skip(half).step_by(2) {
                        let verified = one
                            .signature
                            .verify(&one.key, one.namespace, one.entry.as_bytes());
                        verified.expect("signed");
                    }
                });
            }
        });
    }
}
