//! All people and tablets of the shop, replayed from signed lines.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};

use super::holder::Holder;
use super::label::Label;
use super::role::Role;
use crate::seal::{
    AllowedSigners, Chain, ChainFinding, Digest, Head, Link, Namespace, PublicKey, Rule, Signature, SignerId,
    Signers,
};

/// The shop's people and tablets, as far as the roster was read.
#[derive(Debug, Clone)]
pub struct Roster {
    pub(super) shop: Label,
    pub(super) root: PublicKey,
    /// Changed by [`Roster::put`] alone.
    pub(super) holders: BTreeMap<SignerId, Holder>,
    /// What each of them may sign, and when: asked at every line.
    pub(super) grants: BTreeMap<SignerId, AllowedSigners>,
    pub(super) hashes: Vec<Digest>,
    pub(super) chain: Chain,
}

impl Roster {
    /// The shop's name.
    pub fn shop(&self) -> &str {
        self.shop.as_str()
    }

    /// The fingerprint of the root supervisor's first key: what a stranger must know by another way.
    pub fn root_fingerprint(&self) -> String {
        self.root.fingerprint()
    }

    /// The last line.
    pub fn head(&self) -> Option<Head> {
        self.chain.head()
    }

    /// What the next entry must carry.
    pub fn link(&self) -> Link {
        self.chain.link()
    }

    /// How many lines were read.
    pub fn lines(&self) -> u64 {
        self.hashes.len() as u64
    }

    /// The hash of line `n`, from 0. A record that pins a head is held against it.
    pub fn hash_of(&self, n: u64) -> Option<Digest> {
        self.hashes.get(usize::try_from(n).ok()?).copied()
    }

    /// A person or tablet.
    pub fn holder(&self, id: &SignerId) -> Option<&Holder> {
        self.holders.get(id)
    }

    /// All people, by id, those who left among them.
    pub fn people(&self) -> impl Iterator<Item = &Holder> {
        self.holders.values().filter(|holder| !holder.is_tablet())
    }

    /// All tablets, by id.
    pub fn tablets(&self) -> impl Iterator<Item = &Holder> {
        self.holders.values().filter(|holder| holder.is_tablet())
    }

    /// The roles of a person at a moment; none for a stranger.
    pub fn roles_at(&self, id: &SignerId, at: DateTime<Utc>) -> &[Role] {
        self.holder(id).map_or(&[], |holder| holder.roles_at(at))
    }

    /// The key with which somebody could sign at a moment.
    pub fn key_at(&self, id: &SignerId, at: DateTime<Utc>) -> Option<&PublicKey> {
        self.holder(id).and_then(|holder| holder.key_at(at))
    }

    /// Whether a person had a role, and a key to sign with, at a moment.
    pub fn may(&self, id: &SignerId, role: Role, at: DateTime<Utc>) -> bool {
        self.roles_at(id, at).contains(&role) && self.key_at(id, at).is_some()
    }

    /// Puts somebody in their place, as they are from now on.
    pub(super) fn put(&mut self, holder: Holder) {
        let grants = AllowedSigners::new(holder.grants());
        self.grants.insert(holder.id.clone(), grants);
        self.holders.insert(holder.id.clone(), holder);
    }

    /// The `allowed_signers` file that says the same to stock ssh-keygen, except for roles.
    pub fn to_allowed_signers(&self) -> AllowedSigners {
        AllowedSigners::new(self.holders.values().flat_map(Holder::grants).collect())
    }
}

impl Signers for Roster {
    fn check(
        &self,
        id: &SignerId,
        key: &PublicKey,
        namespace: Namespace,
        at: DateTime<Utc>,
    ) -> Result<(), ChainFinding> {
        let unknown = || ChainFinding::new(Rule::UnknownSigner, format!("`{id}` is not in the roster"));
        let grants = self.grants.get(id).ok_or_else(unknown)?;
        grants.check(id, key, namespace, at)
    }

    fn known(&self, id: &SignerId, signature: &Signature) -> Option<&PublicKey> {
        let mut keys = self.holder(id)?.keys.iter().map(|span| &span.key);
        keys.find(|key| signature.names(key))
    }
}
