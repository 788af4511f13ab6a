//! Whether what is known where a reference stands makes sure that what it refers to is there.
//!
//! The answer is on the safe side: a `false` may be a true implication that is too clever to be seen.

use super::model::Condition;
use std::collections::HashSet;

/// What is known to hold at a place: every condition that had to hold to come there.
#[derive(Clone, Debug, Default)]
pub struct Known {
    conjuncts: Vec<Condition>,
}

/// Looks up under which condition a card field is asked.
pub type AskedWhen<'a> = dyn Fn(&str, &str) -> Option<&'a Condition> + 'a;

impl Known {
    /// What is known once `conditions` hold. An answered field was asked, so its own condition held too.
    pub fn from<'c>(conditions: impl IntoIterator<Item = &'c Condition>, asked: &AskedWhen) -> Self {
        let mut known = Self::default();
        let mut seen = HashSet::new();
        let mut waiting: Vec<&Condition> = conditions.into_iter().collect();
        while let Some(condition) = waiting.pop() {
            match condition {
                Condition::Always => {}
                Condition::All(parts) => waiting.extend(parts),
                Condition::Answer { group, field, .. } => {
                    if seen.insert((group.clone(), field.clone()))
                        && let Some(when) = asked(group, field)
                    {
                        known.add(when, &mut seen, asked);
                    }
                    known.conjuncts.push(condition.clone());
                }
                other => known.conjuncts.push(other.clone()),
            }
        }
        known
    }

    /// Adds a condition of the card itself, and what it rests on in turn.
    fn add(&mut self, condition: &Condition, seen: &mut HashSet<(String, String)>, asked: &AskedWhen) {
        let mut waiting = vec![condition];
        while let Some(condition) = waiting.pop() {
            match condition {
                Condition::Always => {}
                Condition::All(parts) => waiting.extend(parts),
                Condition::Answer { group, field, .. } => {
                    if seen.insert((group.clone(), field.clone())) {
                        waiting.extend(asked(group, field));
                    }
                    self.conjuncts.push(condition.clone());
                }
                other => self.conjuncts.push(other.clone()),
            }
        }
    }

    /// Whether `needed` must hold too.
    pub fn implies(&self, needed: &Condition) -> bool {
        implied(&self.conjuncts, needed) || self.each_alternative_implies(needed)
    }

    /// Takes the alternatives of one known `any` after the other; each must lead to `needed`.
    fn each_alternative_implies(&self, needed: &Condition) -> bool {
        let leads = |alternative: &Condition| {
            let mut conjuncts = self.conjuncts.clone();
            conjuncts.push(alternative.clone());
            implied(&conjuncts, needed)
        };
        self.conjuncts.iter().any(|known| match known {
            Condition::Any(alternatives) => alternatives.iter().all(leads),
            _ => false,
        })
    }
}

fn implied(known: &[Condition], needed: &Condition) -> bool {
    match needed {
        Condition::Always => true,
        Condition::All(parts) => parts.iter().all(|part| implied(known, part)),
        Condition::Any(parts) => parts.iter().any(|part| implied(known, part)) || known.contains(needed),
        Condition::Answer { .. } => known.iter().any(|known| narrows(known, needed)),
        Condition::Not(inner) => known.contains(needed) || known.iter().any(|known| excludes(known, inner)),
    }
}

/// Whether one known condition alone makes an answer certain.
fn narrows(known: &Condition, needed: &Condition) -> bool {
    match (known, needed) {
        (
            Condition::Answer { group, field, one_of },
            Condition::Answer {
                group: other_group,
                field: other_field,
                one_of: wanted,
            },
        ) => group == other_group && field == other_field && one_of.iter().all(|word| wanted.contains(word)),
        (Condition::All(parts), needed) => parts.iter().any(|part| narrows(part, needed)),
        _ => false,
    }
}

/// Whether one known condition alone makes sure that `inner` does not hold.
fn excludes(known: &Condition, inner: &Condition) -> bool {
    let (
        Condition::Answer {
            group,
            field,
            one_of: unwanted,
        },
        known,
    ) = (inner, known)
    else {
        return false;
    };
    match known {
        Condition::Answer {
            group: other_group,
            field: other_field,
            one_of,
        } => {
            group == other_group && field == other_field && !one_of.iter().any(|word| unwanted.contains(word))
        }
        Condition::Not(other) => narrows(inner, other),
        Condition::All(parts) => parts.iter().any(|part| excludes(part, inner)),
        _ => false,
    }
}

/// All of several conditions taken as alternatives, of which one is enough. Answers to one field are
/// joined, and what covers every answer of a field that is always asked is no condition at all.
pub fn either(conditions: Vec<Condition>, words: &dyn Fn(&str, &str) -> Option<Vec<String>>) -> Condition {
    let mut joined: Vec<Condition> = Vec::new();
    for condition in conditions {
        let same = |kept: &&mut Condition| match (kept, &condition) {
            (
                Condition::Answer { group, field, .. },
                Condition::Answer {
                    group: g, field: f, ..
                },
            ) => group == g && field == f,
            _ => false,
        };
        match (joined.iter_mut().find(same), condition) {
            (Some(Condition::Answer { one_of, .. }), Condition::Answer { one_of: more, .. }) => {
                one_of.extend(more)
            }
            (_, condition) => joined.push(condition),
        }
    }
    let covers = |condition: &Condition| match condition {
        Condition::Always => true,
        Condition::Answer { group, field, one_of } => {
            words(group, field).is_some_and(|words| words.iter().all(|word| one_of.contains(word)))
        }
        _ => false,
    };
    if joined.iter().any(covers) {
        Condition::Always
    } else {
        Condition::Any(joined)
    }
}
