//! The roster in words. It is read without the shop's lock, so that the tablet may be in use.

use super::Stop;
use crate::people::{Holder, KeySpan, Roster};
use crate::session::{SessionError, roster};
use chrono::{DateTime, Local, Utc};
use std::fmt::Write as _;
use std::path::Path;

/// The people who can sign now, or everyone who ever could.
pub(super) fn list(shop: &Path, all: bool) -> Result<String, Stop> {
    let roster = roster(shop)?;
    let now = Local::now().to_utc();
    let mut text = format!(
        "{}\nRoot fingerprint: {}\n",
        roster.shop(),
        roster.root_fingerprint()
    );
    let tablets = roster.tablets().filter(|_| all);
    for holder in roster.people().chain(tablets) {
        if all || holder.key_at(now).is_some() {
            text += &line(holder, now);
        }
        if all {
            keys(&mut text, holder);
        }
    }
    Ok(text)
}

fn line(holder: &Holder, now: DateTime<Utc>) -> String {
    let roles: Vec<&str> = holder.roles_at(now).iter().map(|role| role.as_str()).collect();
    let until = holder.keys().last().and_then(|span| span.until);
    let until = match (holder.retired(), until) {
        (Some(at), _) => format!("left {}", day(at)),
        (None, Some(until)) => format!("until {}", day(until)),
        (None, None) => String::new(),
    };
    let what = if holder.is_tablet() {
        "tablet".to_owned()
    } else {
        roles.join(", ")
    };
    let text = format!(
        "{:<24} {:<28} {what:<24} {until}",
        holder.id().as_str(),
        holder.name().unwrap_or_default()
    );
    format!("{}\n", text.trim_end())
}

fn keys(text: &mut String, holder: &Holder) {
    for KeySpan { key, from, until } in holder.keys() {
        let until = until.map_or_else(String::new, |until| format!(" until {}", second(until)));
        // Writing to a String cannot fail.
        let _ = writeln!(text, "    {} from {}{until}", key.fingerprint(), second(*from));
    }
}

/// The fingerprint of the shop's root, or of every key of a person or tablet.
pub(super) fn fingerprint(shop: &Path, id: Option<&str>) -> Result<String, Stop> {
    let roster = roster(shop)?;
    let Some(id) = id else {
        return Ok(format!("{}\n", roster.root_fingerprint()));
    };
    let holder = holder(&roster, id)?;
    let mut text = String::new();
    keys(&mut text, holder);
    Ok(text)
}

fn holder<'a>(roster: &'a Roster, id: &str) -> Result<&'a Holder, SessionError> {
    let found = id.parse().ok().and_then(|id| roster.holder(&id));
    found.ok_or_else(|| SessionError::unknown(roster, id))
}

fn day(at: DateTime<Utc>) -> String {
    at.with_timezone(&Local).format("%Y-%m-%d").to_string()
}

fn second(at: DateTime<Utc>) -> String {
    at.with_timezone(&Local).format("%Y-%m-%d %H:%M:%S").to_string()
}
