//! The tablet's ledger: which jobs were opened and closed, with the hashes of their first and last lines.
//!
//! A job that is missing, was cut short or was replaced shows here.

use std::collections::BTreeMap;
use std::io::{self, BufRead};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::chain::accepted;
use super::entry::{give, take};
use super::finding::{PeopleFinding, PeopleRule};
use super::label::Label;
use super::ledger_read::{self, Extent};
use crate::seal::envelope::EnvelopeError;
use crate::seal::{
    Chain, Digest, Envelope, Head, Lines, Link, Namespace, Opened, SignerId, Signers, check_line,
};

/// What a ledger entry says about the job that its envelope names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LedgerEntry {
    /// The job was opened.
    Opened(JobOpened),
    /// The job was closed.
    Closed(JobClosed),
}

/// See [`LedgerEntry::Opened`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobOpened {
    /// The job's title.
    pub title: Label,
    /// SHA-256 of the first line of the job's record, without its LF.
    pub first_hash: Digest,
}

/// See [`LedgerEntry::Closed`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JobClosed {
    /// SHA-256 of the last line of the job's record, without its LF.
    pub final_hash: Digest,
    /// How many lines the record has.
    pub entries: u64,
}

/// A job as the ledger knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LedgerJob {
    /// The job's id.
    pub job: String,
    /// The opening's number in the ledger.
    pub n: u64,
    /// When it was opened.
    pub at: DateTime<FixedOffset>,
    /// The opening.
    pub opened: JobOpened,
    /// When it was closed, and the closing.
    pub closed: Option<(DateTime<FixedOffset>, JobClosed)>,
}

/// A ledger as far as it was read.
#[derive(Debug, Clone, Default)]
pub struct Ledger {
    jobs: BTreeMap<String, LedgerJob>,
    pub(super) chain: Chain,
}

impl LedgerEntry {
    /// The kind's name in the entry.
    pub const fn kind(&self) -> &'static str {
        match self {
            LedgerEntry::Opened(_) => "opened",
            LedgerEntry::Closed(_) => "closed",
        }
    }

    /// Reads an entry: the job, and what is said of it.
    ///
    /// # Errors
    /// An unknown kind, no job, or a body that is not of the kind's form.
    pub fn parse(entry: &Envelope) -> Result<(&str, LedgerEntry), String> {
        let job = entry.job.as_deref().ok_or("the entry names no `job`")?;
        let read = match entry.kind.as_str() {
            "opened" => take(&entry.body).map(LedgerEntry::Opened),
            "closed" => take(&entry.body).map(LedgerEntry::Closed),
            other => Err(format!("`{other}` is not a kind: opened or closed")),
        }?;
        Ok((job, read))
    }

    /// Writes the text to be signed by the tablet.
    ///
    /// # Errors
    /// The job's id is not of its form.
    pub fn text(
        &self,
        link: Link,
        at: DateTime<FixedOffset>,
        tablet: &SignerId,
        job: &str,
    ) -> Result<String, EnvelopeError> {
        let body = match self {
            LedgerEntry::Opened(body) => give(body),
            LedgerEntry::Closed(body) => give(body),
        }?;
        Envelope::new(link, at, tablet.clone(), self.kind(), Some(job), body).to_text()
    }
}

impl Ledger {
    /// A ledger without lines.
    pub fn new() -> Ledger {
        Ledger::default()
    }

    /// Reads a whole ledger, and accepts it only if nothing in it is broken. A clock that ran backwards is let by.
    ///
    /// # Errors
    /// Every finding, the harmless ones among them.
    pub fn replay(source: impl BufRead, signers: &dyn Signers) -> Result<Ledger, Vec<PeopleFinding>> {
        accepted(Ledger::read(source, signers))
    }

    /// Reads a ledger as far as its lines hold, and tells everything that does not.
    pub fn read(source: impl BufRead, signers: &dyn Signers) -> (Ledger, Vec<PeopleFinding>) {
        ledger_read::read(source, signers, Extent::Whole)
    }

    /// Reads some lines of a ledger, such as those of one job, which do not follow each other.
    pub fn read_extract(source: impl BufRead, signers: &dyn Signers) -> (Ledger, Vec<PeopleFinding>) {
        ledger_read::read(source, signers, Extent::Extract)
    }

    /// Reads the tablet's own ledger when the shop is opened, and accepts it only if nothing in it is broken.
    ///
    /// Every line is held to its form, its number, the hash of the line before and what is known of its job. Of the
    /// signatures only the last is checked: it covers the hash of the line before and so every line, and nobody
    /// changes one without the key that signed the last. The others were checked when they were written, and are
    /// again whenever the shop is verified.
    ///
    /// # Errors
    /// Every finding, the harmless ones among them.
    pub fn open(source: impl BufRead, signers: &dyn Signers) -> Result<Ledger, Vec<PeopleFinding>> {
        accepted(ledger_read::read(source, signers, Extent::Own))
    }

    /// Adds one more line (without its LF): checks it, has `write` put it on the disk, and only then knows of it.
    /// It costs the same however long the ledger is. What `write` gives comes back within.
    ///
    /// # Errors
    /// Every finding that breaks the ledger; then nothing was written. In both cases this ledger stays as it is.
    pub fn append<E>(
        &mut self,
        raw: &[u8],
        signers: &dyn Signers,
        write: impl FnOnce() -> Result<(), E>,
    ) -> Result<Result<(), E>, Vec<PeopleFinding>> {
        let number = self.chain.link().n + 1;
        let opened = Opened::read(raw).map_err(|finding| vec![PeopleFinding::of_line(number, finding)])?;
        let mut next = self.chain.clone();
        let steps = next.step(&opened.entry, opened.hash).into_iter();
        let seal = check_line(&opened, signers, Namespace::ShopLedger);
        let found = steps
            .chain(seal)
            .map(|finding| PeopleFinding::of_line(number, finding));
        let mut findings: Vec<_> = found.collect();
        let said = LedgerEntry::parse(&opened.entry).map_err(malformed);
        let fits = said
            .as_ref()
            .map_err(Clone::clone)
            .and_then(|said| self.fits(said));
        findings.extend(
            fits.err()
                .map(|(rule, what)| PeopleFinding::new(number, rule, what)),
        );
        findings.retain(|finding| finding.rule.breaks());
        match said {
            Ok(said) if findings.is_empty() => Ok(write().map(|()| {
                self.chain = next;
                self.enter(&opened.entry, said);
            })),
            _ => Err(findings),
        }
    }

    /// The last line.
    pub fn head(&self) -> Option<Head> {
        self.chain.head()
    }

    /// The latest time of all its entries, known at any length without going through them.
    pub fn latest(&self) -> Option<DateTime<FixedOffset>> {
        self.chain.latest()
    }

    /// What the next entry must carry.
    pub fn link(&self) -> Link {
        self.chain.link()
    }

    /// A job by its id.
    pub fn job(&self, job: &str) -> Option<&LedgerJob> {
        self.jobs.get(job)
    }

    /// All jobs, by id.
    pub fn jobs(&self) -> impl Iterator<Item = &LedgerJob> {
        self.jobs.values()
    }

    /// Whether an entry agrees with what is known of its job.
    pub(super) fn fits(&self, (job, said): &(&str, LedgerEntry)) -> Result<(), Fault> {
        let mismatch = |what: String| Err((PeopleRule::LedgerMismatch, what));
        match (said, self.jobs.get(*job)) {
            (LedgerEntry::Opened(_), None) => Ok(()),
            (LedgerEntry::Opened(_), Some(_)) => mismatch(format!("the job {job} is opened twice")),
            (LedgerEntry::Closed(_), None) => {
                mismatch(format!("the job {job} is closed but was never opened"))
            }
            (LedgerEntry::Closed(_), Some(known)) if known.closed.is_some() => {
                mismatch(format!("the job {job} is closed twice"))
            }
            (LedgerEntry::Closed(_), Some(_)) => Ok(()),
        }
    }

    /// Keeps what an entry says that fits.
    pub(super) fn enter(&mut self, entry: &Envelope, (job, said): (&str, LedgerEntry)) {
        match said {
            LedgerEntry::Opened(opened) => {
                let (job, n, at) = (job.to_owned(), entry.n, entry.at);
                let known = LedgerJob {
                    job,
                    n,
                    at,
                    opened,
                    closed: None,
                };
                self.jobs.insert(known.job.clone(), known);
            }
            LedgerEntry::Closed(closed) => {
                if let Some(known) = self.jobs.get_mut(job) {
                    known.closed = Some((entry.at, closed));
                }
            }
        }
    }
}

/// What is wrong, before its line is known.
pub(super) type Fault = (PeopleRule, String);

pub(super) fn malformed(what: String) -> Fault {
    (PeopleRule::MalformedEntry, what)
}

/// The lines of one job, as they stand in the ledger, each with its LF.
///
/// # Errors
/// The ledger cannot be read.
pub fn extract(ledger: impl BufRead, job: &str) -> io::Result<Vec<u8>> {
    let mut found = Vec::new();
    for line in Lines::new(ledger) {
        let line = line?;
        if !may_name(&line.bytes, job) {
            continue;
        }
        let opened = Opened::read_line(&line);
        if opened.is_ok_and(|opened| opened.entry.job.as_deref() == Some(job)) {
            found.extend_from_slice(&line.bytes);
            found.push(b'\n');
        }
    }
    Ok(found)
}

/// Whether a line's bytes can name the job: its number stands in them, or something is written as an escape that only
/// a reader of JSON understands.
fn may_name(line: &[u8], job: &str) -> bool {
    let text = std::str::from_utf8(line);
    text.is_ok_and(|text| text.contains(job) || text.contains("\\u"))
}
