//! What is wrong, where it stands and what to do.

use super::Rule;
use crate::people::PeopleFinding;
use crate::seal::ChainFinding;
use serde_json::{Value, json};

/// The most findings that are kept of one job: whoever wrote it cannot fill the memory of who reads it.
pub const MOST_FINDINGS: usize = 200;

/// A rule that the folder breaks, at a place.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {what} [{rule}]")]
pub struct Finding {
    /// The rule.
    pub rule: Rule,
    /// The file and the line or entry in it: `record.jsonl line 12`.
    pub place: String,
    /// What was found and what was expected, as a sentence without a full stop.
    pub what: String,
}

impl Finding {
    /// A finding at a place.
    pub fn new(rule: impl Into<Rule>, place: impl Into<String>, what: impl Into<String>) -> Self {
        Self {
            rule: rule.into(),
            place: place.into(),
            what: what.into(),
        }
    }

    /// A finding at a line of a file, counted from 1; 0 is the file as a whole.
    pub fn at_line(rule: impl Into<Rule>, file: &str, line: u64, what: impl Into<String>) -> Self {
        let place = if line == 0 {
            file.to_owned()
        } else {
            format!("{file} line {line}")
        };
        Self::new(rule, place, what)
    }

    /// A finding at an entry of the record, by its number, which is counted from 0.
    pub fn at_entry(rule: impl Into<Rule>, n: u64, what: impl Into<String>) -> Self {
        Self::new(rule, format!("record.jsonl entry {n}"), what)
    }

    /// What is wrong with a line.
    #[must_use]
    pub fn of_line(file: &str, line: u64, finding: ChainFinding) -> Self {
        Self::at_line(finding.rule, file, line, finding.what)
    }

    /// What is wrong with the roster or the ledger.
    #[must_use]
    pub fn of_people(file: &str, finding: PeopleFinding) -> Self {
        Self::at_line(finding.rule, file, finding.line, finding.what)
    }

    /// `{"rule", "where", "what", "do"}`.
    #[must_use]
    pub fn to_json(&self) -> Value {
        json!({ "rule": self.rule.as_str(), "where": self.place, "what": self.what, "do": self.rule.advice() })
    }
}
