//! Content under a supervisor's signature: what is approved, what changed since, and the refusal of all else.

use super::clock::World;
use super::error::{SessionError, refused};
use super::founding::{bare, named};
use super::shipped::Content;
use super::shop::Session;
use crate::audit::is_register;
use crate::disk;
use crate::people::approval::{Approve, Withdraw};
use crate::people::{Approval, ApprovalEntry, Approvals, Change, ContentList, Label, Roster};
use crate::player::fact::ApprovalPinned;
use crate::procedure::Job;
use crate::seal::{Digest, Line, Namespace, SignerId, SigningKey, digest};

/// One job of the content, and how its approval stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reviewed {
    /// Its slug, title and revision.
    pub authored: String,
    pub title: String,
    pub revision: u32,
    /// The hash of the list of its files, and how many there are.
    pub content: Digest,
    pub files: usize,
    /// Who approved just this content, and when.
    pub approved: Option<(SignerId, String)>,
    /// Why an approval of just this content was withdrawn.
    pub withdrawn: Option<String>,
    /// How the files differ from those last approved; none when nothing was, or their list was not kept.
    pub changes: Option<Vec<(String, Change)>>,
}

impl Session {
    /// Every job of the content, and how its approval stands.
    ///
    /// # Errors
    /// The content cannot be played, or the disk fails.
    pub fn review(&self) -> Result<Vec<Reviewed>, SessionError> {
        let list = list(&self.content)?;
        let jobs = &self.content.library()?.jobs;
        jobs.iter().map(|job| self.reviewed(job, &list)).collect()
    }

    fn reviewed(&self, job: &Job, list: &ContentList) -> Result<Reviewed, SessionError> {
        let (authored, content) = (job.id.as_str(), list.hash());
        let last = self.approvals.last(authored);
        let before = last.map_or(Ok(None), |last| self.shop.content_list(last.said.content))?;
        let before = before.as_deref().and_then(ContentList::parse);
        let standing = self.standing(job, content);
        let given = self.approvals.given().iter().rev();
        let withdrawn = given
            .filter(|approval| approval.said.authored == authored && approval.said.content == content)
            .find_map(|approval| approval.withdrawn.as_ref());
        Ok(Reviewed {
            authored: authored.to_owned(),
            title: job.title.clone(),
            revision: job.revision,
            content,
            files: list.len(),
            approved: standing.map(|approval| (approval.by.clone(), shown(approval))),
            withdrawn: withdrawn
                .filter(|_| standing.is_none())
                .map(|(_, _, reason)| reason.to_string()),
            changes: before.map(|before| list.changes_since(&before)),
        })
    }

    fn standing(&self, job: &Job, content: Digest) -> Option<&Approval> {
        let standing = self.approvals.standing(job.id.as_str(), content);
        standing.filter(|approval| approval.said.revision == job.revision)
    }

    /// Approves every job of the content that is not approved as it is, signed by the supervisor who is signed
    /// on; gives the slugs of those jobs.
    ///
    /// # Errors
    /// Nobody is signed on, they are no supervisor, or the disk fails.
    pub fn approve(&mut self, reason: Option<&str>) -> Result<Vec<String>, SessionError> {
        let (id, key) = self.signed_on.take().ok_or(SessionError::NobodySignedOn)?;
        let approved = self.approve_as((&id, &key), reason);
        self.signed_on = Some((id, key));
        approved
    }

    fn approve_as(
        &mut self,
        by: (&SignerId, &SigningKey),
        reason: Option<&str>,
    ) -> Result<Vec<String>, SessionError> {
        self.expect_supervisor(by.0)?;
        let before = self.approvals.given().len();
        let mut desk = Desk {
            shop: &mut self.shop,
            roster: &self.roster,
            by,
            world: &self.world,
        };
        self.approvals = desk.approve(&self.approvals, &self.content, reason)?;
        let given = self.approvals.given()[before..].iter();
        Ok(given.map(|approval| approval.said.authored.clone()).collect())
    }

    /// Withdraws the last approval of a job that stands, signed by the supervisor who is signed on.
    ///
    /// # Errors
    /// As [`Session::approve`]; or no approval of this job stands.
    pub fn withdraw(&mut self, authored: &str, reason: &str) -> Result<(), SessionError> {
        let (id, key) = self.signed_on.as_ref().ok_or(SessionError::NobodySignedOn)?;
        self.expect_supervisor(id)?;
        let given = self.approvals.given().iter().rev();
        let mut standing = given.filter(|approval| approval.withdrawn.is_none());
        let last = standing.find(|approval| approval.said.authored == authored);
        let last = last.ok_or_else(|| SessionError::NoSuchApproval(authored.to_owned()))?;
        let entry = ApprovalEntry::Withdraw(Withdraw {
            authored: authored.to_owned(),
            content: last.said.content,
            reason: named(reason)?,
        });
        let mut desk = Desk {
            shop: &mut self.shop,
            roster: &self.roster,
            by: (id, key),
            world: &self.world,
        };
        self.approvals = desk.enter(&self.approvals, &entry)?;
        Ok(())
    }

    /// What the opening of a job for proof pins of its approval, and the lines that go into its folder.
    ///
    /// # Errors
    /// The content is not approved as it is; the sentence says what differs.
    pub(super) fn approval_of(&mut self, job: &Job) -> Result<(ApprovalPinned, Vec<u8>), SessionError> {
        let list = list(&self.content)?;
        let lines = self.approvals.lines();
        let head = lines.checked_sub(1).and_then(|n| self.approvals.hash_of(n));
        let (Some(approval), Some(head)) = (self.standing(job, list.hash()), head) else {
            return Err(self.unapproved(job, &list)?);
        };
        let pinned = ApprovalPinned {
            n: approval.n,
            line: approval.hash.to_string(),
            content: approval.said.content.to_string(),
            head: head.to_string(),
            lines,
        };
        Ok((pinned, super::shop::read_log(self.shop.approvals())?))
    }

    fn unapproved(&self, job: &Job, list: &ContentList) -> Result<SessionError, SessionError> {
        let reviewed = self.reviewed(job, list)?;
        let why = match (&reviewed.withdrawn, &reviewed.changes) {
            (Some(reason), _) => format!("its approval was withdrawn: {reason}"),
            (None, None) => "no supervisor has approved it".to_owned(),
            (None, Some(changes)) => format!("since it was approved, {}", in_words(changes)),
        };
        Ok(SessionError::NotApproved {
            title: reviewed.title,
            revision: reviewed.revision,
            why,
        })
    }
}

/// The first few changes, and how many there are.
fn in_words(changes: &[(String, Change)]) -> String {
    const FIRST: usize = 3;
    let first: Vec<String> = changes
        .iter()
        .take(FIRST)
        .map(|(path, change)| format!("{path} was {}", change.as_str()))
        .collect();
    let more = changes.len().saturating_sub(FIRST);
    match (first.is_empty(), more) {
        (true, _) => "it is another job or revision".to_owned(),
        (false, 0) => first.join(", "),
        (false, more) => format!("{} and {more} more", first.join(", ")),
    }
}

fn shown(approval: &Approval) -> String {
    approval.at.format("%Y-%m-%d %H:%M").to_string()
}

/// The list of the content's files that is approved: all but the register of instruments, which is the shop's.
fn list(content: &Content) -> Result<ContentList, SessionError> {
    let files = content
        .library()?
        .files
        .iter()
        .filter(|(path, _)| !is_register(path));
    ContentList::of(files.map(|(path, bytes)| (path.as_str(), digest(bytes))))
        .ok_or_else(|| SessionError::Content("a file's name holds a control character".into()))
}

/// Where approvals are signed.
pub(super) struct Desk<'a> {
    pub shop: &'a mut disk::Shop,
    pub roster: &'a Roster,
    pub by: (&'a SignerId, &'a SigningKey),
    pub world: &'a World,
}

impl Desk<'_> {
    /// Approves every job of the content that is not approved as it is.
    pub fn approve(
        &mut self,
        approvals: &Approvals,
        content: &Content,
        reason: Option<&str>,
    ) -> Result<Approvals, SessionError> {
        let list = list(content)?;
        let reason: Option<Label> = reason.map(named).transpose()?;
        let mut approvals = approvals.clone();
        // The list is on the disk before the line that names it.
        self.shop.write_content_list(list.text())?;
        for job in &content.library()?.jobs {
            let standing = approvals.standing(job.id.as_str(), list.hash());
            if standing.is_some_and(|approval| approval.said.revision == job.revision) {
                continue;
            }
            let entry = ApprovalEntry::Approve(Approve {
                authored: job.id.to_string(),
                title: named(&job.title)?,
                revision: job.revision,
                content: list.hash(),
                reason: reason.clone(),
            });
            approvals = self.enter(&approvals, &entry)?;
        }
        Ok(approvals)
    }

    fn enter(&mut self, approvals: &Approvals, entry: &ApprovalEntry) -> Result<Approvals, SessionError> {
        let (id, key) = self.by;
        let text = entry.text(approvals.link(), self.world.now(), id)?;
        let line = Line::signed(text, id.clone(), key, Namespace::ContentApproval).to_bytes()?;
        let next = approvals
            .append(bare(&line), self.roster)
            .map_err(|findings| refused("approvals", &findings))?;
        self.shop.approvals().append(&line)?;
        Ok(next)
    }
}
