//! Why a circuit gives no figure on this car.

use super::Ends;
use crate::circuit::Finding;
use crate::procedure::band::BandError;
use crate::say;
use crate::words::Words;
use std::fmt;

/// For an apprentice, who looks at the car and the card, or asks the author.
#[derive(Clone, Debug, PartialEq)]
pub enum Refused {
    /// A figure of the circuit with this title is not known.
    Unknown(String),
    /// A given has no value.
    Given(BandError),
    /// The limits of the given with this label are not finite.
    NotFinite(String),
    /// The given with this label lies outside its own limits.
    Outside(String, Ends),
    /// Nothing conducts across a source that stands for an ohmmeter.
    Insulated(String),
    /// A relay that is asked is not on this car.
    NotThere(String),
    /// The figures make no circuit, or none with one answer.
    Findings(Vec<Finding>),
}

impl Refused {
    /// The sentence in a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::Unknown(title) => say!(
                words,
                "a figure of the circuit “{title}” is not known",
                title = title
            ),
            Self::Given(error) => error.say(words),
            Self::NotFinite(label) => say!(words, "the limits of “{label}” are not finite", label = label),
            Self::Outside(label, ends) => say!(
                words,
                "“{label}” is {middle}, and this circuit is for {least} to {most}",
                label = label,
                middle = ends.middle,
                least = ends.least,
                most = ends.most
            ),
            Self::Insulated(source) => say!(words, "nothing conducts across `{source}`", source = source),
            Self::NotThere(relay) => say!(words, "the relay `{relay}` is not on this car", relay = relay),
            Self::Findings(findings) => {
                let each = findings.iter().map(|finding| finding.say(words));
                each.collect::<Vec<_>>().join("; ")
            }
        }
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl std::error::Error for Refused {}

impl From<Finding> for Refused {
    fn from(finding: Finding) -> Self {
        Self::Findings(vec![finding])
    }
}
