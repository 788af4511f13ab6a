//! The tablet's ledger: which jobs were opened and closed, with the hashes of their first and last lines.
//!
//! A job that is missing, was cut short or was replaced shows here.

use std::collections::BTreeMap;
use std::io::BufRead;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::entry::{give, take};
use super::finding::{PeopleFinding, PeopleRule};
use super::label::Label;
use crate::seal::envelope::EnvelopeError;
use crate::seal::{
    Chain, ChainFinding, Digest, Envelope, Head, Lines, Link, Namespace, Opened, RawLine, Rule, SignerId,
    Signers, check_line,
};

/// The most lines of a ledger that are read: two for each job.
pub const MAX_LINES: u64 = 1_000_000;

/// The most findings that are kept of one file.
const MAX_FINDINGS: usize = 100;

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
    chain: Chain,
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
        let (ledger, findings) = Ledger::read(source, signers);
        if findings.iter().any(|finding| finding.rule.breaks()) {
            Err(findings)
        } else {
            Ok(ledger)
        }
    }

    /// Reads a ledger as far as its lines hold, and tells everything that does not.
    pub fn read(source: impl BufRead, signers: &dyn Signers) -> (Ledger, Vec<PeopleFinding>) {
        Ledger::read_lines(source, signers, true)
    }

    /// Reads some lines of a ledger, such as those of one job, which do not follow each other.
    pub fn read_extract(source: impl BufRead, signers: &dyn Signers) -> (Ledger, Vec<PeopleFinding>) {
        Ledger::read_lines(source, signers, false)
    }

    /// The ledger after one more line (without its LF). Ask this before writing the line, and keep what it gives.
    ///
    /// # Errors
    /// Every finding that breaks the ledger; this ledger stays as it is.
    pub fn append(&self, raw: &[u8], signers: &dyn Signers) -> Result<Ledger, Vec<PeopleFinding>> {
        let mut next = self.clone();
        let number = self.chain.link().n + 1;
        let of_line = |finding| PeopleFinding::of_line(number, finding);
        let opened = Opened::read(raw).map_err(|finding| vec![of_line(finding)])?;
        let mut findings: Vec<_> = next
            .chain
            .step(&opened.entry, opened.hash)
            .into_iter()
            .map(of_line)
            .collect();
        findings.extend(next.take(&opened, signers, number));
        findings.retain(|finding| finding.rule.breaks());
        if findings.is_empty() {
            Ok(next)
        } else {
            Err(findings)
        }
    }

    /// The last line.
    pub fn head(&self) -> Option<Head> {
        self.chain.head()
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

    fn read_lines(source: impl BufRead, signers: &dyn Signers, whole: bool) -> (Ledger, Vec<PeopleFinding>) {
        let (mut ledger, mut findings) = (Ledger::new(), Vec::new());
        for line in Lines::new(source) {
            let last = findings.len() >= MAX_FINDINGS;
            match line {
                Err(error) => findings.push(PeopleFinding::new(0, PeopleRule::Unreadable, error.to_string())),
                Ok(line) if last || line.number > MAX_LINES => {
                    let what = format!(
                        "more than {MAX_LINES} lines or {MAX_FINDINGS} findings: the rest was not read"
                    );
                    findings.push(PeopleFinding::new(line.number, PeopleRule::TooLong, what));
                }
                Ok(line) => {
                    findings.extend(ledger.take_line(&line, signers, whole));
                    continue;
                }
            }
            break;
        }
        (ledger, findings)
    }

    fn take_line(&mut self, line: &RawLine, signers: &dyn Signers, whole: bool) -> Vec<PeopleFinding> {
        let of_line = |finding| PeopleFinding::of_line(line.number, finding);
        if !line.ended {
            let what = "the file ends within this line, which was not written whole";
            return vec![PeopleFinding::new(
                line.number,
                PeopleRule::Line(Rule::TruncatedLine),
                what,
            )];
        }
        match Opened::read_line(line) {
            Err(finding) => {
                self.chain.skip(line.hash);
                vec![of_line(finding)]
            }
            Ok(opened) => {
                let steps = self.chain.step(&opened.entry, opened.hash);
                // Lines cut out of a ledger have gaps between them, but still run forwards.
                let kept = |finding: &ChainFinding| {
                    whole || matches!(finding.rule, Rule::NumberRepeat | Rule::TimeBackwards)
                };
                let mut findings: Vec<_> = steps.into_iter().filter(kept).map(of_line).collect();
                findings.extend(self.take(&opened, signers, line.number));
                findings
            }
        }
    }

    fn take(&mut self, opened: &Opened, signers: &dyn Signers, line: u64) -> Vec<PeopleFinding> {
        let findings = check_line(opened, signers, Namespace::ShopLedger);
        if !findings.is_empty() {
            return findings
                .into_iter()
                .map(|finding| PeopleFinding::of_line(line, finding))
                .collect();
        }
        let fault = self.apply(&opened.entry).err();
        fault
            .map(|(rule, what)| PeopleFinding::new(line, rule, what))
            .into_iter()
            .collect()
    }

    fn apply(&mut self, entry: &Envelope) -> Result<(), (PeopleRule, String)> {
        let (job, said) = LedgerEntry::parse(entry).map_err(|what| (PeopleRule::MalformedEntry, what))?;
        let mismatch = |what: String| Err((PeopleRule::LedgerMismatch, what));
        match (said, self.jobs.get_mut(job)) {
            (LedgerEntry::Opened(opened), None) => {
                let (job, n, at) = (job.to_owned(), entry.n, entry.at);
                self.jobs.insert(
                    job.clone(),
                    LedgerJob {
                        job,
                        n,
                        at,
                        opened,
                        closed: None,
                    },
                );
                Ok(())
            }
            (LedgerEntry::Opened(_), Some(_)) => mismatch(format!("the job {job} is opened twice")),
            (LedgerEntry::Closed(_), None) => {
                mismatch(format!("the job {job} is closed but was never opened"))
            }
            (LedgerEntry::Closed(_), Some(LedgerJob { closed: Some(_), .. })) => {
                mismatch(format!("the job {job} is closed twice"))
            }
            (LedgerEntry::Closed(closed), Some(known)) => {
                known.closed = Some((entry.at, closed));
                Ok(())
            }
        }
    }
}

/// The lines of one job, as they stand in the ledger's bytes, each with its LF.
pub fn extract(ledger: &[u8], job: &str) -> Vec<u8> {
    let lines = ledger.split_inclusive(|byte| *byte == b'\n');
    let of_job = |line: &&[u8]| {
        let opened = Opened::read(line.strip_suffix(b"\n").unwrap_or(line));
        opened.is_ok_and(|opened| opened.entry.job.as_deref() == Some(job))
    };
    lines.filter(of_job).collect::<Vec<_>>().concat()
}
