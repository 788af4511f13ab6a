//! One person or tablet: keys, roles and when they hold.

use chrono::{DateTime, TimeDelta, Utc};

use super::label::Label;
use super::role::Role;
use crate::seal::allowed_signers::Grant;
use crate::seal::{Namespace, PublicKey, SignerId};

/// A key and the seconds in which it is valid, both ends among them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeySpan {
    /// The key.
    pub key: PublicKey,
    /// The first second.
    pub from: DateTime<Utc>,
    /// The last second; none means until further notice.
    pub until: Option<DateTime<Utc>>,
}

/// A person or a tablet of the shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    pub(super) id: SignerId,
    /// The name of a person; a tablet has none.
    pub(super) name: Option<Label>,
    pub(super) keys: Vec<KeySpan>,
    /// From when which roles, in the roster's order. Empty for a tablet.
    pub(super) roles: Vec<(DateTime<Utc>, Vec<Role>)>,
    pub(super) retired: Option<DateTime<Utc>>,
}

impl KeySpan {
    /// Whether the key is valid at a moment; parts of a second do not count, as for ssh-keygen.
    pub fn holds(&self, at: DateTime<Utc>) -> bool {
        let second = at.timestamp();
        self.from.timestamp() <= second && self.until.is_none_or(|until| second <= until.timestamp())
    }

    /// Ends the validity at `at`, unless it ends before.
    pub(super) fn end(&mut self, at: DateTime<Utc>) {
        self.until = Some(self.until.map_or(at, |until| until.min(at)));
    }
}

impl Holder {
    /// The id.
    pub fn id(&self) -> &SignerId {
        &self.id
    }

    /// The name of a person.
    pub fn name(&self) -> Option<&str> {
        self.name.as_ref().map(Label::as_str)
    }

    /// Whether this is a tablet.
    pub fn is_tablet(&self) -> bool {
        self.name.is_none()
    }

    /// All keys, the first first.
    pub fn keys(&self) -> &[KeySpan] {
        &self.keys
    }

    /// When the person or tablet left.
    pub fn retired(&self) -> Option<DateTime<Utc>> {
        self.retired
    }

    /// The key that is valid at a moment; the newest, where two meet in one second.
    pub fn key_at(&self, at: DateTime<Utc>) -> Option<&PublicKey> {
        self.keys
            .iter()
            .rev()
            .find(|span| span.holds(at))
            .map(|span| &span.key)
    }

    /// The roles at a moment; none before joining and after leaving.
    pub fn roles_at(&self, at: DateTime<Utc>) -> &[Role] {
        if self
            .retired
            .is_some_and(|retired| retired.timestamp() < at.timestamp())
        {
            return &[];
        }
        let begun = self
            .roles
            .iter()
            .rev()
            .find(|(from, _)| from.timestamp() <= at.timestamp());
        begun.map_or(&[], |(_, roles)| roles)
    }

    /// The lines of `allowed_signers` that say the same: one for each key and each stretch of equal roles.
    pub(super) fn grants(&self) -> Vec<Grant> {
        self.keys.iter().flat_map(|span| self.stretches(span)).collect()
    }

    fn stretches(&self, span: &KeySpan) -> Vec<Grant> {
        let mut starts = vec![span.from];
        starts.extend(
            self.roles
                .iter()
                .map(|(from, _)| *from)
                .filter(|from| *from > span.from),
        );
        starts.sort();
        starts.dedup();
        let mut grants: Vec<Grant> = Vec::new();
        for (at, from) in starts.iter().enumerate() {
            let next = starts.get(at + 1).copied();
            let until = [next, span.until].into_iter().flatten().min();
            let namespaces = self.namespaces_at(*from);
            match grants.last_mut().filter(|last| last.namespaces == namespaces) {
                Some(last) => last.valid_before = until,
                None => grants.push(self.grant(span, *from, until, namespaces)),
            }
        }
        // A stretch of no length is a line that ssh-keygen refuses, and nothing can have been signed in it.
        grants.retain(|grant| match (grant.valid_after, grant.valid_before) {
            (Some(from), Some(until)) => from.timestamp() < until.timestamp(),
            _ => true,
        });
        grants
    }

    fn grant(
        &self,
        span: &KeySpan,
        from: DateTime<Utc>,
        until: Option<DateTime<Utc>>,
        namespaces: Option<Vec<Namespace>>,
    ) -> Grant {
        let (id, key) = (self.id.clone(), span.key.clone());
        Grant {
            id,
            namespaces,
            valid_after: Some(from),
            valid_before: until,
            key,
        }
    }

    fn namespaces_at(&self, at: DateTime<Utc>) -> Option<Vec<Namespace>> {
        let mut namespaces = vec![Namespace::JobRecord, Namespace::PracticeRecord];
        if self.is_tablet() {
            namespaces.push(Namespace::ShopLedger);
        } else if self.roles_at(at).contains(&Role::Supervisor) {
            namespaces.extend([Namespace::ShopRoster, Namespace::ContentApproval]);
        }
        Some(namespaces)
    }

    /// Whether some key is valid at `at` or will be later.
    pub(super) fn has_future(&self, at: DateTime<Utc>) -> bool {
        let later = at + TimeDelta::seconds(1);
        self.keys
            .iter()
            .any(|span| span.until.is_none_or(|until| until >= later))
    }
}
