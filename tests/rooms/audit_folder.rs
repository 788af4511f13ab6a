//! A job's folder that was tampered with on the disk: what its files are, held against each other.

use std::collections::BTreeMap;

use crate::played_job::{self, JOB, Run};
use crate::shop::{TABLET, at, id, label};
use proptest::prelude::*;
use witnessmark::audit::{Against, Report, Standing, stored_name, verify_job};
use witnessmark::people::ledger::{JobClosed, JobOpened};
use witnessmark::people::{Ledger, LedgerEntry, Roster};
use witnessmark::seal::{Namespace, digest};

type Files = BTreeMap<String, Vec<u8>>;

fn whole() -> Files {
    let mut files = played_job::folder(&Run::through(false).facts, false);
    files.insert("certificate.pdf".into(), b"%PDF".to_vec());
    files.insert(
        format!("attachments/{}.jpg", digest(b"a photo")),
        b"a photo".to_vec(),
    );
    files
}

fn verify(files: &Files) -> Report {
    verify_job(files, &Against::default()).report
}

fn expect(name: &str, files: &Files, rule: &str) {
    let report = verify(files);
    let found = report.faults().any(|finding| finding.rule.as_str() == rule);
    assert!(found, "{name}: {rule} expected\n{}", report.to_text());
}

fn content_name(path: &str) -> String {
    stored_name(path, &digest(&played_job::content()[path]).to_string())
}

/// What was done to the folder, and the rule that finds it.
type Tampering = (&'static str, fn(&mut Files), &'static str);

const TAMPERINGS: &[Tampering] = &[
    (
        "no record",
        |files| drop(files.remove("record.jsonl")),
        "record-missing",
    ),
    (
        "an empty record",
        |files| files.get_mut("record.jsonl").expect("a record").clear(),
        "record-missing",
    ),
    (
        "no roster",
        |files| drop(files.remove("roster.jsonl")),
        "roster-mismatch",
    ),
    (
        "no allowed_signers",
        |files| drop(files.remove("allowed_signers")),
        "roster-mismatch",
    ),
    (
        "a signer more",
        |files| {
            let signers = files.get_mut("allowed_signers").expect("signers");
            let text = String::from_utf8(signers.clone()).expect("text");
            signers.extend(text.replace("ines.varga", "eve").into_bytes());
        },
        "roster-mismatch",
    ),
    (
        "no ledger extract",
        |files| drop(files.remove("ledger-extract.jsonl")),
        "ledger-mismatch",
    ),
    (
        "a record cut before its closing",
        |files| {
            let record = files.get_mut("record.jsonl").expect("a record");
            let end = record[..record.len() - 1]
                .iter()
                .rposition(|byte| *byte == b'\n')
                .expect("lines");
            record.truncate(end + 1);
        },
        "ledger-mismatch",
    ),
    (
        "a torn record",
        |files| {
            let record = files.get_mut("record.jsonl").expect("a record");
            record.pop();
        },
        "truncated-line",
    ),
    (
        "content gone",
        |files| drop(files.remove(&content_name("tools.yaml"))),
        "content-missing",
    ),
    (
        "content altered",
        |files| {
            files
                .get_mut(&content_name("procedures/box.yaml"))
                .expect("content")
                .push(b'\n')
        },
        "content-altered",
    ),
    (
        "an attachment altered",
        |files| {
            let (_, photo) = files
                .iter_mut()
                .find(|(name, _)| name.starts_with("attachments/"))
                .expect("a photo");
            photo.push(b'!');
        },
        "attachment-altered",
    ),
    (
        "an attachment of another name",
        |files| drop(files.insert("attachments/photo.jpg".into(), b"a photo".to_vec())),
        "attachment-altered",
    ),
];

#[test]
fn each_tampering_has_its_rule() {
    let files = whole();
    let report = verify(&files);
    assert!(
        report.findings.is_empty() && report.standing == Standing::Closed,
        "{}",
        report.to_text()
    );
    for (name, tamper, rule) in TAMPERINGS {
        let mut files = files.clone();
        tamper(&mut files);
        expect(name, &files, rule);
    }
}

/// A remark that is exactly an attachment's name names it.
#[test]
fn an_attachment_that_an_entry_names_must_be_there() {
    let mut run = Run::new(false);
    let name = format!("{}.jpg", digest(b"a photo"));
    let note = witnessmark::player::Event::Note {
        step: None,
        text: name.clone(),
    };
    run.act(crate::shop::INES, note);
    let mut files = played_job::folder(&run.facts, false);
    expect("no photo", &files, "attachment-missing");
    files.insert(format!("attachments/{name}"), b"a photo".to_vec());
    assert!(verify(&files).whole());
}

/// Content that its own checks refuse cannot be played, so nothing can be said of the meaning.
#[test]
fn content_with_faults_is_told() {
    let mut run = Run::new(false);
    let faulty = b"job: cut-out\n".to_vec();
    let witnessmark::player::fact::Body::Opening(opening) = &mut run.facts[0].body else {
        panic!("an opening")
    };
    for (path, sha256) in &mut opening.content {
        if path == "jobs/cut-out.yaml" {
            *sha256 = digest(&faulty).to_string();
        }
    }
    let mut files = played_job::folder(&run.facts, false);
    files.insert(
        stored_name("jobs/cut-out.yaml", &digest(&faulty).to_string()),
        faulty,
    );
    expect("a faulty job", &files, "content-faulty");
}

#[test]
fn a_certificate_is_judged_by_whoever_can_make_it_again() {
    let mut files = whole();
    let against = |judge: &'static witnessmark::audit::Certificate<'static>| Against {
        certificate: Some(judge),
        ..Against::default()
    };
    let fits = verify_job(
        &files,
        &against(&|folder, facts, pdf| {
            assert_eq!((facts.len(), pdf), (40, &b"%PDF"[..]));
            assert!(folder.reader("record.jsonl").is_ok_and(|record| record.is_some()));
            Ok(())
        }),
    );
    assert!(fits.report.whole());
    let differs = verify_job(&files, &against(&|_, _, _| Err("page 1 differs".into()))).report;
    let found: Vec<String> = differs.findings.iter().map(ToString::to_string).collect();
    assert_eq!(found, ["certificate.pdf: page 1 differs [certificate-mismatch]"]);
    files.remove("certificate.pdf");
    let none = verify(&files);
    assert!(none.whole() && none.remarks().count() == 1, "{}", none.to_text());
    let open = &Run::through(false).facts[..20];
    let mut files = played_job::folder(open, false);
    files.insert("certificate.pdf".into(), b"%PDF".to_vec());
    expect("a certificate of an open job", &files, "certificate-mismatch");
}

#[test]
fn the_root_key_is_held_against_the_trusted_one() {
    let files = whole();
    let root = Roster::replay(files["roster.jsonl"].as_slice())
        .expect("a roster")
        .root_fingerprint();
    let with = |root: &str| {
        verify_job(
            &files,
            &Against {
                root: Some(root),
                ..Against::default()
            },
        )
        .report
    };
    let trusted = with(&root);
    assert!(trusted.whole() && trusted.anchored && !trusted.to_text().contains("held against nothing"));
    let other = with("SHA256:0000");
    assert!(!other.whole() && !other.anchored);
    assert_eq!(other.findings[0].rule.as_str(), "roster-mismatch");
    assert!(!verify(&files).anchored && verify(&files).to_text().contains("held against nothing"));
}

/// The shop's own ledger shows a folder whose record and extract were both replaced.
#[test]
fn the_shops_ledger_is_believed_before_the_extract() {
    let files = whole();
    let roster = Roster::replay(files["roster.jsonl"].as_slice()).expect("a roster");
    let record = &files["record.jsonl"];
    let lines: Vec<&[u8]> = record
        .split(|byte| *byte == b'\n')
        .filter(|line| !line.is_empty())
        .collect();
    let hashes = (
        digest(lines[0]),
        digest(lines[lines.len() - 1]),
        lines.len() as u64,
    );
    for (name, job, (first_hash, final_hash, entries), is_whole) in [
        ("the same", JOB, hashes, true),
        ("no such job", "2026-0008", hashes, false),
        ("another opening", JOB, (hashes.1, hashes.1, hashes.2), false),
        ("another end", JOB, (hashes.0, hashes.0, hashes.2), false),
        ("a longer record", JOB, (hashes.0, hashes.1, hashes.2 + 1), false),
    ] {
        let mut log = crate::shop::Log::new(Namespace::ShopLedger);
        let title = label("Cut-out");
        let opened = LedgerEntry::Opened(JobOpened { title, first_hash });
        let closed = LedgerEntry::Closed(JobClosed { final_hash, entries });
        for entry in [opened, closed] {
            let text = entry
                .text(log.link(), at("12:00:00"), &id(TABLET), job)
                .expect("an entry");
            log.add_text(text, TABLET, TABLET);
        }
        let ledger = Ledger::replay(log.bytes.as_slice(), &roster).expect("a ledger");
        let report = verify_job(
            &files,
            &Against {
                ledger: Some(&ledger),
                ..Against::default()
            },
        )
        .report;
        assert_eq!(report.whole(), is_whole, "{name}: {}", report.to_text());
    }
}

/// The same folder on the disk comes to the same.
#[test]
fn a_folder_on_the_disk_is_verified_as_one_in_memory() {
    let scratch = crate::scratch::Scratch::new();
    let mut files = whole();
    for inside in ["content", "attachments"] {
        std::fs::create_dir(scratch.path().join(inside)).expect("a folder");
    }
    for (name, bytes) in &files {
        scratch.write(name, bytes);
    }
    let folder = witnessmark::disk::Folder::open(scratch.path()).expect("a folder");
    let on_disk = || verify_job(&folder, &Against::default()).report;
    assert_eq!(on_disk(), verify(&files));
    assert!(on_disk().whole());
    let name = content_name("tools.yaml");
    std::fs::remove_file(scratch.path().join(&name)).expect("removed");
    files.remove(&name);
    assert_eq!(on_disk(), verify(&files));
    assert!(!on_disk().whole());
}

#[test]
fn a_report_reads_the_same_in_json() {
    let mut files = whole();
    assert_eq!(verify(&files).to_json()["whole"], true);
    files.remove(&content_name("tools.yaml"));
    let json = verify(&files).to_json();
    assert_eq!(json["whole"], false);
    assert_eq!((&json["state"], &json["job"]), (&"closed".into(), &JOB.into()));
    let fault = &json["faults"][0];
    assert_eq!(fault["rule"], "content-missing");
    assert_eq!(fault["where"], content_name("tools.yaml"));
    assert!(
        fault["what"]
            .as_str()
            .is_some_and(|what| what.contains("`tools.yaml`"))
    );
    assert!(
        fault["do"]
            .as_str()
            .is_some_and(|advice| advice.starts_with("Fetch"))
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever byte is changed in whatever file, it is found, and nothing panics.
    #[test]
    fn any_changed_byte_is_found(file in any::<prop::sample::Index>(), place in any::<prop::sample::Index>(), bit in 0..8_u8) {
        let mut files = whole();
        files.remove("certificate.pdf");
        let name = files.keys().nth(file.index(files.len())).expect("a file").clone();
        let bytes = files.get_mut(&name).expect("a file");
        let at = place.index(bytes.len());
        bytes[at] ^= 1 << bit;
        prop_assert!(!verify(&files).whole(), "{} byte {}", name, at);
    }
}
