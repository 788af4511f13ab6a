//! Conditions on the answers of the job card.

use super::model::{Condition, Reference};
use std::collections::BTreeSet;

impl Condition {
    /// Whether the condition holds for these answers: the key of a choice, `yes` or `no`.
    ///
    /// A field without an answer, because it does not apply or was not asked yet, is equal to nothing.
    #[must_use]
    pub fn holds(&self, answers: &dyn Fn(&str, &str) -> Option<String>) -> bool {
        match self {
            Self::Always => true,
            Self::Answer { group, field, one_of } => {
                answers(group, field).is_some_and(|answer| one_of.contains(&answer))
            }
            Self::All(parts) => parts.iter().all(|part| part.holds(answers)),
            Self::Any(parts) => parts.iter().any(|part| part.holds(answers)),
            Self::Not(part) => !part.holds(answers),
        }
    }

    /// Adds the card answers that the condition asks.
    pub fn references(&self, found: &mut BTreeSet<Reference>) {
        match self {
            Self::Always => {}
            Self::Answer { group, field, .. } => {
                found.insert(Reference::Card {
                    group: group.clone(),
                    field: field.clone(),
                });
            }
            Self::All(parts) | Self::Any(parts) => parts.iter().for_each(|part| part.references(found)),
            Self::Not(part) => part.references(found),
        }
    }

    /// Both conditions.
    #[must_use]
    pub fn and(&self, other: &Condition) -> Condition {
        match (self, other) {
            (Self::Always, one) | (one, Self::Always) => one.clone(),
            (one, other) => Self::All(vec![one.clone(), other.clone()]),
        }
    }
}
