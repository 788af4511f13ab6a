//! People as they are written at the command line.

use super::{Passphrases, Stop};
use crate::people::Role;
use crate::session::{PersonPlan, ShopPlan};
use chrono::{DateTime, FixedOffset, Local, NaiveDate, TimeZone};

/// The shop to be: its root supervisor and further people.
pub(super) fn shop_plan(
    name: &str,
    root: &str,
    people: &[String],
    passphrases: &mut Passphrases,
) -> Result<ShopPlan, Stop> {
    let root = plan(root, vec![Role::Supervisor, Role::Author], passphrases)?;
    let people = people.iter().map(|person| person_plan(person, passphrases));
    Ok(ShopPlan {
        shop: name.to_owned(),
        root,
        people: people.collect::<Result<_, _>>()?,
        instruments: None,
    })
}

/// A person as `role:id=Name`, or with several roles.
pub(super) fn person_plan(text: &str, passphrases: &mut Passphrases) -> Result<PersonPlan, Stop> {
    let (roles, rest) = text.split_once(':').ok_or_else(|| not_a_person(text))?;
    let roles: Result<Vec<Role>, String> = roles.split(',').map(str::parse).collect();
    let roles = roles.map_err(|what| Stop::unusable(what, "Write ROLE:ID=NAME, or ROLE,ROLE:ID=NAME."))?;
    plan(rest, roles, passphrases)
}

fn plan(text: &str, roles: Vec<Role>, passphrases: &mut Passphrases) -> Result<PersonPlan, Stop> {
    let (id, name) = text.split_once('=').ok_or_else(|| not_a_person(text))?;
    Ok(PersonPlan {
        id: id.to_owned(),
        name: name.to_owned(),
        roles,
        passphrase: passphrases.new_for(name)?,
    })
}

fn not_a_person(text: &str) -> Stop {
    Stop::unusable(
        format!("“{text}” names no person"),
        "Write ROLE:ID=NAME, for example apprentice:ines.varga=\"Ines Varga\".",
    )
}

/// The last second of a day here, or the second that is written out.
pub(super) fn last_second(text: &str) -> Result<DateTime<FixedOffset>, Stop> {
    let of_day = || {
        let day: NaiveDate = text.parse().ok()?;
        let end = day.and_hms_opt(23, 59, 59)?;
        Some(Local.from_local_datetime(&end).latest()?.fixed_offset())
    };
    let found = of_day().or_else(|| DateTime::parse_from_rfc3339(text).ok());
    found.ok_or_else(|| {
        Stop::unusable(
            format!("“{text}” is no date"),
            "Write 2027-03-31 for the whole of that day, or 2027-03-31T17:00:00+01:00.",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_ends_with_its_last_second() {
        let day = last_second("2027-03-31").expect("a day");
        assert_eq!(day.format("%Y-%m-%d %H:%M:%S").to_string(), "2027-03-31 23:59:59");
        let second = last_second("2027-03-31T17:00:00+01:00").expect("a second");
        assert_eq!(second.to_rfc3339(), "2027-03-31T17:00:00+01:00");
        for bad in ["", "31.3.2027", "2027-02-30", "tomorrow"] {
            assert!(last_second(bad).is_err(), "{bad}");
        }
    }
}
