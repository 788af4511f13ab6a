//! A whole job's folder, verified.

use super::facts::{Facts, MOST_NAMES};
use super::known::RosterRead;
use super::mathematics::{Mathematics, mathematics};
use super::{
    Files, Finding, Known, MOST_FINDINGS, Meaning, Report, Standing, approval, content, files, ledger,
    meaning, personal, who,
};
use crate::people::{Approvals, Ledger, Roster};
use crate::player::fact::{Body, Fact, Opening};
use crate::record;
use crate::seal::Digest;
use std::collections::BTreeSet;
use std::sync::Arc;

/// The longest certificate that is read, in bytes.
const MOST_CERTIFICATE: u64 = 64 * 1024 * 1024;

const ROSTER: &str = "roster.jsonl";

/// Whether a certificate is the one of these facts, in this job's folder; otherwise what differs.
pub type Certificate<'a> = dyn Fn(&dyn Files, &[Arc<Fact>], &[u8]) -> Result<(), String> + Sync + 'a;

/// What the folder is held against, besides itself.
#[derive(Default)]
pub struct Against<'a> {
    /// The fingerprint of the shop's root key, known by another way.
    pub root: Option<&'a str>,
    /// The shop's own roster, which the folder's must be a beginning of.
    pub roster: Option<&'a Roster>,
    /// The shop's own approvals of content, which the folder's must be a beginning of.
    pub approvals: Option<&'a Approvals>,
    /// The shop's own ledger.
    pub ledger: Option<&'a Ledger>,
    /// How a certificate is judged; without it, only whether there is one.
    pub certificate: Option<&'a Certificate<'a>>,
    /// What was read for other jobs of the shop.
    pub known: Option<&'a Known>,
}

/// A folder that was verified, with what was read on the way.
#[derive(Debug, Default)]
pub struct Verified {
    /// What it came to.
    pub report: Report,
    /// The facts, as far as they could be read.
    pub facts: Vec<Arc<Fact>>,
    /// The roster, if it could be read.
    pub roster: Option<Arc<Roster>>,
}

/// Verifies a job's folder: chain and signatures, people, ledger, content, meaning, attachments, certificate.
#[must_use]
pub fn verify_job(folder: &dyn Files, against: &Against) -> Verified {
    let (mut all, alone) = (Verified::default(), Known::default());
    let known = against.known.unwrap_or(&alone);
    if let Some(read) = all.roster(folder, known)
        && let (Some(roster), Some(named)) = (&read.roster, &read.named)
    {
        all.named(named, against.root);
        all.allowed_signers(folder, &read.allowed_signers);
        let (record, named) = all.record(folder, roster);
        all.shops_roster(against.roster);
        all.ledger(folder, against.ledger, &record);
        let hashed = all.meaning(folder, roster, known);
        all.approval(folder, &read, against.approvals, known);
        all.attachments(folder, &named, &hashed);
        let personal = personal::check(folder, &all.facts);
        all.report.findings.extend(personal);
        all.certificate(folder, against.certificate, record.closed);
    }
    all.report.findings.truncate(MOST_FINDINGS);
    all
}

impl Verified {
    fn tell(&mut self, finding: Finding) {
        self.report.findings.push(finding);
    }

    fn roster(&mut self, folder: &dyn Files, known: &Known) -> Option<Arc<RosterRead>> {
        let wrong = match known.roster(folder, ROSTER) {
            Ok(Some(read)) => {
                let findings = read.findings.iter().cloned();
                let findings = findings.map(|finding| Finding::of_people(ROSTER, finding));
                self.report.findings.extend(findings);
                self.roster.clone_from(&read.roster);
                return Some(read);
            }
            Ok(None) => Finding::new(Meaning::RosterMismatch, ROSTER, "it is not there"),
            Err(error) => Finding::new(Meaning::Unreadable, ROSTER, error.to_string()),
        };
        self.tell(wrong);
        None
    }

    fn named(&mut self, [shop, found]: &[Arc<str>; 2], root: Option<&str>) {
        if let Some(expected) = root.filter(|expected| **expected != **found) {
            let what = format!("its root key is {found}, not the trusted {expected}");
            self.tell(Finding::new(Meaning::RosterMismatch, ROSTER, what));
        }
        self.report.anchored = root == Some(&**found);
        self.report.shop = Some(Arc::clone(shop));
        self.report.root = Some(Arc::clone(found));
    }

    fn shops_roster(&mut self, shop: Option<&Roster>) {
        let (Some(shop), Some(here)) = (shop, &self.roster) else {
            return;
        };
        let head = here.head();
        if head.is_none_or(|head| shop.hash_of(head.n) != Some(head.hash)) {
            let what = "it is not a beginning of the shop's roster";
            self.tell(Finding::new(Meaning::RosterMismatch, ROSTER, what));
        }
    }

    /// Stock tools believe this file, so it must say what the roster says.
    fn allowed_signers(&mut self, folder: &dyn Files, wanted: &[u8]) {
        const FILE: &str = "allowed_signers";
        let most = crate::seal::allowed_signers::MAX_BYTES as u64;
        match files::bytes(folder, FILE, most) {
            Ok(Some(bytes)) if bytes == wanted => {}
            Ok(Some(_)) => self.tell(Finding::new(
                Meaning::RosterMismatch,
                FILE,
                "it differs from what the roster gives",
            )),
            Ok(None) => self.tell(Finding::new(Meaning::RosterMismatch, FILE, "it is not there")),
            Err(error) => self.tell(Finding::new(Meaning::Unreadable, FILE, error.to_string())),
        }
    }

    /// The mathematics of the record, and the attachments that its entries name.
    fn record(&mut self, folder: &dyn Files, roster: &Roster) -> (Mathematics, BTreeSet<String>) {
        const FILE: &str = "record.jsonl";
        let reader = match folder.reader(FILE) {
            Ok(Some(reader)) => reader,
            Ok(None) => {
                self.tell(Finding::new(Meaning::RecordMissing, FILE, "it is not there"));
                return <_>::default();
            }
            Err(error) => {
                self.tell(Finding::new(Meaning::Unreadable, FILE, error.to_string()));
                return <_>::default();
            }
        };
        let mut facts = Facts::default();
        let mut record = mathematics(reader, roster, &mut |opened| facts.take(opened));
        self.report.findings.append(&mut record.findings);
        self.report.findings.extend(facts.finding);
        self.facts = facts.read;
        self.report.standing = record.standing;
        self.report.job.clone_from(&record.job);
        self.report.entries = record.lines;
        self.report.final_hash = record.head.map(|head| head.hash);
        (record, facts.attachments)
    }

    fn ledger(&mut self, folder: &dyn Files, shop: Option<&Ledger>, record: &Mathematics) {
        const FILE: &str = "ledger-extract.jsonl";
        let (Some(roster), Some(job)) = (&self.roster, record.job.clone()) else {
            return;
        };
        let mut findings = Vec::new();
        match folder.reader(FILE) {
            Ok(Some(reader)) => {
                let (extract, found) = Ledger::read_extract(reader, &**roster);
                findings.extend(found.into_iter().map(|finding| Finding::of_people(FILE, finding)));
                findings.extend(ledger::compare(&extract, FILE, &job, record));
            }
            // An open job has its line in the shop's ledger alone, a practice run has none.
            Ok(None) if !record.closed || record.standing == Standing::Practice => {}
            Ok(None) => {
                let what = "it is not there, though the record is closed";
                findings.push(Finding::new(Meaning::LedgerMismatch, FILE, what));
            }
            Err(error) => findings.push(Finding::new(Meaning::Unreadable, FILE, error.to_string())),
        }
        if let Some(shop) = shop.filter(|_| record.standing != Standing::Practice) {
            findings.extend(ledger::compare(shop, "the shop's ledger.jsonl", &job, record));
        }
        self.report.findings.append(&mut findings);
    }

    /// Gives the names of the pinned files that are what their names say.
    fn meaning(&mut self, folder: &dyn Files, roster: &Roster, known: &Known) -> BTreeSet<String> {
        let mut hashed = BTreeSet::new();
        let Some(first) = self.facts.first().cloned() else {
            return hashed;
        };
        let Body::Opening(opening) = &first.body else {
            return hashed;
        };
        self.report.title = Some(opening.title.clone());
        self.report.findings.extend(pinned_roster(roster, opening));
        let found = content::play(
            folder,
            opening,
            Some(known),
            &mut self.report.findings,
            &mut hashed,
        );
        if let Some(play) = found {
            let who = |id: &str, at| who::actor(roster, id, at);
            let findings = meaning::check(play, &self.facts, &who, record::PROGRAM);
            self.report.findings.extend(findings);
        }
        hashed
    }

    fn approval(&mut self, folder: &dyn Files, roster: &RosterRead, shop: Option<&Approvals>, known: &Known) {
        if let Some(fact) = self.facts.first()
            && let Body::Opening(opening) = &fact.body
        {
            let here = known.approvals(folder, approval::FILE, roster);
            let findings = approval::check(here, opening, fact.at, shop);
            self.report.findings.extend(findings);
        }
    }

    fn attachments(&mut self, folder: &dyn Files, named: &BTreeSet<String>, hashed: &BTreeSet<String>) {
        for name in named {
            let path = format!("attachments/{name}");
            match folder.reader(&path) {
                Ok(Some(_)) => {}
                Ok(None) => self.tell(Finding::new(
                    Meaning::AttachmentMissing,
                    path,
                    "an entry names it, but it is not there",
                )),
                Err(error) => self.tell(Finding::new(Meaning::Unreadable, path, error.to_string())),
            }
        }
        self.named_by_hash(folder, "attachments", Meaning::AttachmentAltered, hashed);
        self.named_by_hash(folder, "content", Meaning::ContentAltered, hashed);
    }

    /// Every file in this folder is what its name says; those that were `hashed` before are.
    fn named_by_hash(&mut self, folder: &dyn Files, inside: &str, rule: Meaning, hashed: &BTreeSet<String>) {
        let names = match folder.names(inside, MOST_NAMES) {
            Ok(names) => names,
            Err(error) => return self.tell(Finding::new(Meaning::Unreadable, inside, error.to_string())),
        };
        for name in names {
            let path = format!("{inside}/{name}");
            if hashed.contains(&path) {
                continue;
            }
            let says: Option<Digest> = name.split('.').next().and_then(|stem| stem.parse().ok());
            match files::digest(folder, &path) {
                Ok(found) if found.is_some() && found == says => {}
                Ok(_) => self.tell(Finding::new(rule, path, "its hash is not the one in its name")),
                Err(error) => self.tell(Finding::new(Meaning::Unreadable, path, error.to_string())),
            }
        }
    }

    fn certificate(&mut self, folder: &dyn Files, judge: Option<&Certificate>, closed: bool) {
        const FILE: &str = "certificate.pdf";
        let mismatch = |what: String| Finding::new(Meaning::CertificateMismatch, FILE, what);
        let finding = match files::bytes(folder, FILE, MOST_CERTIFICATE) {
            Err(error) => Some(Finding::new(Meaning::Unreadable, FILE, error.to_string())),
            Ok(None) if closed => Some(Finding::new(Meaning::CertificateMissing, FILE, "it is not there")),
            Ok(None) => None,
            Ok(Some(_)) if !closed => Some(mismatch("there is one, but the record is not closed".into())),
            Ok(Some(pdf)) => judge
                .and_then(|judge| judge(folder, &self.facts, &pdf).err())
                .map(mismatch),
        };
        self.report.findings.extend(finding);
    }
}

/// The roster of the folder continues the one that stood when the job was opened.
fn pinned_roster(roster: &Roster, opening: &Opening) -> Option<Finding> {
    let last = opening
        .roster_lines
        .checked_sub(1)
        .and_then(|n| roster.hash_of(n));
    let fits = last.is_some_and(|hash| hash.to_string() == opening.roster_head);
    let what = format!("line {} is not the one that entry 0 pins", opening.roster_lines);
    (!fits).then(|| Finding::new(Meaning::RosterMismatch, "roster.jsonl", what))
}
