//! What the ledger says of a job, held against its record.

use super::mathematics::Mathematics;
use super::{Finding, Meaning};
use crate::people::{Ledger, LedgerJob};

/// Compares one job's ledger lines with its record. `file` is where the ledger's lines stand.
pub(super) fn compare(ledger: &Ledger, file: &str, job: &str, record: &Mathematics) -> Vec<Finding> {
    let mismatch = |what: String| Finding::new(Meaning::LedgerMismatch, file, what);
    let Some(known) = ledger.job(job) else {
        return vec![mismatch(format!("it has no line for the job {job}"))];
    };
    let mut findings = Vec::new();
    if Some(known.opened.first_hash) != record.first {
        findings.push(mismatch(
            "the record's first line is not the one that the ledger has".into(),
        ));
    }
    findings.extend(closing(known, record).map(mismatch));
    findings
}

fn closing(known: &LedgerJob, record: &Mathematics) -> Option<String> {
    match (&known.closed, record.closed) {
        (None, false) => None,
        (None, true) => Some("the record is closed, the ledger has no closing of it".into()),
        (Some(_), false) => {
            Some("the ledger has the job closed, but the record has no closing: its end is missing".into())
        }
        (Some((_, closed)), true) if closed.entries != record.lines => Some(format!(
            "the ledger counts {} lines, the record has {}",
            closed.entries, record.lines
        )),
        (Some((_, closed)), true) if Some(closed.final_hash) != record.head.map(|head| head.hash) => {
            Some("the record's last line is not the one that the ledger has".into())
        }
        _ => None,
    }
}
