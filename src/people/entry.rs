//! The kinds of roster entry, to text and back. The session signs the text.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use super::label::Label;
use super::role::Role;
use crate::seal::envelope::EnvelopeError;
use crate::seal::{Envelope, Link, PublicKey, SignerId};

/// What a roster entry says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RosterEntry {
    /// The shop's root supervisor; the first line, signed with the key that it names.
    Root(Root),
    /// A person joins.
    Join(Join),
    /// A tablet joins.
    Tablet(Tablet),
    /// A person or tablet leaves, at the entry's time.
    Retire(Retire),
    /// A person or tablet has a new key, from the entry's time.
    Rotate(Rotate),
    /// A person has other roles, from the entry's time.
    Roles(Roles),
}

/// See [`RosterEntry::Root`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Root {
    /// The shop's name.
    pub shop: Label,
    /// The root supervisor's id, equal to `by`.
    pub person: SignerId,
    /// Their name.
    pub name: Label,
    /// Their roles, `supervisor` among them.
    pub roles: Vec<Role>,
    /// Their key.
    pub key: PublicKey,
}

/// See [`RosterEntry::Join`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Join {
    /// The person's id.
    pub person: SignerId,
    /// Their name.
    pub name: Label,
    /// Their roles, at least one.
    pub roles: Vec<Role>,
    /// Their key.
    pub key: PublicKey,
    /// The first second in which the key is valid: not before the entry's time.
    #[serde(with = "rfc3339")]
    pub valid_from: DateTime<FixedOffset>,
    /// The last second in which it is valid; none means until further notice.
    #[serde(default, with = "rfc3339_option", skip_serializing_if = "Option::is_none")]
    pub valid_until: Option<DateTime<FixedOffset>>,
}

/// See [`RosterEntry::Tablet`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tablet {
    /// The tablet's id, beginning with `tablet-`.
    pub tablet: SignerId,
    /// Its key.
    pub key: PublicKey,
    /// The first second in which the key is valid: not before the entry's time.
    #[serde(with = "rfc3339")]
    pub valid_from: DateTime<FixedOffset>,
    /// The last second in which it is valid; none means until further notice.
    #[serde(default, with = "rfc3339_option", skip_serializing_if = "Option::is_none")]
    pub valid_until: Option<DateTime<FixedOffset>>,
}

/// See [`RosterEntry::Retire`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Retire {
    /// Who leaves.
    pub id: SignerId,
    /// Why.
    pub reason: Label,
}

/// See [`RosterEntry::Rotate`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rotate {
    /// Whose key changes.
    pub id: SignerId,
    /// The new key.
    pub key: PublicKey,
    /// Why.
    pub reason: Label,
}

/// See [`RosterEntry::Roles`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Roles {
    /// Whose roles change.
    pub person: SignerId,
    /// All their roles from now on, at least one.
    pub roles: Vec<Role>,
}

/// What the id of every tablet begins with, and that of no person.
pub const TABLET_PREFIX: &str = "tablet-";

impl RosterEntry {
    /// The kind's name in the entry.
    pub const fn kind(&self) -> &'static str {
        match self {
            RosterEntry::Root(_) => "root",
            RosterEntry::Join(_) => "join",
            RosterEntry::Tablet(_) => "tablet",
            RosterEntry::Retire(_) => "retire",
            RosterEntry::Rotate(_) => "rotate",
            RosterEntry::Roles(_) => "roles",
        }
    }

    /// Reads an entry's body by its kind.
    ///
    /// # Errors
    /// An unknown kind, a missing, unknown or ill-formed key, no roles or one twice, an id of the wrong sort.
    pub fn parse(entry: &Envelope) -> Result<RosterEntry, String> {
        let body = &entry.body;
        let read = match entry.kind.as_str() {
            "root" => take(body).map(RosterEntry::Root),
            "join" => take(body).map(RosterEntry::Join),
            "tablet" => take(body).map(RosterEntry::Tablet),
            "retire" => take(body).map(RosterEntry::Retire),
            "rotate" => take(body).map(RosterEntry::Rotate),
            "roles" => take(body).map(RosterEntry::Roles),
            other => Err(format!(
                "`{other}` is not a kind: root, join, tablet, retire, rotate or roles"
            )),
        }?;
        read.check_form().map(|()| read)
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
            RosterEntry::Root(body) => give(body),
            RosterEntry::Join(body) => give(body),
            RosterEntry::Tablet(body) => give(body),
            RosterEntry::Retire(body) => give(body),
            RosterEntry::Rotate(body) => give(body),
            RosterEntry::Roles(body) => give(body),
        }?;
        self.check_form().map_err(|what| EnvelopeError::Json { what })?;
        Envelope::new(link, at, by.clone(), self.kind(), None, body).to_text()
    }

    fn check_form(&self) -> Result<(), String> {
        match self {
            RosterEntry::Root(root) => check_person(&root.person).and(check_roles(&root.roles)),
            RosterEntry::Join(join) => check_person(&join.person).and(check_roles(&join.roles)),
            RosterEntry::Roles(roles) => check_roles(&roles.roles),
            RosterEntry::Tablet(tablet) if !tablet.tablet.as_str().starts_with(TABLET_PREFIX) => {
                Err(format!(
                    "a tablet's id begins with `{TABLET_PREFIX}`, `{}` does not",
                    tablet.tablet
                ))
            }
            RosterEntry::Tablet(_) | RosterEntry::Retire(_) | RosterEntry::Rotate(_) => Ok(()),
        }
    }
}

fn check_person(id: &SignerId) -> Result<(), String> {
    if id.as_str().starts_with(TABLET_PREFIX) {
        return Err(format!(
            "only a tablet's id begins with `{TABLET_PREFIX}`, `{id}` is a person's"
        ));
    }
    Ok(())
}

fn check_roles(roles: &[Role]) -> Result<(), String> {
    if roles.is_empty() {
        return Err("`roles` is empty: a person has at least one; use retire when they leave".into());
    }
    let twice = roles
        .iter()
        .enumerate()
        .find(|(at, role)| roles[..*at].contains(role));
    twice.map_or(Ok(()), |(_, role)| Err(format!("the role {role} stands twice")))
}

/// Reads a body. Keys that are not there, and keys that should not be, are refused by their types.
pub(super) fn take<T: serde::de::DeserializeOwned>(body: &Map<String, Value>) -> Result<T, String> {
    serde_json::from_value(Value::Object(body.clone())).map_err(|error| error.to_string())
}

/// Writes a body.
pub(super) fn give<T: Serialize>(body: &T) -> Result<Map<String, Value>, EnvelopeError> {
    match serde_json::to_value(body) {
        Ok(Value::Object(map)) => Ok(map),
        Ok(other) => Err(EnvelopeError::Json {
            what: format!("the body is {other}, not an object"),
        }),
        Err(error) => Err(EnvelopeError::Json {
            what: error.to_string(),
        }),
    }
}

/// Times in a body, in the form of an entry's `at`.
mod rfc3339 {
    use chrono::{DateTime, FixedOffset};
    use serde::{Deserialize, Deserializer, Serializer, de::Error};

    use crate::seal::instant::{format_at, parse_at};

    pub fn serialize<S: Serializer>(at: &DateTime<FixedOffset>, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&format_at(at))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<DateTime<FixedOffset>, D::Error> {
        parse_at(&String::deserialize(deserializer)?).map_err(D::Error::custom)
    }
}

/// The same, where the time may be left out.
mod rfc3339_option {
    use chrono::{DateTime, FixedOffset};
    use serde::{Deserializer, Serializer};

    pub fn serialize<S: Serializer>(
        at: &Option<DateTime<FixedOffset>>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        match at {
            Some(at) => super::rfc3339::serialize(at, serializer),
            None => serializer.serialize_none(),
        }
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<DateTime<FixedOffset>>, D::Error> {
        super::rfc3339::deserialize(deserializer).map(Some)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seal::SigningKey;
    use crate::seal::instant::parse_at;

    const AT: &str = "2026-03-14T09:26:53+01:00";

    fn key() -> PublicKey {
        SigningKey::generate(&[7; 32]).public().clone()
    }

    fn at() -> DateTime<FixedOffset> {
        parse_at(AT).expect("a time")
    }

    fn id(text: &str) -> SignerId {
        text.parse().expect("an id")
    }

    fn label(text: &str) -> Label {
        text.parse().expect("a label")
    }

    fn all() -> Vec<RosterEntry> {
        let (person, name, roles) = (id("ines.varga"), label("Ines Varga"), vec![Role::Apprentice]);
        let (shop, reason) = (label("Alder Quay Motor Works"), label("left the shop"));
        let root = Root {
            shop,
            person: person.clone(),
            name: name.clone(),
            roles: roles.clone(),
            key: key(),
        };
        let join = Join {
            person: person.clone(),
            name,
            roles: roles.clone(),
            key: key(),
            valid_from: at(),
            valid_until: None,
        };
        vec![
            RosterEntry::Root(root),
            RosterEntry::Join(join.clone()),
            RosterEntry::Join(Join {
                valid_until: Some(at() + chrono::TimeDelta::days(365)),
                ..join
            }),
            RosterEntry::Tablet(Tablet {
                tablet: id("tablet-01"),
                key: key(),
                valid_from: at(),
                valid_until: None,
            }),
            RosterEntry::Retire(Retire {
                id: person.clone(),
                reason: reason.clone(),
            }),
            RosterEntry::Rotate(Rotate {
                id: person.clone(),
                key: key(),
                reason,
            }),
            RosterEntry::Roles(Roles { person, roles }),
        ]
    }

    #[test]
    fn text_and_back() {
        for entry in all() {
            let text = entry.text(Link::FIRST, at(), &id("tomasz.okafor")).expect("text");
            let envelope = Envelope::parse(&text).expect("an entry");
            assert_eq!(RosterEntry::parse(&envelope), Ok(entry), "{text}");
        }
    }

    #[test]
    fn bodies_are_strict() {
        let text = all()[2]
            .text(Link::FIRST, at(), &id("tomasz.okafor"))
            .expect("text");
        for (from, to) in [
            ("\"kind\":\"join\"", "\"kind\":\"joins\""),
            ("[\"apprentice\"]", "[]"),
            ("[\"apprentice\"]", "[\"apprentice\",\"apprentice\"]"),
            ("[\"apprentice\"]", "[\"boss\"]"),
            ("\"name\":\"Ines Varga\"", "\"name\":\"\""),
            ("\"name\":\"Ines Varga\",", ""),
            ("\"person\":\"ines.varga\"", "\"person\":\"tablet-02\""),
            ("\"person\":\"ines.varga\"", "\"person\":\"*\""),
            ("\"valid_until\":", "\"valid_til\":"),
            ("ssh-ed25519 AAAA", "ssh-ed25519 AAAB"),
            (
                "\"valid_from\":\"2026-03-14T09:26:53+01:00\"",
                "\"valid_from\":\"20260314082653Z\"",
            ),
        ] {
            let bad = text.replacen(from, to, 1);
            assert_ne!(bad, text, "{from}");
            assert!(
                RosterEntry::parse(&Envelope::parse(&bad).expect("an entry")).is_err(),
                "{bad}"
            );
        }
    }

    #[test]
    fn what_could_not_be_read_is_not_written() {
        let person = id("ines.varga");
        let none = RosterEntry::Roles(Roles {
            person: person.clone(),
            roles: vec![],
        });
        let tablet = Tablet {
            tablet: person.clone(),
            key: key(),
            valid_from: at(),
            valid_until: None,
        };
        for bad in [none, RosterEntry::Tablet(tablet)] {
            assert!(bad.text(Link::FIRST, at(), &person).is_err(), "{bad:?}");
        }
    }
}
