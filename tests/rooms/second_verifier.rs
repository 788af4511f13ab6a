//! `tests/second_verifier.py`, written from `FORMAT.md` alone, comes to the same verdict as ours: on whole folders,
//! on folders that were tampered with, and on lines that are signed well and should not stand.

use std::path::Path;

use crate::played_job::{self, RUTH, Run};
use crate::record_stock::TAMPERS;
use crate::scratch::Scratch;
use crate::shop::{self, INES, Log, TABLET, TOMASZ};
use crate::small_job::{self, Folder, JOB, State};
use witnessmark::audit::{Against, verify_job};
use witnessmark::people::{Role, Roster, RosterEntry};
use witnessmark::player::fact::Body;
use witnessmark::record::Personal;
use witnessmark::seal::{Namespace, digest};

/// Our verdict. The small job's content is none that could be played, which is told of it always.
fn ours(folder: &Folder) -> (bool, String) {
    let report = verify_job(folder, &Against::default()).report;
    let faults: Vec<String> = report
        .faults()
        .filter(|fault| fault.rule.as_str() != "content-faulty")
        .map(ToString::to_string)
        .collect();
    (faults.is_empty(), faults.join("; "))
}

/// The verdict of the second verifier. Where Python is not installed, the test fails.
fn theirs(folder: &Folder) -> (bool, String) {
    let scratch = Scratch::new();
    for (name, bytes) in folder {
        let path = scratch.path().join("job").join(name);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        std::fs::write(path, bytes).expect("a file");
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/second_verifier.py");
    let out = scratch.run("python3", &[script.to_str().expect("a path"), "job"], b"");
    let said = String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned();
    let whole = match out.status.code() {
        Some(0) if said.starts_with("WHOLE: ") => true,
        Some(1) if said.starts_with("NOT WHOLE: ") => false,
        other => panic!("exit {other:?}: {said}"),
    };
    (whole, said)
}

/// Both verdicts of each folder, which must be the same; gives how many are whole.
pub fn agree(folders: impl IntoIterator<Item = (String, Folder)>) -> usize {
    let (mut whole, mut differ) = (0, Vec::new());
    for (name, folder) in folders {
        let (here, there) = (ours(&folder), theirs(&folder));
        whole += usize::from(here.0);
        if here.0 != there.0 {
            differ.push(format!(
                "{name}:\n  ours {}: {}\n  theirs: {}",
                here.0, here.1, there.1
            ));
        }
    }
    assert!(differ.is_empty(), "{}", differ.join("\n"));
    whole
}

/// What it takes to check a job is little enough to be written in an afternoon.
#[test]
fn it_is_one_short_file() {
    let text = include_str!("../second_verifier.py");
    assert!(text.lines().count() < 150, "{} lines", text.lines().count());
    assert!(text.lines().all(|line| line.len() <= 116));
    let imports = text.lines().filter(|line| line.contains("import "));
    assert_eq!(imports.count(), 1, "of the standard library alone");
}

#[test]
fn whole_folders_are_whole() {
    let small = [State::Open, State::Closed, State::Practice, State::Old]
        .map(|state| (format!("{state:?}"), small_job::folder(state)));
    let played = [false, true].map(|practice| {
        let facts = Run::through(practice).facts;
        (
            format!("practice {practice}"),
            played_job::folder(&facts, practice),
        )
    });
    let facts = Run::through(false).facts;
    let mut open = played_job::folder(&facts[..20], false);
    open.remove("ledger-extract.jsonl");
    let all = small.into_iter().chain(played).chain([("open".to_owned(), open)]);
    assert_eq!(agree(all), 7);
}

#[test]
fn every_tampering_is_refused_by_both() {
    let twins = TAMPERS.iter().map(|(name, tamper, _)| {
        let mut folder = small_job::folder(State::Closed);
        tamper(&mut folder);
        ((*name).to_owned(), folder)
    });
    assert_eq!(agree(twins), 0);
}

/// Each entry of a played job in the name of each other signer: some may stand, most not.
fn in_other_names(practice: bool, step: usize) -> (usize, usize) {
    let facts = Run::through(practice).facts;
    let twins = (0..facts.len()).step_by(step).flat_map(|at| {
        let facts = &facts;
        let others = [INES, TOMASZ, RUTH, TABLET]
            .into_iter()
            .filter(move |who| facts[at].by != *who);
        others.map(move |who| {
            let mut facts = facts.clone();
            who.clone_into(&mut facts[at].by);
            (
                format!("entry {at} by {who}"),
                played_job::folder(&facts, practice),
            )
        })
    });
    let twins: Vec<_> = twins.collect();
    (twins.len(), agree(twins))
}

#[test]
fn who_may_say_what_is_judged_alike() {
    let (twins, whole) = in_other_names(false, 3);
    assert!(
        twins > 30 && whole > 0 && whole < twins / 2,
        "{whole} of {twins} whole"
    );
}

#[test]
fn practice_is_judged_alike() {
    let (twins, whole) = in_other_names(true, 7);
    assert!(
        twins > 15 && whole > 0 && whole < twins,
        "{whole} of {twins} whole"
    );
}

/// A note behind an open record whose text was changed before it was signed.
fn with_note(change: impl Fn(String) -> String) -> Folder {
    let roster = Roster::replay(shop::roster().bytes.as_slice()).expect("a whole roster");
    let mut log = small_job::record(State::Open, &roster);
    let serde_json::Value::Object(body) = serde_json::json!({"text": "One thing more."}) else {
        unreachable!()
    };
    let text = log.text("09:30:00", INES, "note", Some(JOB), body);
    log.add_text(change(text), INES, INES);
    let mut folder = small_job::folder(State::Open);
    folder.insert("record.jsonl".into(), log.bytes);
    folder
}

/// What is put in the place of what in a well-signed note.
const CHANGES: &[(&str, &str)] = &[
    ("One thing", "Another thing"),
    ("\"v\":1", "\"v\":2"),
    ("\"v\":1", "\"v\":true"),
    ("\"v\":1", "\"v\":1.0"),
    ("\"n\":6", "\"n\":7"),
    ("\"n\":6", "\"n\":6.0"),
    ("\"n\":6", "\"n\":\"6\""),
    ("\"n\":6", "\"n\":6,\"n\":6"),
    ("\"text\"", "\"text\":\"a\",\"\\u0074ext\""),
    ("\"by\":\"ines.varga\"", "\"by\":\"tomasz.okafor\""),
    ("\"kind\":\"note\"", "\"kind\":\"Note\""),
    ("\"kind\":\"note\"", "\"kind\":\"remark\""),
    ("2026-0001", "2026-0002"),
    ("\"job\":\"2026-0001\",", ""),
    ("T09:30:00+01:00", "t09:30:00+01:00"),
    ("T09:30:00+01:00", "T08:30:00Z"),
    ("T09:30:00+01:00", "T08:30:00z"),
    ("T09:30:00+01:00", "T08:30:00-00:00"),
    ("T09:30:00+01:00", "T08:30:00+00:00"),
    ("T09:30:00+01:00", "T09:30:60+01:00"),
    ("T09:30:00+01:00", "T09:30:00.123456789+01:00"),
    ("T09:30:00+01:00", "T09:30:00"),
    ("T09:30:00+01:00", "T24:00:00+01:00"),
    ("2026-03-02T09:30:00", "2026-02-30T09:30:00"),
    ("2026-03-02T09:30:00", "1969-03-02T09:30:00"),
    ("2026-03-02T09:30:00", "2026-03-02T08:00:59"),
    ("One thing", "\\ud800 thing"),
    ("One thing", "\\ud83d\\ude00 thing"),
    ("One thing", "One\\u0000thing"),
    ("One thing", "One\\qthing"),
    ("}", "} "),
    ("}", ",}"),
    ("{", " {"),
    ("{", "\u{feff}{"),
    ("\"text\":\"One thing more.\"", "\"text\":NaN"),
    ("\"text\":\"One thing more.\"", "\"text\":1e999"),
    (
        "\"text\":\"One thing more.\"",
        "\"text\":\"b0a784a5f74d6366962c1e0b8f67beb6ba9e302dcd3440c9ae4d92972e2d7565.jpg\"",
    ),
    (
        "\"text\":\"One thing more.\"",
        "\"text\":\"b0a784a5f74d6366962c1e0b8f67beb6ba9e302dcd3440c9ae4d92972e2d7564.jpg\"",
    ),
];

#[test]
fn well_signed_texts_are_judged_alike() {
    let twins = CHANGES.iter().map(|(from, to)| {
        let folder = with_note(|text| {
            let changed = text.replacen(from, to, 1);
            assert_ne!(changed, text, "{from} is there");
            changed
        });
        (format!("{from} -> {to}"), folder)
    });
    assert_eq!(agree(twins), 7);
}

/// What is not known by this version's tables: mathematics passes over a key, our verifier does not.
#[test]
fn unknown_keys_are_treated_as_the_format_says() {
    let folder = with_note(|text| text.replacen("\"text\"", "\"mood\":\"good\",\"text\"", 1));
    assert_eq!((ours(&folder).0, theirs(&folder).0), (false, true));
}

type Change = (&'static str, fn(&mut Log), bool);

/// Tomasz signs an entry in which something was put in the place of something.
fn signed_as(log: &mut Log, time: &str, entry: &RosterEntry, from: &str, to: &str) {
    let text = entry
        .text(log.link(), shop::at(time), &shop::id(TOMASZ))
        .expect("an entry");
    let changed = text.replacen(from, to, 1);
    assert_ne!(changed, text, "{from} is there");
    log.add_text(changed, TOMASZ, TOMASZ);
}

fn set_roles(log: &mut Log, time: &str, who: &str, roles: &[Role]) {
    log.roster(time, TOMASZ, TOMASZ, &shop::roles(who, roles));
}

fn join_nora(from: &str) -> RosterEntry {
    shop::join("nora.lind", "Nora Lind", &[Role::Apprentice], from)
}

/// Lines behind the roster that was pinned, and whether they may stand.
const ROSTERS: &[Change] = &[
    (
        "a retired apprentice",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire(INES)),
        true,
    ),
    (
        "a retired tablet",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire(TABLET)),
        true,
    ),
    (
        "one retired too early",
        |log| log.roster("09:05:30", TOMASZ, TOMASZ, &shop::retire(INES)),
        false,
    ),
    (
        "a tablet retired too early",
        |log| log.roster("11:59:59", TOMASZ, TOMASZ, &shop::retire(TABLET)),
        false,
    ),
    (
        "retired in its last second",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire(TABLET)),
        true,
    ),
    (
        "a new key",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::rotate(INES, "ines.varga'")),
        true,
    ),
    (
        "a new key too early",
        |log| log.roster("09:03:00", TOMASZ, TOMASZ, &shop::rotate(INES, "ines.varga'")),
        false,
    ),
    (
        "another's key",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::rotate(INES, TABLET)),
        false,
    ),
    (
        "the same key",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::rotate(INES, INES)),
        false,
    ),
    (
        "the last supervisor gone",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire(TOMASZ)),
        false,
    ),
    (
        "signed by an apprentice",
        |log| log.roster("12:00:00", INES, INES, &shop::retire(TABLET)),
        false,
    ),
    (
        "signed by a tablet",
        |log| log.roster("12:00:00", TABLET, TABLET, &shop::retire(INES)),
        false,
    ),
    (
        "a second root",
        |log| log.roster("12:00:00", TOMASZ, TOMASZ, &shop::root()),
        false,
    ),
    (
        "an id given again",
        |log| {
            let again = shop::join(INES, "Ines Varga", &[Role::Fitter], "12:00:00");
            log.roster("12:00:00", TOMASZ, TOMASZ, &again);
        },
        false,
    ),
    (
        "a key that would date back",
        |log| {
            let early = shop::join("nora.lind", "Nora Lind", &[Role::Apprentice], "09:00:00");
            log.roster("12:00:00", TOMASZ, TOMASZ, &early);
        },
        false,
    ),
    (
        "a supervisor who retires another",
        |log| {
            log.roster(
                "12:00:00",
                TOMASZ,
                TOMASZ,
                &shop::roles(INES, &[Role::Supervisor]),
            );
            log.roster("12:01:00", INES, INES, &shop::retire(TOMASZ));
        },
        true,
    ),
    (
        "a supervisor no more",
        |log| {
            log.roster(
                "12:00:00",
                TOMASZ,
                TOMASZ,
                &shop::roles(INES, &[Role::Supervisor, Role::Author]),
            );
            log.roster("12:01:00", INES, INES, &shop::roles(TOMASZ, &[Role::Fitter]));
            log.roster("12:02:00", TOMASZ, TOMASZ, &shop::retire(TABLET));
        },
        false,
    ),
    (
        "a role taken before the release",
        |log| {
            log.roster(
                "09:08:00",
                TOMASZ,
                TOMASZ,
                &shop::roles(INES, &[Role::Supervisor]),
            );
            log.roster("09:08:30", INES, INES, &shop::roles(TOMASZ, &[Role::Fitter]));
        },
        false,
    ),
    (
        "roles of all sorts",
        |log| {
            log.roster(
                "12:00:00",
                TOMASZ,
                TOMASZ,
                &shop::roles(INES, &[Role::Fitter, Role::Author]),
            );
            log.roster(
                "12:01:00",
                TOMASZ,
                TOMASZ,
                &shop::roles(INES, &[Role::Supervisor]),
            );
            log.roster("12:02:00", TOMASZ, TOMASZ, &shop::rotate(INES, "ines.varga'"));
            log.roster(
                "12:03:00",
                INES,
                "ines.varga'",
                &shop::roles(INES, &[Role::Fitter]),
            );
        },
        true,
    ),
    (
        "a time in parts of a second",
        |log| {
            signed_as(
                log,
                "12:00:00",
                &join_nora("12:00:00"),
                "12:00:00+",
                "12:00:00.5+",
            )
        },
        true,
    ),
    (
        "retired in the key's first second",
        |log| {
            log.roster("12:00:00", TOMASZ, TOMASZ, &join_nora("12:00:00"));
            log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire("nora.lind"));
        },
        false,
    ),
    (
        "retired before the key's first second",
        |log| {
            log.roster("12:00:00", TOMASZ, TOMASZ, &join_nora("13:00:00"));
            log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire("nora.lind"));
        },
        true,
    ),
    (
        "a new key where the old one has ended",
        |log| {
            let until = "11:30:00+01:00\",\"valid_until\":\"2026-03-02T12:00:00";
            signed_as(log, "11:30:00", &join_nora("11:45:00"), "11:45:00", until);
            let rotate = shop::rotate("nora.lind", "nora.lind'");
            log.roster("12:00:00", TOMASZ, TOMASZ, &rotate);
        },
        false,
    ),
    (
        "a key that ends before it begins",
        |log| {
            let until = "12:00:00+01:00\",\"valid_until\":\"2026-03-02T12:00:00";
            signed_as(log, "11:30:00", &join_nora("11:45:00"), "11:45:00", until);
        },
        false,
    ),
    (
        "a tablet with a role",
        |log| set_roles(log, "12:00:00", TABLET, &[Role::Fitter]),
        false,
    ),
    (
        "signed in the second of leaving",
        |log| {
            set_roles(log, "12:00:00", INES, &[Role::Supervisor]);
            log.roster("12:01:00", INES, INES, &shop::retire(TOMASZ));
            log.roster("12:01:00", TOMASZ, TOMASZ, &shop::retire(TABLET));
        },
        false,
    ),
    (
        "signed in the second of losing the role",
        |log| {
            set_roles(log, "12:00:00", INES, &[Role::Supervisor]);
            log.roster("12:01:00", INES, INES, &shop::roles(TOMASZ, &[Role::Fitter]));
            log.roster("12:01:00", TOMASZ, TOMASZ, &shop::retire(TABLET));
        },
        false,
    ),
    (
        "signed with the old key in the second of the new one",
        |log| {
            log.roster(
                "12:00:00",
                TOMASZ,
                TOMASZ,
                &shop::rotate(TOMASZ, "tomasz.okafor'"),
            );
            log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire(TABLET));
        },
        false,
    ),
    (
        "signed before the role was given",
        |log| {
            set_roles(log, "12:05:00", INES, &[Role::Supervisor]);
            log.roster("12:01:00", INES, INES, &shop::retire(TABLET));
        },
        false,
    ),
    (
        "signed while the role was away",
        |log| {
            set_roles(log, "12:00:00", INES, &[Role::Supervisor]);
            set_roles(log, "12:02:00", INES, &[Role::Fitter]);
            set_roles(log, "12:04:00", INES, &[Role::Supervisor]);
            log.roster("12:02:00", INES, INES, &shop::retire(TABLET));
        },
        false,
    ),
    (
        "other roles by a clock that was set back",
        |log| {
            set_roles(log, "12:05:00", INES, &[Role::Fitter]);
            set_roles(log, "12:01:00", INES, &[Role::Supervisor]);
            log.roster("12:03:00", TOMASZ, TOMASZ, &shop::rotate(INES, "ines.varga'"));
        },
        true,
    ),
    (
        "retired by a clock that was set back",
        |log| {
            set_roles(log, "12:05:00", INES, &[Role::Supervisor]);
            log.roster("12:02:00", TOMASZ, TOMASZ, &shop::retire(INES));
        },
        true,
    ),
    (
        "the last supervisor gone by a clock that was set back",
        |log| {
            set_roles(log, "12:00:00", INES, &[Role::Supervisor]);
            log.roster("12:05:00", INES, INES, &shop::retire(TOMASZ));
            log.roster("12:03:00", INES, INES, &shop::retire(INES));
        },
        false,
    ),
    (
        "the last supervisor's role gone by a clock that was set back",
        |log| {
            set_roles(log, "12:00:00", INES, &[Role::Supervisor]);
            set_roles(log, "12:05:00", INES, &[Role::Fitter]);
            log.roster("12:03:00", TOMASZ, TOMASZ, &shop::retire(TOMASZ));
        },
        false,
    ),
    (
        "named after leaving",
        |log| {
            log.roster("12:00:00", TOMASZ, TOMASZ, &shop::retire(INES));
            log.roster("12:01:00", TOMASZ, TOMASZ, &shop::roles(INES, &[Role::Fitter]));
        },
        false,
    ),
];

#[test]
fn rosters_are_judged_alike() {
    let played = played_job::folder(&Run::through(false).facts, false);
    let twins = ROSTERS.iter().map(|(name, change, _)| {
        let mut folder = played.clone();
        let mut log = played_job::roster();
        change(&mut log);
        // A roster that does not hold has no such file; then the older one stands.
        if let Ok(roster) = Roster::replay(log.bytes.as_slice()) {
            folder.insert(
                "allowed_signers".into(),
                roster.to_allowed_signers().to_string().into_bytes(),
            );
        }
        folder.insert("roster.jsonl".into(), log.bytes);
        ((*name).to_owned(), folder)
    });
    let may_stand = ROSTERS.iter().filter(|(_, _, whole)| *whole).count();
    assert_eq!(agree(twins), may_stand);
}

/// The opening says how long the roster was, and which line was its last.
#[test]
fn the_pinned_roster_is_judged_alike() {
    let twins = [0_u64, 1, 3, 4, 5].map(|lines| {
        let mut facts = Run::through(false).facts;
        let Body::Opening(opening) = &mut facts[0].body else {
            panic!("an opening stands first")
        };
        assert_eq!(opening.roster_lines, 4);
        opening.roster_lines = lines;
        let folder = played_job::folder(&facts, false);
        (format!("{lines} lines of the roster"), folder)
    });
    assert_eq!(agree(twins), 1);
}

/// What is put in the place of what beside the commitment to “Ada Brandt”, and whether it still opens it.
const ANSWERS: &[(&str, &str, bool)] = &[
    ("Ada", "Ada", true),
    ("Ada", "Ida", false),
    ("Ada Brandt", "Ada Brandt ", false),
    ("owner", "owners", false),
    ("\"car\"", "\"fuel\"", false),
    ("0909", "0908", false),
    ("0909", "090", false),
    ("\"v\":1", "\"v\":2", false),
    ("\"v\":1", "\"v\":true", false),
    ("\"v\":1", "\"v\":1,\"w\":1", false),
    ("\"v\":1", "\"v\":1,\"v\":1", false),
    ("\"text\"", "\"why\":1,\"text\"", false),
    ("\"text\"", "\"texts\"", false),
    ("[{", "[], \"more\": [{", false),
    (
        "[{",
        "[{\"group\":\"car\",\"field\":\"owner\",\"salt\":\"0000000000000000000000000000000000000000000000000000000000000000\",\"text\":\"Ida\"},{",
        true,
    ),
    ("}]}", "}]}\n", true),
    ("}]}", "}]", false),
    ("{", "", false),
];

#[test]
fn personal_answers_are_judged_alike() {
    let whole = played_job::folder(&Run::through(false).facts, false);
    let mut personal = Personal::new();
    personal.commit("car", "owner", "Ada Brandt", [9; 32]);
    let personal = serde_json::to_string(&personal).expect("JSON");
    let twins = ANSWERS.iter().map(|(from, to, _)| {
        assert!(personal.contains(from), "{from} is there");
        let mut folder = whole.clone();
        folder.insert(
            "personal.json".into(),
            personal.replacen(from, to, 1).into_bytes(),
        );
        (format!("{from} -> {to}"), folder)
    });
    let opens = ANSWERS.iter().filter(|(_, _, opens)| *opens).count();
    assert_eq!(agree(twins), opens);
}

/// Lines that were signed for one purpose, passed off as another's.
#[test]
fn namespaces_are_not_exchanged() {
    let folder = |state| small_job::folder(state);
    let (job, practice) = (folder(State::Closed), folder(State::Practice));
    let files = ["record.jsonl", "roster.jsonl", "ledger-extract.jsonl"];
    let mut twins = Vec::new();
    for from in files {
        for to in files.into_iter().filter(|to| *to != from) {
            let mut twin = job.clone();
            twin.insert(to.into(), job[from].clone());
            twins.push((format!("{from} as {to}"), twin));
        }
    }
    let mut proof = job.clone();
    proof.insert("record.jsonl".into(), practice["record.jsonl"].clone());
    twins.push(("practice with a job's ledger lines".into(), proof));
    for (made, name) in [
        (Namespace::PracticeRecord, "practice"),
        (Namespace::ShopLedger, "ledger"),
        (Namespace::ShopRoster, "roster"),
        (Namespace::ContentApproval, "approval"),
    ] {
        let roster = Roster::replay(shop::roster().bytes.as_slice()).expect("a whole roster");
        let record = small_job::record(State::Closed, &roster);
        let mut log = Log::new(made);
        for raw in record.lines() {
            let line = witnessmark::seal::Line::parse(&raw, raw.len()).expect("a line");
            log.add_text(line.entry, line.signer.as_str(), line.signer.as_str());
        }
        let mut twin = job.clone();
        let final_hash = digest(log.lines().last().expect("lines"));
        assert_ne!(final_hash, digest(record.lines().last().expect("lines")));
        twin.insert("record.jsonl".into(), log.bytes);
        twins.push((format!("the record signed for {name}"), twin));
    }
    assert_eq!(agree(twins), 0);
}
