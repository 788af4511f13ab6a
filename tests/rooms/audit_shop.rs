//! A shop's folder with its jobs: what is missing, replaced or does not belong.

use std::collections::BTreeMap;

use crate::played_job::{self, JOB, Run};
use crate::shop::{TABLET, TOMASZ};
use witnessmark::audit::{ShopReport, verify_shop};

type Files = BTreeMap<String, Vec<u8>>;

/// A shop with one closed job.
fn whole() -> Files {
    let job = played_job::folder(&Run::through(false).facts, false);
    let mut shop = Files::from([
        ("roster.jsonl".to_owned(), job["roster.jsonl"].clone()),
        ("ledger.jsonl".to_owned(), job["ledger-extract.jsonl"].clone()),
        ("approvals.jsonl".to_owned(), job["approvals.jsonl"].clone()),
    ]);
    shop.extend(
        job.into_iter()
            .map(|(name, bytes)| (format!("jobs/{JOB}/{name}"), bytes)),
    );
    shop
}

fn verify(files: &Files) -> ShopReport {
    verify_shop(files, None, None, &mut |_, _| {})
}

fn faults(report: &ShopReport) -> Vec<String> {
    let json = report.to_json();
    let faults = json["faults"].as_array().expect("a list").iter();
    faults
        .map(|fault| {
            format!(
                "{} {}",
                fault["where"].as_str().expect("a place"),
                fault["rule"].as_str().expect("a rule")
            )
        })
        .collect()
}

#[test]
fn a_whole_shop_is_whole() {
    let mut seen = Vec::new();
    let report = verify_shop(&whole(), None, None, &mut |place, count| {
        seen.push((place, count))
    });
    assert!(report.whole(), "{}", report.to_text());
    assert!(
        report.to_text().contains("1 closed, 0 open, 0 practice"),
        "{}",
        report.to_text()
    );
    assert_eq!((seen, report.jobs.len()), (vec![(0, 1)], 1));
    assert_eq!(report.to_json()["whole"], true);
}

#[test]
fn what_an_interruption_left_is_no_job() {
    let mut files = whole();
    files.insert("jobs/.new-2026-0008/record.jsonl".into(), b"half".to_vec());
    assert!(verify(&files).whole());
}

#[test]
fn each_tampering_has_its_place_and_rule() {
    let of_job = |name: &str| format!("jobs/{JOB}/{name}");
    let remove = |files: &mut Files, prefix: &str| files.retain(|name, _| !name.starts_with(prefix));
    type Tamper<'a> = Box<dyn Fn(&mut Files) + 'a>;
    let cases: Vec<(&str, Tamper, &str)> = vec![
        (
            "a job gone",
            Box::new(|files| remove(files, "jobs/")),
            "jobs ledger-mismatch",
        ),
        (
            "no ledger",
            Box::new(|files| remove(files, "ledger.jsonl")),
            "ledger.jsonl unreadable",
        ),
        (
            "no roster",
            Box::new(|files| remove(files, "roster.jsonl")),
            "roster.jsonl unreadable",
        ),
        (
            "a job under another number",
            Box::new(|files| {
                let job: Files = files
                    .clone()
                    .into_iter()
                    .filter(|(name, _)| name.starts_with("jobs/"))
                    .collect();
                files.extend(
                    job.into_iter()
                        .map(|(name, bytes)| (name.replace(JOB, "2026-0009"), bytes)),
                );
            }),
            "jobs/2026-0009 bad-opening",
        ),
        (
            "a job's content gone",
            Box::new(|files| remove(files, &of_job("content"))),
            "content-missing",
        ),
        (
            "an older copy of an open job",
            Box::new(|files| {
                let open = played_job::folder(&Run::through(false).facts[..20], false);
                files.insert(of_job("record.jsonl"), open["record.jsonl"].clone());
                files.insert(
                    of_job("ledger-extract.jsonl"),
                    open["ledger-extract.jsonl"].clone(),
                );
            }),
            "the shop's ledger.jsonl ledger-mismatch",
        ),
        (
            "a roster of its own",
            Box::new(|files| {
                let mut other = crate::shop::roster();
                other.roster("08:30:00", TOMASZ, TOMASZ, &crate::shop::retire(TABLET));
                files.insert("roster.jsonl".into(), other.bytes);
            }),
            "roster-mismatch",
        ),
    ];
    for (name, tamper, expected) in cases {
        let mut files = whole();
        tamper(&mut files);
        let report = verify(&files);
        let found = faults(&report);
        assert!(
            found.iter().any(|fault| fault.contains(expected)),
            "{name}: {expected} expected in {found:?}"
        );
        assert!(!report.whole(), "{name}");
    }
}
