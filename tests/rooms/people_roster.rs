//! The roster, replayed: who may do what when, and every way in which a line is refused.

use chrono::{DateTime, Utc};
use witnessmark::people::{PeopleRule, Role, Roster, RosterEntry, entry::Join};
use witnessmark::seal::{AllowedSigners, Namespace, Rule, Signers};

use crate::shop::{self, INES, Log, TABLET, TOMASZ, id, join, key, public, retire, roles, rotate, tablet};

fn at(time: &str) -> DateTime<Utc> {
    shop::at(time).to_utc()
}

fn replay(log: &Log) -> Roster {
    Roster::replay(log.bytes.as_slice()).unwrap_or_else(|findings| panic!("{findings:?}"))
}

/// The rules that a roster breaks, in the order of its lines.
fn rules(bytes: &[u8]) -> Vec<PeopleRule> {
    Roster::read(bytes)
        .1
        .into_iter()
        .map(|finding| finding.rule)
        .collect()
}

#[test]
fn a_whole_roster_says_who_may_do_what_when() {
    let mut log = shop::roster();
    log.roster(
        "10:00:00",
        TOMASZ,
        TOMASZ,
        &roles(INES, &[Role::Fitter, Role::Supervisor]),
    );
    log.roster("11:00:00", INES, INES, &rotate(TOMASZ, "tomasz.okafor'"));
    log.roster("12:00:00", TOMASZ, "tomasz.okafor'", &retire(INES));
    let roster = replay(&log);
    assert_eq!(roster.shop(), "Alder Quay Motor Works");
    assert_eq!(roster.root_fingerprint(), key(TOMASZ).fingerprint());
    assert_eq!(
        (roster.people().count(), roster.tablets().count(), roster.lines()),
        (2, 1, 6)
    );
    let may = |who, role, time| roster.may(&id(who), role, at(time));
    assert!(!may(INES, Role::Apprentice, "08:00:59") && may(INES, Role::Apprentice, "08:01:00"));
    assert!(!may(INES, Role::Supervisor, "09:59:59") && may(INES, Role::Supervisor, "10:00:00"));
    assert!(!may(INES, Role::Apprentice, "10:00:00"));
    assert!(may(INES, Role::Fitter, "12:00:00") && !may(INES, Role::Fitter, "12:00:01"));
    assert_eq!(roster.key_at(&id(TOMASZ), at("10:59:59")), Some(&public(TOMASZ)));
    assert_eq!(
        roster.key_at(&id(TOMASZ), at("11:00:00")),
        Some(&public("tomasz.okafor'"))
    );
    assert_eq!(roster.key_at(&id("nobody"), at("11:00:00")), None);
    assert!(roster.roles_at(&id(TABLET), at("11:00:00")).is_empty());
}

#[test]
fn lines_are_taken_one_by_one_as_in_one_go() {
    let log = shop::roster();
    let lines = log.lines();
    let mut roster = Roster::found(&lines[0]).expect("a root");
    for line in &lines[1..] {
        roster = roster.append(line).expect("a line that follows");
    }
    let whole = replay(&log);
    assert_eq!(roster.head(), whole.head());
    assert_eq!(roster.to_allowed_signers(), whole.to_allowed_signers());
    assert_eq!(roster.hash_of(2), whole.head().map(|head| head.hash));
    assert!(roster.append(&lines[2]).is_err(), "the same line again");
    assert_eq!(roster.lines(), 3, "a refused line changes nothing");
}

/// Everyone's namespaces and validity, with a change of roles, of keys, and a leaving.
#[test]
fn allowed_signers_say_the_same_as_the_roster() {
    let mut log = shop::roster();
    log.roster("10:00:00", TOMASZ, TOMASZ, &roles(INES, &[Role::Supervisor]));
    log.roster("11:00:00", TOMASZ, TOMASZ, &rotate(INES, "ines.varga'"));
    log.roster("12:00:00", TOMASZ, TOMASZ, &retire(TABLET));
    let roster = replay(&log);
    let text = roster.to_allowed_signers().to_string();
    let key_of = |who| public(who).to_string();
    let expected = [
        format!(
            "{INES} namespaces=\"job-record,practice-record\",valid-after=\"20260302070100Z\",valid-before=\"20260302090000Z\" {}",
            key_of(INES)
        ),
        format!(
            "{INES} namespaces=\"job-record,practice-record,shop-roster,content-approval\",valid-after=\"20260302090000Z\",valid-before=\"20260302100000Z\" {}",
            key_of(INES)
        ),
        format!(
            "{INES} namespaces=\"job-record,practice-record,shop-roster,content-approval\",valid-after=\"20260302100000Z\" {}",
            key_of("ines.varga'")
        ),
        format!(
            "{TABLET} namespaces=\"job-record,practice-record,shop-ledger\",valid-after=\"20260302070200Z\",valid-before=\"20260302110000Z\" {}",
            key_of(TABLET)
        ),
        format!(
            "{TOMASZ} namespaces=\"job-record,practice-record,shop-roster,content-approval\",valid-after=\"20260302070000Z\" {}",
            key_of(TOMASZ)
        ),
    ];
    assert_eq!(text.lines().collect::<Vec<_>>(), expected);
    let file = AllowedSigners::parse(&text).expect("our own file");
    for time in [
        "07:59:59", "08:00:30", "09:59:59", "10:00:00", "10:30:00", "11:00:01", "12:00:01",
    ] {
        for (who, with) in [
            (INES, INES),
            (INES, "ines.varga'"),
            (TOMASZ, TOMASZ),
            (TABLET, TABLET),
        ] {
            for namespace in Namespace::ALL {
                let (ours, files) = (
                    roster.check(&id(who), &public(with), namespace, at(time)),
                    file.check(&id(who), &public(with), namespace, at(time)),
                );
                assert_eq!(ours, files, "{who} with {with} for {namespace} at {time}");
            }
        }
    }
}

/// One more line on the demonstration's roster, and the rule that refuses it.
#[test]
fn each_bad_line_is_refused_by_its_rule() {
    let noon = "12:00:00";
    let other = |person: &str, like: &str| {
        let RosterEntry::Join(entry) = join(person, "Somebody Else", &[Role::Fitter], noon) else {
            unreachable!()
        };
        RosterEntry::Join(Join {
            key: public(like),
            ..entry
        })
    };
    let ended = |until| {
        let RosterEntry::Join(entry) = join("a.b", "A B", &[Role::Fitter], noon) else {
            unreachable!()
        };
        RosterEntry::Join(Join {
            valid_until: Some(shop::at(until)),
            ..entry
        })
    };
    let cases = [
        (
            "id again",
            noon,
            TOMASZ,
            TOMASZ,
            join(INES, "Ines Varga", &[Role::Fitter], noon),
            PeopleRule::IdRepeat,
        ),
        (
            "key of another",
            noon,
            TOMASZ,
            TOMASZ,
            other("someone.else", INES),
            PeopleRule::KeyRepeat,
        ),
        (
            "valid before its entry",
            noon,
            TOMASZ,
            TOMASZ,
            join("a.b", "A B", &[Role::Fitter], "11:59:59"),
            PeopleRule::BadValidity,
        ),
        (
            "ends before it begins",
            noon,
            TOMASZ,
            TOMASZ,
            ended(noon),
            PeopleRule::BadValidity,
        ),
        (
            "rotation to a known key",
            noon,
            TOMASZ,
            TOMASZ,
            rotate(INES, TABLET),
            PeopleRule::KeyRepeat,
        ),
        (
            "rotation in the key's first second",
            "08:01:00",
            TOMASZ,
            TOMASZ,
            rotate(INES, "ines.varga'"),
            PeopleRule::BadValidity,
        ),
        (
            "nobody to retire",
            noon,
            TOMASZ,
            TOMASZ,
            retire("a.b"),
            PeopleRule::UnknownPerson,
        ),
        (
            "roles of a tablet",
            noon,
            TOMASZ,
            TOMASZ,
            roles(TABLET, &[Role::Fitter]),
            PeopleRule::UnknownPerson,
        ),
        (
            "last supervisor leaves",
            noon,
            TOMASZ,
            TOMASZ,
            retire(TOMASZ),
            PeopleRule::LastSupervisor,
        ),
        (
            "last supervisor steps down",
            noon,
            TOMASZ,
            TOMASZ,
            roles(TOMASZ, &[Role::Author]),
            PeopleRule::LastSupervisor,
        ),
        (
            "second root",
            noon,
            TOMASZ,
            TOMASZ,
            shop::root(),
            PeopleRule::BadRoot,
        ),
        (
            "signed by an apprentice",
            noon,
            INES,
            INES,
            roles(INES, &[Role::Supervisor]),
            PeopleRule::Line(Rule::WrongNamespace),
        ),
        (
            "signed by the tablet",
            noon,
            TABLET,
            TABLET,
            retire(INES),
            PeopleRule::Line(Rule::WrongNamespace),
        ),
        (
            "signed with another's key",
            noon,
            TOMASZ,
            INES,
            retire(INES),
            PeopleRule::Line(Rule::UnknownSigner),
        ),
        (
            "signed by a stranger",
            noon,
            "a.b",
            "a.b",
            retire(INES),
            PeopleRule::Line(Rule::UnknownSigner),
        ),
    ];
    for (name, time, by, with, entry, rule) in cases {
        let mut log = shop::roster();
        log.roster(time, by, with, &entry);
        let found: Vec<_> = rules(&log.bytes)
            .into_iter()
            .filter(|rule| rule.breaks())
            .collect();
        assert_eq!(found, [rule], "{name}");
        assert!(Roster::replay(log.bytes.as_slice()).is_err(), "{name}");
    }
}

const BACKDATED: [PeopleRule; 2] = [
    PeopleRule::Line(Rule::ExpiredSigner),
    PeopleRule::Line(Rule::TimeBackwards),
];

#[test]
fn whoever_left_cannot_come_back_by_an_earlier_time() {
    let mut log = shop::roster();
    log.roster("10:00:00", TOMASZ, TOMASZ, &roles(INES, &[Role::Supervisor]));
    let new = join("a.b", "A B", &[Role::Supervisor], "10:30:00");
    let mut left = log.clone();
    left.roster("11:00:00", TOMASZ, TOMASZ, &retire(INES));
    left.roster("10:30:00", INES, INES, &new);
    assert_eq!(rules(&left.bytes), BACKDATED);
    let mut demoted = log.clone();
    demoted.roster("11:00:00", TOMASZ, TOMASZ, &roles(INES, &[Role::Fitter]));
    demoted.roster("10:30:00", INES, INES, &new);
    assert_eq!(
        rules(&demoted.bytes),
        [PeopleRule::Line(Rule::TimeBackwards), PeopleRule::WrongRole]
    );
    let mut rotated = log;
    rotated.roster("11:00:00", TOMASZ, TOMASZ, &rotate(INES, "ines.varga'"));
    rotated.roster("10:30:00", INES, INES, &new);
    assert_eq!(rules(&rotated.bytes), BACKDATED);
}

/// A clock that was wrong once must not lock the shop out, so going backwards alone is only told.
#[test]
fn a_clock_that_ran_backwards_is_told_and_let_by() {
    let new = join("a.b", "A B", &[Role::Fitter], "09:00:00");
    let mut log = shop::roster();
    log.roster("07:00:00", TOMASZ, TOMASZ, &new);
    assert_eq!(rules(&log.bytes), BACKDATED, "before anybody had a key");
    let mut log = shop::roster();
    log.roster("08:00:30", TOMASZ, TOMASZ, &new);
    assert_eq!(rules(&log.bytes), [PeopleRule::Line(Rule::TimeBackwards)]);
    assert_eq!(replay(&log).people().count(), 3);
}

#[test]
fn a_roster_begins_with_a_root_that_signed_itself() {
    let mut log = Log::new(Namespace::ShopRoster);
    log.roster("08:00:00", TOMASZ, INES, &shop::root());
    assert_eq!(rules(&log.bytes), [PeopleRule::Line(Rule::UnknownSigner)]);
    let mut log = Log::new(Namespace::ShopRoster);
    log.roster("08:00:00", INES, TOMASZ, &shop::root());
    assert_eq!(rules(&log.bytes), [PeopleRule::BadRoot]);
    let mut log = Log::new(Namespace::ShopRoster);
    log.roster("08:00:00", TOMASZ, TOMASZ, &tablet(TABLET, "08:00:00"));
    assert_eq!(rules(&log.bytes), [PeopleRule::BadRoot]);
    assert_eq!(rules(b""), [PeopleRule::BadRoot]);
    assert!(Roster::replay(b"\xff\n".as_slice()).is_err());
}

#[test]
fn flipped_bytes_are_noticed() {
    let log = shop::roster();
    for at in (0..log.bytes.len()).step_by(31) {
        let mut bytes = log.bytes.clone();
        bytes[at] ^= 1;
        assert!(Roster::replay(bytes.as_slice()).is_err(), "byte {at}");
    }
}

#[test]
fn cuts_and_swaps_are_noticed() {
    let log = shop::roster();
    let lines = log.lines();
    let join = |order: &[usize]| {
        order
            .iter()
            .flat_map(|at| [lines[*at].as_slice(), b"\n"].concat())
            .collect::<Vec<u8>>()
    };
    assert!(Roster::replay(join(&[0, 1, 2]).as_slice()).is_ok());
    for order in [&[0, 2][..], &[1, 2], &[0, 2, 1], &[0, 1, 1, 2], &[0, 1, 2, 0]] {
        assert!(Roster::replay(join(order).as_slice()).is_err(), "{order:?}");
    }
    let torn = &log.bytes[..log.bytes.len() - 1];
    assert_eq!(rules(torn), [PeopleRule::Line(Rule::TruncatedLine)]);
}
