//! Who somebody was at a moment, as the roster has it.

use crate::people::{Role, Roster};
use crate::player::Actor;
use crate::seal::SignerId;
use chrono::{DateTime, FixedOffset, Utc};

/// The person or tablet `id` at a moment, with the rights that their roles give. A stranger has none.
#[must_use]
pub fn actor(roster: &Roster, id: &str, at: DateTime<FixedOffset>) -> Actor {
    let signer: Option<SignerId> = id.parse().ok();
    let utc = at.with_timezone(&Utc);
    let roles = signer
        .as_ref()
        .map_or(&[][..], |signer| roster.roles_at(signer, utc));
    let holder = signer.as_ref().and_then(|signer| roster.holder(signer));
    let has = |wanted: &[Role]| roles.iter().any(|role| wanted.contains(role));
    Actor {
        id: id.to_owned(),
        supervisor: has(&[Role::Supervisor]),
        worker: has(&[Role::Apprentice, Role::Fitter, Role::Supervisor]),
        tablet: holder.is_some_and(|holder| holder.is_tablet() && holder.key_at(utc).is_some()),
        at,
    }
}
