//! Which content the shop's supervisors approved for jobs that count as proof: a chain of signed entries.

use std::io::BufRead;

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::chain::{self, Chained, accepted};
use super::entry::{give, take};
use super::finding::{PeopleFinding, PeopleRule};
use super::label::Label;
use super::replay::UpTo;
use super::role::Role;
use super::roster::Roster;
use crate::seal::envelope::EnvelopeError;
use crate::seal::{Chain, ChainFinding, Digest, Envelope, Link, Namespace, Opened, SignerId, check_line};

/// What an entry says about an authored job and its content.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ApprovalEntry {
    /// Jobs may be opened with it from now on.
    Approve(Approve),
    /// No job may be opened with it any more.
    Withdraw(Withdraw),
}

/// See [`ApprovalEntry::Approve`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Approve {
    /// The authored job's slug.
    pub authored: String,
    /// Its title.
    pub title: Label,
    /// Its revision.
    pub revision: u32,
    /// The hash of the list of all its files.
    pub content: Digest,
    /// What was looked at, or why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<Label>,
}

/// See [`ApprovalEntry::Withdraw`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdraw {
    /// The authored job's slug.
    pub authored: String,
    /// The hash of the list that was approved.
    pub content: Digest,
    /// Why.
    pub reason: Label,
}

/// An approval that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Approval {
    /// Its entry's number.
    pub n: u64,
    /// The hash of its line.
    pub hash: Digest,
    /// When it was given.
    pub at: DateTime<FixedOffset>,
    /// By which supervisor.
    pub by: SignerId,
    /// What was approved.
    pub said: Approve,
    /// The entry that withdrew it: its number, its time and the reason.
    pub withdrawn: Option<(u64, DateTime<FixedOffset>, Label)>,
}

/// The shop's approvals, as far as they were read.
#[derive(Debug, Clone, Default)]
pub struct Approvals {
    given: Vec<Approval>,
    hashes: Vec<Digest>,
    first: Option<DateTime<FixedOffset>>,
    chain: Chain,
}

impl ApprovalEntry {
    /// The kind's name in the entry.
    pub const fn kind(&self) -> &'static str {
        match self {
            ApprovalEntry::Approve(_) => "approve",
            ApprovalEntry::Withdraw(_) => "withdraw",
        }
    }

    fn authored(&self) -> &str {
        match self {
            ApprovalEntry::Approve(said) => &said.authored,
            ApprovalEntry::Withdraw(said) => &said.authored,
        }
    }

    /// Reads an entry's body by its kind.
    ///
    /// # Errors
    /// An unknown kind, or a body that is not of the kind's form.
    pub fn parse(entry: &Envelope) -> Result<ApprovalEntry, String> {
        let read = match entry.kind.as_str() {
            "approve" => take(&entry.body).map(ApprovalEntry::Approve),
            "withdraw" => take(&entry.body).map(ApprovalEntry::Withdraw),
            other => Err(format!("`{other}` is not a kind: approve or withdraw")),
        }?;
        check_slug(read.authored()).map(|()| read)
    }

    /// Writes the text to be signed by `by`.
    ///
    /// # Errors
    /// The entry could not be read again.
    pub fn text(
        &self,
        link: Link,
        at: DateTime<FixedOffset>,
        by: &SignerId,
    ) -> Result<String, EnvelopeError> {
        let body = match self {
            ApprovalEntry::Approve(body) => give(body),
            ApprovalEntry::Withdraw(body) => give(body),
        }?;
        check_slug(self.authored()).map_err(|what| EnvelopeError::Json { what })?;
        Envelope::new(link, at, by.clone(), self.kind(), None, body).to_text()
    }
}

fn check_slug(text: &str) -> Result<(), String> {
    let allowed = |byte: u8| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_');
    if (1..=80).contains(&text.len()) && text.bytes().all(allowed) {
        return Ok(());
    }
    let found: String = text.chars().take(80).collect();
    Err(format!(
        "`{found}` is no authored job: 1 to 80 of a-z 0-9 - _ are expected"
    ))
}

impl Approvals {
    /// Reads a whole file and accepts it only if nothing in it is broken. A clock that ran backwards is let by.
    ///
    /// # Errors
    /// Every finding, the harmless ones among them.
    pub fn replay(source: impl BufRead, roster: &Roster) -> Result<Approvals, Vec<PeopleFinding>> {
        accepted(Approvals::read(source, roster))
    }

    /// Reads a file as far as its lines hold, and tells everything that does not. Faulty lines are not applied.
    pub fn read(source: impl BufRead, roster: &Roster) -> (Approvals, Vec<PeopleFinding>) {
        let mut by = By {
            approvals: Approvals::default(),
            roster,
        };
        let findings = chain::read(source, &mut by, &|_| Vec::new());
        (by.approvals, findings)
    }

    /// The approvals after one more line (without its LF). Ask this before writing the line, and keep what it gives.
    ///
    /// # Errors
    /// Every finding that breaks the file; these approvals stay as they are.
    pub fn append(&self, raw: &[u8], roster: &Roster) -> Result<Approvals, Vec<PeopleFinding>> {
        let approvals = self.clone();
        chain::longer(By { approvals, roster }, raw, self.lines() + 1).map(|by| by.approvals)
    }

    /// What the next entry must carry.
    pub fn link(&self) -> Link {
        self.chain.link()
    }

    /// How many lines were read.
    pub fn lines(&self) -> u64 {
        self.hashes.len() as u64
    }

    /// The hash of line `n`, from 0.
    pub fn hash_of(&self, n: u64) -> Option<Digest> {
        self.hashes.get(usize::try_from(n).ok()?).copied()
    }

    /// When the first line was written.
    pub fn since(&self) -> Option<DateTime<FixedOffset>> {
        self.first
    }

    /// All approvals in the order in which they were given, those that were withdrawn among them.
    pub fn given(&self) -> &[Approval] {
        &self.given
    }

    /// The approval of this content for this job that stands, if one does.
    pub fn standing(&self, authored: &str, content: Digest) -> Option<&Approval> {
        let fits = |approval: &&Approval| {
            approval.said.authored == authored
                && approval.said.content == content
                && approval.withdrawn.is_none()
        };
        self.given.iter().rev().find(fits)
    }

    /// The last approval of any content for this job.
    pub fn last(&self, authored: &str) -> Option<&Approval> {
        let given = self.given.iter().rev();
        given
            .into_iter()
            .find(|approval| approval.said.authored == authored)
    }

    fn take(&mut self, opened: &Opened, roster: &Roster, line: u64) -> Vec<PeopleFinding> {
        let latest = self
            .chain
            .latest()
            .map_or(opened.entry.at, |at| at.max(opened.entry.at));
        let signers = UpTo {
            roster,
            latest: Some(latest),
        };
        let seal = check_line(opened, &signers, Namespace::ContentApproval);
        let by = &opened.entry.by;
        // Whoever lost the role cannot approve by writing an earlier time.
        let may = [opened.entry.at, latest]
            .iter()
            .all(|at| roster.may(by, Role::Supervisor, at.to_utc()));
        let holds = seal.is_empty() && may;
        let steps = self.chain.step(&opened.entry, opened.hash);
        let whole = !steps.iter().any(|finding| finding.rule.breaks());
        self.hashes.push(opened.hash);
        self.first.get_or_insert(opened.entry.at);
        let mut findings: Vec<PeopleFinding> = seal
            .into_iter()
            .chain(steps)
            .map(|finding| PeopleFinding::of_line(line, finding))
            .collect();
        if !may {
            let what = format!("`{by}` is no supervisor at that point; only a supervisor approves content");
            findings.push(PeopleFinding::new(line, PeopleRule::WrongRole, what));
        }
        if holds && whole {
            let fault = self.apply(opened).err();
            findings.extend(fault.map(|(rule, what)| PeopleFinding::new(line, rule, what)));
        }
        findings
    }

    fn apply(&mut self, opened: &Opened) -> Result<(), (PeopleRule, String)> {
        let entry = &opened.entry;
        let said = ApprovalEntry::parse(entry).map_err(|what| (PeopleRule::MalformedEntry, what))?;
        let mismatch = |what: String| Err((PeopleRule::ApprovalMismatch, what));
        match said {
            ApprovalEntry::Approve(said) => {
                if self.standing(&said.authored, said.content).is_some() {
                    return mismatch(format!("this content of `{}` is approved already", said.authored));
                }
                self.given.push(Approval {
                    n: entry.n,
                    hash: opened.hash,
                    at: entry.at,
                    by: entry.by.clone(),
                    said,
                    withdrawn: None,
                });
                Ok(())
            }
            ApprovalEntry::Withdraw(said) => {
                let Some(n) = self
                    .standing(&said.authored, said.content)
                    .map(|approval| approval.n)
                else {
                    return mismatch(format!(
                        "no approval of this content of `{}` stands",
                        said.authored
                    ));
                };
                if let Some(approval) = self.given.iter_mut().find(|approval| approval.n == n) {
                    approval.withdrawn = Some((entry.n, entry.at, said.reason));
                }
                Ok(())
            }
        }
    }
}

/// Approvals, and the roster that says who could give them.
struct By<'a> {
    approvals: Approvals,
    roster: &'a Roster,
}

impl Chained for By<'_> {
    const MOST_LINES: u64 = 10_000;

    fn take(&mut self, opened: Box<Opened>, _: Vec<ChainFinding>, line: u64) -> Vec<PeopleFinding> {
        self.approvals.take(&opened, self.roster, line)
    }

    fn skip(&mut self, hash: Digest) {
        self.approvals.chain.skip(hash);
        self.approvals.hashes.push(hash);
    }
}
