//! What is wrong with a line, by rule. `audit` adds where it stands and what to do.

use std::fmt;

/// A rule of lines and chains.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// The bytes are no signed line, or the entry inside is no entry.
    MalformedLine,
    /// The file ends without LF: its last line was not written whole.
    TruncatedLine,
    /// `prev` is not the hash of the line before.
    BrokenChain,
    /// The numbers skip some.
    NumberGap,
    /// A number stands twice, or numbers run backwards.
    NumberRepeat,
    /// The signature does not belong to the entry's bytes.
    BadSignature,
    /// No key of this signer is known, or not this one.
    UnknownSigner,
    /// The signer's key was not valid at the entry's time.
    ExpiredSigner,
    /// The signature, or the signer's key, is for another purpose.
    WrongNamespace,
    /// The entry says that another person made it than the one who signed.
    SignerNotBy,
    /// The time is before that of the line before. A clock may be wrong, so the chain still holds.
    TimeBackwards,
}

impl Rule {
    /// Every rule.
    pub const ALL: [Rule; 11] = [
        Rule::MalformedLine,
        Rule::TruncatedLine,
        Rule::BrokenChain,
        Rule::NumberGap,
        Rule::NumberRepeat,
        Rule::BadSignature,
        Rule::UnknownSigner,
        Rule::ExpiredSigner,
        Rule::WrongNamespace,
        Rule::SignerNotBy,
        Rule::TimeBackwards,
    ];

    /// The rule's name, as reports print it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Rule::MalformedLine => "malformed-line",
            Rule::TruncatedLine => "truncated-line",
            Rule::BrokenChain => "broken-chain",
            Rule::NumberGap => "number-gap",
            Rule::NumberRepeat => "number-repeat",
            Rule::BadSignature => "bad-signature",
            Rule::UnknownSigner => "unknown-signer",
            Rule::ExpiredSigner => "expired-signer",
            Rule::WrongNamespace => "wrong-namespace",
            Rule::SignerNotBy => "signer-not-by",
            Rule::TimeBackwards => "time-backwards",
        }
    }

    /// Whether the record is not whole when this rule is broken. A clock that ran backwards is only shown.
    pub const fn breaks(self) -> bool {
        !matches!(self, Rule::TimeBackwards)
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// A rule that one line breaks.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what} [{rule}]")]
pub struct ChainFinding {
    /// The rule.
    pub rule: Rule,
    /// What was found and what was expected, as a sentence without a full stop.
    pub what: String,
}

impl ChainFinding {
    /// A finding of `rule`.
    pub fn new(rule: Rule, what: impl Into<String>) -> ChainFinding {
        ChainFinding {
            rule,
            what: what.into(),
        }
    }
}
