//! The shop's approvals of content: what the file says, and each way to open a job with content that was not approved.

use crate::played_job::{self, JOB, Run, content_hash};
use crate::shop::{self, INES, Log, TOMASZ, approve, withdraw};
use witnessmark::audit::{Against, Report, verify_job, verify_shop};
use witnessmark::people::{Approvals, Role, Roster};
use witnessmark::player::fact::{Body, Fact};
use witnessmark::seal::{Digest, Namespace, digest};

type Files = std::collections::BTreeMap<String, Vec<u8>>;

/// A second supervisor, until a quarter past eight.
const OLENA: &str = "olena.marsh";

fn roster() -> Roster {
    let mut log = played_job::roster();
    let olena = shop::join(OLENA, "Olena Marsh", &[Role::Supervisor], "08:05:00");
    log.roster("08:05:00", TOMASZ, TOMASZ, &olena);
    log.roster("08:15:00", TOMASZ, TOMASZ, &shop::roles(OLENA, &[Role::Fitter]));
    Roster::replay(log.bytes.as_slice()).expect("a whole roster")
}

/// Lines as (time, author, approval or withdrawal, what of), and the rule that the last of them breaks.
type Lines = (
    &'static str,
    &'static [(&'static str, &'static str, bool, &'static str)],
    Option<&'static str>,
);

const LINES: &[Lines] = &[
    ("one approval", &[("08:30:00", TOMASZ, true, "a")], None),
    (
        "two contents",
        &[("08:30:00", TOMASZ, true, "a"), ("08:31:00", TOMASZ, true, "b")],
        None,
    ),
    (
        "given, withdrawn and given again",
        &[
            ("08:30:00", TOMASZ, true, "a"),
            ("08:31:00", TOMASZ, false, "a"),
            ("08:32:00", TOMASZ, true, "a"),
        ],
        None,
    ),
    (
        "withdrawn by another supervisor",
        &[("08:10:00", OLENA, true, "a"), ("08:31:00", TOMASZ, false, "a")],
        None,
    ),
    (
        "given twice",
        &[("08:30:00", TOMASZ, true, "a"), ("08:31:00", TOMASZ, true, "a")],
        Some("approval-mismatch"),
    ),
    (
        "withdrawn before it was given",
        &[("08:30:00", TOMASZ, false, "a")],
        Some("approval-mismatch"),
    ),
    (
        "withdrawn twice",
        &[
            ("08:30:00", TOMASZ, true, "a"),
            ("08:31:00", TOMASZ, false, "a"),
            ("08:32:00", TOMASZ, false, "a"),
        ],
        Some("approval-mismatch"),
    ),
    (
        "by an apprentice",
        &[("08:30:00", INES, true, "a")],
        Some("wrong-role"),
    ),
    (
        "by a stranger",
        &[("08:30:00", "ada.brandt", true, "a")],
        Some("unknown-signer"),
    ),
    (
        "by one who was a supervisor",
        &[("08:30:00", OLENA, true, "a")],
        Some("wrong-role"),
    ),
    (
        "by one who was a supervisor, with an earlier time",
        &[("08:30:00", TOMASZ, true, "a"), ("08:10:00", OLENA, true, "b")],
        Some("wrong-role"),
    ),
];

#[test]
fn only_supervisors_approve_and_each_thing_once() {
    let roster = roster();
    for (name, lines, rule) in LINES {
        let mut log = Log::new(Namespace::ContentApproval);
        for (time, by, gives, of) in *lines {
            let content = digest(of.as_bytes());
            let entry = if *gives {
                approve("a-job", 1, content)
            } else {
                withdraw("a-job", content)
            };
            log.approval(time, by, &entry);
        }
        let (read, findings) = Approvals::read(log.bytes.as_slice(), &roster);
        let found: Vec<&str> = findings.iter().map(|finding| finding.rule.as_str()).collect();
        match rule {
            None => assert!(found.is_empty(), "{name}: {findings:?}"),
            Some(rule) => assert!(found.contains(rule), "{name}: {findings:?}"),
        }
        let last = lines.last().expect("a line");
        let stands = read.standing("a-job", digest(last.3.as_bytes())).is_some();
        let twice = *name == "given twice";
        assert_eq!(stands, twice || (rule.is_none() && last.2), "{name}");
        assert_eq!(read.standing("another-job", digest(b"a")), None, "{name}");
    }
}

/// The files of a job that was opened by the first of these approvals, with its opening changed.
fn folder(log: Option<&Log>, pin: impl Fn(&mut witnessmark::player::fact::Opening)) -> Files {
    let mut facts: Vec<Fact> = Run::through(false).facts;
    if let Body::Opening(opening) = &mut facts[0].body {
        opening.approval = log.map(|log| shop::pinned(log, 0, content_hash()));
        pin(opening);
    }
    let mut files = played_job::folder(&facts, false);
    match log {
        Some(log) => drop(files.insert("approvals.jsonl".into(), log.bytes.clone())),
        None => drop(files.remove("approvals.jsonl")),
    }
    files.insert("certificate.pdf".into(), b"%PDF".to_vec());
    files
}

fn log(lines: &[(&str, &str, bool, Digest)]) -> Log {
    let mut log = Log::new(Namespace::ContentApproval);
    for (time, by, gives, content) in lines {
        let entry = if *gives {
            approve("cut-out", 1, *content)
        } else {
            withdraw("cut-out", *content)
        };
        log.approval(time, by, &entry);
    }
    log
}

fn rules(report: &Report) -> Vec<&'static str> {
    report
        .findings
        .iter()
        .map(|finding| finding.rule.as_str())
        .collect()
}

fn check(files: &Files) -> Report {
    verify_job(files, &Against::default()).report
}

#[test]
fn an_approved_job_is_whole_and_an_old_record_too() {
    let good = log(&[("08:30:00", TOMASZ, true, content_hash())]);
    assert_eq!(rules(&check(&folder(Some(&good), |_| {}))), [""; 0]);
    let old = check(&folder(None, |_| {}));
    assert_eq!(rules(&old), ["approval-missing"]);
    assert!(old.whole(), "{}", old.to_text());
    // A withdrawal behind the opening takes nothing from a job that was opened before it.
    let later = log(&[
        ("08:30:00", TOMASZ, true, content_hash()),
        ("08:40:00", TOMASZ, false, content_hash()),
    ]);
    let opened_before = folder(Some(&later), |opening| {
        opening.approval = Some(shop::pinned(&good, 0, content_hash()));
    });
    assert_eq!(rules(&check(&opened_before)), [""; 0]);
}

/// How the job was opened, and a part of what is said of it.
#[test]
fn each_way_around_an_approval_is_found() {
    let this = content_hash();
    let good = log(&[("08:30:00", TOMASZ, true, this)]);
    let other = log(&[("08:30:00", TOMASZ, true, digest(b"other"))]);
    let withdrawn = log(&[
        ("08:30:00", TOMASZ, true, this),
        ("08:40:00", TOMASZ, false, this),
    ]);
    let by_ines = log(&[("08:30:00", INES, true, this)]);
    let revision = {
        let mut log = Log::new(Namespace::ContentApproval);
        log.approval("08:30:00", TOMASZ, &approve("cut-out", 2, this));
        log
    };
    let another_job = {
        let mut log = Log::new(Namespace::ContentApproval);
        log.approval("08:30:00", TOMASZ, &approve("brakes", 1, this));
        log
    };
    let mut cut = folder(Some(&withdrawn), |_| {});
    cut.insert("approvals.jsonl".into(), good.bytes.clone());
    let mut gone = folder(Some(&good), |_| {});
    gone.remove("approvals.jsonl");
    let cases: Vec<(&str, Files, &str)> = vec![
        (
            "not named",
            folder(Some(&good), |opening| opening.approval = None),
            "names no approval",
        ),
        ("approvals gone", gone, "it is not there"),
        (
            "other files",
            folder(Some(&other), |_| {}),
            "the approved files have the hash",
        ),
        (
            "by an apprentice",
            folder(Some(&by_ines), |_| {}),
            "does not stand in it",
        ),
        (
            "withdrawn",
            folder(Some(&withdrawn), |_| {}),
            "withdrawn on 2026-03-02 08:40",
        ),
        (
            "a withdrawal left out",
            cut,
            "line 2 is not the one that entry 0 pins",
        ),
        ("another revision", folder(Some(&revision), |_| {}), "revision 2"),
        ("another job", folder(Some(&another_job), |_| {}), "`brakes`"),
        (
            "another number",
            folder(Some(&good), |opening| {
                opening.approval.as_mut().expect("one").n = 1
            }),
            "the approval 1 that entry 0 names does not stand in it",
        ),
        (
            "another hash in the opening",
            folder(Some(&good), |opening| {
                opening.approval.as_mut().expect("one").content = digest(b"other").to_string();
            }),
            "the approved files have the hash",
        ),
        (
            "two files in one path",
            folder(Some(&good), |opening| {
                let (path, hash) = opening.content.remove(1);
                opening.content[0].0 += &format!("\n{hash}  {path}");
            }),
            "no list at all",
        ),
    ];
    for (name, files, said) in cases {
        let report = check(&files);
        let mut faults = report.faults();
        let found = faults
            .any(|finding| finding.rule.as_str() == "unapproved-content" && finding.what.contains(said));
        assert!(found, "{name}: `{said}` expected\n{}", report.to_text());
    }
    let report = check(&folder(Some(&by_ines), |_| {}));
    assert!(rules(&report).contains(&"wrong-role"), "{}", report.to_text());
}

/// What the folder of one job cannot show, the shop's own file does.
#[test]
fn the_shops_own_approvals_tell_more() {
    let this = content_hash();
    let good = log(&[("08:30:00", TOMASZ, true, this)]);
    let withdrawn = log(&[
        ("08:30:00", TOMASZ, true, this),
        ("08:40:00", TOMASZ, false, this),
    ]);
    let later = log(&[
        ("08:30:00", TOMASZ, true, this),
        ("11:40:00", TOMASZ, false, this),
    ]);
    let other = log(&[("08:30:00", TOMASZ, true, digest(b"other"))]);
    let after = log(&[("11:50:00", TOMASZ, true, this)]);
    let cases = [
        ("the same", folder(Some(&good), |_| {}), &good, None),
        ("withdrawn since", folder(Some(&good), |_| {}), &later, None),
        ("hidden", folder(None, |_| {}), &good, Some("names no approval")),
        (
            "opened before the first approval",
            folder(None, |_| {}),
            &after,
            None,
        ),
        (
            "a withdrawal hidden",
            folder(Some(&good), |_| {}),
            &withdrawn,
            Some("withdrew the approval"),
        ),
        (
            "others than the shop's",
            folder(Some(&good), |_| {}),
            &other,
            Some("not a beginning of the shop's"),
        ),
    ];
    for (name, job, approvals, said) in cases {
        let mut shop = Files::new();
        shop.insert("roster.jsonl".into(), job["roster.jsonl"].clone());
        shop.insert("ledger.jsonl".into(), job["ledger-extract.jsonl"].clone());
        shop.insert("approvals.jsonl".into(), approvals.bytes.clone());
        for (file, bytes) in &job {
            shop.insert(format!("jobs/{JOB}/{file}"), bytes.clone());
        }
        let report = verify_shop(&shop, None, None, &mut |_, _| {});
        let text = report.to_text();
        match said {
            None => assert!(report.whole(), "{name}: {text}"),
            Some(said) => assert!(!report.whole() && text.contains(said), "{name}: {text}"),
        }
    }
}
