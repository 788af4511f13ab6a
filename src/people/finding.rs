//! What is wrong with a roster or a ledger, by rule and line.

use std::fmt;

use crate::seal;

/// A rule of rosters and ledgers; those of every signed line are among them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PeopleRule {
    /// A rule of lines and chains.
    Line(seal::Rule),
    /// The file could not be read.
    Unreadable,
    /// The entry is of an unknown kind, or its body is not of its kind's form.
    MalformedEntry,
    /// The roster does not begin with its root, or has a second one.
    BadRoot,
    /// The signer's role does not allow this entry.
    WrongRole,
    /// The entry concerns somebody whom the roster does not know, or who has left.
    UnknownPerson,
    /// The id was given before.
    IdRepeat,
    /// The key stands in the roster already. Two ids with one key could release their own work.
    KeyRepeat,
    /// Validity that begins before the entry, or ends before it begins.
    BadValidity,
    /// Nobody would be left who can sign for the roster.
    LastSupervisor,
    /// The ledger opens a job twice, or closes one that is not open.
    LedgerMismatch,
    /// Content is approved that is approved already, or withdrawn that is not.
    ApprovalMismatch,
    /// There are more lines than a reader takes.
    TooLong,
}

impl PeopleRule {
    /// The rule's name, as reports print it.
    pub const fn as_str(self) -> &'static str {
        match self {
            PeopleRule::Line(rule) => rule.as_str(),
            PeopleRule::Unreadable => "unreadable",
            PeopleRule::MalformedEntry => "malformed-entry",
            PeopleRule::BadRoot => "bad-root",
            PeopleRule::WrongRole => "wrong-role",
            PeopleRule::UnknownPerson => "unknown-person",
            PeopleRule::IdRepeat => "id-repeat",
            PeopleRule::KeyRepeat => "key-repeat",
            PeopleRule::BadValidity => "bad-validity",
            PeopleRule::LastSupervisor => "last-supervisor",
            PeopleRule::LedgerMismatch => "ledger-mismatch",
            PeopleRule::ApprovalMismatch => "approval-mismatch",
            PeopleRule::TooLong => "too-long",
        }
    }

    /// Whether the roster or ledger is not whole when this rule is broken.
    pub const fn breaks(self) -> bool {
        match self {
            PeopleRule::Line(rule) => rule.breaks(),
            _ => true,
        }
    }
}

impl fmt::Display for PeopleRule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A rule that a line of a roster or ledger breaks.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {what} [{rule}]")]
pub struct PeopleFinding {
    /// The line, from 1; 0 for the file as a whole.
    pub line: u64,
    /// The rule.
    pub rule: PeopleRule,
    /// What was found and what was expected, as a sentence without a full stop.
    pub what: String,
}

impl PeopleFinding {
    /// A finding of `rule` at `line`.
    pub fn new(line: u64, rule: PeopleRule, what: impl Into<String>) -> PeopleFinding {
        PeopleFinding {
            line,
            rule,
            what: what.into(),
        }
    }

    /// A finding of a line, at its place.
    pub fn of_line(line: u64, finding: seal::ChainFinding) -> PeopleFinding {
        PeopleFinding {
            line,
            rule: PeopleRule::Line(finding.rule),
            what: finding.what,
        }
    }
}
