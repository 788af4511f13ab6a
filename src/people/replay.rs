//! Lines to a roster: each one is checked with what the lines before it say.

use std::collections::BTreeMap;
use std::io::BufRead;

use chrono::{DateTime, FixedOffset, Utc};

use super::chain::{self, Chained};
use super::change::new_holder;
use super::entry::{Root, RosterEntry};
use super::finding::{PeopleFinding, PeopleRule};
use super::holder::Holder;
use super::role::Role;
use super::roster::Roster;
use crate::seal::allowed_signers::Grant;
use crate::seal::{
    AllowedSigners, Chain, ChainFinding, Digest, Namespace, Opened, PublicKey, Rule, Signature, SignerId,
    Signers, check_line,
};

impl Roster {
    /// Reads a whole roster and accepts it only if nothing in it is broken. A clock that ran backwards is let by.
    ///
    /// # Errors
    /// Every finding, the harmless ones among them.
    pub fn replay(source: impl BufRead) -> Result<Roster, Vec<PeopleFinding>> {
        match Roster::read(source) {
            (Some(roster), findings) if !findings.iter().any(|finding| finding.rule.breaks()) => Ok(roster),
            (_, findings) => Err(findings),
        }
    }

    /// Reads a roster as far as its lines hold, and tells everything that does not.
    ///
    /// Lines with a fault are not applied. There is no roster without a root that holds.
    pub fn read(source: impl BufRead) -> (Option<Roster>, Vec<PeopleFinding>) {
        let mut roster = None;
        let mut findings = chain::read(source, &mut roster, &|_| Vec::new());
        if roster.is_none() && findings.is_empty() {
            findings.push(PeopleFinding::new(
                0,
                PeopleRule::BadRoot,
                "the roster is empty; a root line is expected",
            ));
        }
        (roster, findings)
    }

    /// The roster of a shop that begins with this line (without its LF).
    ///
    /// # Errors
    /// The line is no root that signed itself.
    pub fn found(raw: &[u8]) -> Result<Roster, Vec<PeopleFinding>> {
        let opened = Opened::read(raw).map_err(|finding| vec![PeopleFinding::of_line(1, finding)])?;
        Roster::root(&opened, 1)
    }

    /// The roster after one more line (without its LF). Ask this before writing the line, and keep what it gives.
    ///
    /// # Errors
    /// Every finding that breaks the roster; this roster stays as it is.
    pub fn append(&self, raw: &[u8]) -> Result<Roster, Vec<PeopleFinding>> {
        // Whoever has a root keeps one.
        let longer = chain::longer(Some(self.clone()), raw, self.lines() + 1)?;
        Ok(longer.unwrap_or_else(|| self.clone()))
    }

    /// The roster that begins with a root, if the line is one.
    fn root(opened: &Opened, line: u64) -> Result<Roster, Vec<PeopleFinding>> {
        let bad = |what: String| vec![PeopleFinding::new(line, PeopleRule::BadRoot, what)];
        let root = match RosterEntry::parse(&opened.entry) {
            Ok(RosterEntry::Root(root)) => root,
            Ok(other) => {
                return Err(bad(format!(
                    "the roster begins with `{}`, not with `root`",
                    other.kind()
                )));
            }
            Err(what) => return Err(bad(what)),
        };
        check_root(&root, opened).map_err(bad)?;
        let mut chain = Chain::new();
        let mut findings = chain.step(&opened.entry, opened.hash);
        findings.extend(check_line(opened, &own_key(&root), Namespace::ShopRoster));
        if !findings.is_empty() {
            return Err(findings
                .into_iter()
                .map(|finding| PeopleFinding::of_line(line, finding))
                .collect());
        }
        let from = opened.entry.at.to_utc();
        let holder = new_holder(
            &root.person,
            Some(&root.name),
            &root.key,
            (from, None),
            &root.roles,
        );
        let mut roster = Roster {
            shop: root.shop,
            root: root.key,
            holders: BTreeMap::new(),
            grants: BTreeMap::new(),
            hashes: vec![opened.hash],
            chain,
        };
        roster.put(holder);
        Ok(roster)
    }

    /// Takes a line that was read, and applies its entry if the line holds.
    fn take(&mut self, opened: &Opened, line: u64) -> Vec<PeopleFinding> {
        let latest = self.chain.latest();
        let signers = InOrder(UpTo { roster: self, latest });
        let mut findings = check_line(opened, &signers, Namespace::ShopRoster);
        let sealed = findings.is_empty();
        findings.extend(self.chain.step(&opened.entry, opened.hash));
        self.hashes.push(opened.hash);
        let mut findings: Vec<_> = findings
            .into_iter()
            .map(|finding| PeopleFinding::of_line(line, finding))
            .collect();
        if sealed {
            let fault = self.apply(opened).err();
            findings.extend(fault.map(|(rule, what)| PeopleFinding::new(line, rule, what)));
        }
        findings
    }
}

/// The roster's signers where the order of lines counts as well as the times in them: a key must be good at the
/// line's own time and at the latest time before it, so that nobody undoes its end by writing an earlier time.
pub(super) struct UpTo<'a> {
    pub roster: &'a Roster,
    pub latest: Option<DateTime<FixedOffset>>,
}

impl Signers for UpTo<'_> {
    fn check(
        &self,
        id: &SignerId,
        key: &PublicKey,
        namespace: Namespace,
        at: DateTime<Utc>,
    ) -> Result<(), ChainFinding> {
        let latest = self.latest.map_or(at, |latest| latest.to_utc().max(at));
        self.roster.check(id, key, namespace, at)?;
        self.roster.check(id, key, namespace, latest)
    }

    fn known(&self, id: &SignerId, signature: &Signature) -> Option<&PublicKey> {
        self.roster.known(id, signature)
    }
}

/// The roster's signers for the roster itself: whoever left, or has another key, by the lines before signs no more,
/// not even in that very second.
struct InOrder<'a>(UpTo<'a>);

impl Signers for InOrder<'_> {
    fn check(
        &self,
        id: &SignerId,
        key: &PublicKey,
        namespace: Namespace,
        at: DateTime<Utc>,
    ) -> Result<(), ChainFinding> {
        self.0.check(id, key, namespace, at)?;
        let ended = |holder: &Holder| {
            holder.retired.is_some() || holder.keys.last().is_none_or(|span| span.key != *key)
        };
        if self.0.roster.holder(id).is_none_or(ended) {
            let what = format!("an earlier line of the roster ended this key of `{id}`");
            return Err(ChainFinding::new(Rule::ExpiredSigner, what));
        }
        Ok(())
    }

    fn known(&self, id: &SignerId, signature: &Signature) -> Option<&PublicKey> {
        self.0.known(id, signature)
    }
}

impl Chained for Option<Roster> {
    const MOST_LINES: u64 = 10_000;

    fn take(&mut self, opened: Box<Opened>, _: Vec<ChainFinding>, line: u64) -> Vec<PeopleFinding> {
        match self {
            Some(roster) => roster.take(&opened, line),
            None if line == 1 => match Roster::root(&opened, 1) {
                Ok(begun) => {
                    *self = Some(begun);
                    Vec::new()
                }
                Err(found) => found,
            },
            // Without a root nothing after it can be judged, and the root's own finding says so.
            None => Vec::new(),
        }
    }

    fn skip(&mut self, hash: Digest) {
        if let Some(roster) = self {
            roster.chain.skip(hash);
            roster.hashes.push(hash);
        }
    }
}

fn check_root(root: &Root, opened: &Opened) -> Result<(), String> {
    if root.person != opened.entry.by {
        return Err(format!(
            "the root is `{}` but `{}` made the entry",
            root.person, opened.entry.by
        ));
    }
    if !root.roles.contains(&Role::Supervisor) {
        return Err(format!("the root `{}` is no supervisor", root.person));
    }
    Ok(())
}

/// The root's line is checked with the key that it names itself.
fn own_key(root: &Root) -> AllowedSigners {
    let (id, key) = (root.person.clone(), root.key.clone());
    AllowedSigners::new(vec![Grant {
        id,
        key,
        namespaces: None,
        valid_after: None,
        valid_before: None,
    }])
}
