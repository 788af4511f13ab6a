//! Whether a job's content was approved by a supervisor when the job was opened.

use super::known::ApprovalsRead;
use super::{Finding, Meaning, content};
use crate::people::{Approval, Approvals};
use crate::player::fact::{ApprovalPinned, Opening};
use crate::seal::Digest;
use chrono::{DateTime, FixedOffset};
use std::io;
use std::sync::Arc;

/// The folder's own approvals.
pub(super) const FILE: &str = "approvals.jsonl";

/// Everything that is wrong with the approval of a job opened at `at`. `here` are the folder's own approvals, `shop`
/// the shop's.
///
/// Practice needs none. Records from before there were approvals name none, which is told and breaks nothing.
pub(super) fn check(
    here: io::Result<Option<Arc<ApprovalsRead>>>,
    opening: &Opening,
    at: DateTime<FixedOffset>,
    shop: Option<&Approvals>,
) -> Vec<Finding> {
    if opening.practice {
        return Vec::new();
    }
    let here = match here {
        Ok(here) => here,
        Err(error) => return vec![Finding::new(Meaning::Unreadable, FILE, error.to_string())],
    };
    let Some(pinned) = &opening.approval else {
        return vec![unnamed(here.is_some(), at, shop)];
    };
    let Some(here) = here else {
        return vec![unapproved("it is not there, though entry 0 names an approval")];
    };
    let (here, findings) = &*here;
    let mut findings: Vec<Finding> = findings
        .iter()
        .cloned()
        .map(|finding| Finding::of_people(FILE, finding))
        .collect();
    findings.extend(named(here, opening, pinned).err().map(unapproved));
    findings.extend(
        shop.and_then(|shop| shops(here, shop, pinned, at).err())
            .map(unapproved),
    );
    findings
}

fn unapproved(what: impl Into<String>) -> Finding {
    Finding::new(Meaning::UnapprovedContent, FILE, what)
}

/// The opening names no approval: a fault where the shop approved content by then, since it had to be named.
fn unnamed(here: bool, at: DateTime<FixedOffset>, shop: Option<&Approvals>) -> Finding {
    let what = "the opening names no approval of its content";
    let by_then = shop.and_then(Approvals::since).is_some_and(|since| since <= at);
    if here || by_then {
        Finding::at_entry(
            Meaning::UnapprovedContent,
            0,
            format!("{what}, though the shop approves content"),
        )
    } else {
        Finding::at_entry(Meaning::ApprovalMissing, 0, what)
    }
}

/// The approval that the opening names stands in the folder, is of this content, and was not withdrawn by then.
fn named(here: &Approvals, opening: &Opening, pinned: &ApprovalPinned) -> Result<(), String> {
    let head = pinned.lines.checked_sub(1).and_then(|n| here.hash_of(n));
    if !is(head, &pinned.head) {
        return Err(format!("line {} is not the one that entry 0 pins", pinned.lines));
    }
    let found = here
        .given()
        .iter()
        .find(|approval| approval.n == pinned.n && is(Some(approval.hash), &pinned.line));
    let approval = found.filter(|_| pinned.n < pinned.lines).ok_or_else(|| {
        format!(
            "the approval {} that entry 0 names does not stand in it",
            pinned.n
        )
    })?;
    of_this(approval, opening, pinned)?;
    match &approval.withdrawn {
        Some((n, at, reason)) if *n < pinned.lines => Err(format!(
            "the approval was withdrawn on {} before the job was opened: {reason}",
            at.format("%Y-%m-%d %H:%M")
        )),
        _ => Ok(()),
    }
}

fn of_this(approval: &Approval, opening: &Opening, pinned: &ApprovalPinned) -> Result<(), String> {
    let said = &approval.said;
    if (said.authored.as_str(), said.revision) != (opening.job.as_str(), opening.revision) {
        return Err(format!(
            "the approval is of `{}` revision {}, the job is `{}` revision {}",
            said.authored, said.revision, opening.job, opening.revision
        ));
    }
    let used = content::content_list(&opening.content).map(|list| list.hash());
    if used != Some(said.content) || !is(Some(said.content), &pinned.content) {
        let used = used.map_or_else(|| "no list at all".to_owned(), |used| used.to_string());
        return Err(format!(
            "the approved files have the hash {}, those that entry 0 pins have {used}",
            said.content
        ));
    }
    Ok(())
}

/// The folder's approvals are a beginning of the shop's, and none that the folder leaves out withdrew this one by then.
fn shops(
    here: &Approvals,
    shop: &Approvals,
    pinned: &ApprovalPinned,
    at: DateTime<FixedOffset>,
) -> Result<(), String> {
    let last = here.lines().checked_sub(1);
    if last.is_none_or(|n| here.hash_of(n) != shop.hash_of(n)) {
        return Err("it is not a beginning of the shop's approvals".into());
    }
    let found = shop.given().iter().find(|approval| approval.n == pinned.n);
    match found.and_then(|approval| approval.withdrawn.as_ref()) {
        Some((_, when, _)) if *when < at => Err(format!(
            "the shop withdrew the approval on {}, before the job was opened",
            when.format("%Y-%m-%d %H:%M")
        )),
        _ => Ok(()),
    }
}

fn is(hash: Option<Digest>, written: &str) -> bool {
    hash.is_some_and(|hash| hash.to_string() == written)
}
