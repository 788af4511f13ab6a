//! Whether what is known where a reference stands makes sure that what it refers to is there.
//!
//! The answer is on the safe side: a `false` may be a true implication that is too clever to be seen.

use super::model::Condition;
use std::collections::HashSet;

/// So much is looked at; what is known beyond it is left out, which is on the safe side.
const MOST_KNOWN: usize = 64;
/// The alternatives of so many known `any` are gone through.
const MOST_SPLIT: usize = 8;

/// What is known to hold at a place: every condition that had to hold to come there.
#[derive(Clone, Debug, Default)]
pub struct Known {
    conjuncts: Vec<Condition>,
}

/// Looks up under which condition a card field is asked.
pub type AskedWhen<'a> = dyn Fn(&str, &str) -> Option<&'a Condition> + 'a;

/// Looks up every answer that a field may have, if the field is always asked.
pub type Possible<'a> = dyn Fn(&str, &str) -> Option<Vec<String>> + 'a;

impl Known {
    /// What is known once `conditions` hold. An answered field was asked, so its own condition held too.
    pub fn from<'c>(conditions: impl IntoIterator<Item = &'c Condition>, asked: &AskedWhen<'c>) -> Self {
        let mut known = Self::default();
        let mut seen = HashSet::new();
        let mut waiting: Vec<&Condition> = conditions.into_iter().collect();
        while known.conjuncts.len() < MOST_KNOWN
            && let Some(condition) = waiting.pop()
        {
            match condition {
                Condition::Always => {}
                Condition::All(parts) => waiting.extend(parts),
                Condition::Answer { group, field, .. } => {
                    if seen.insert((group, field)) {
                        waiting.extend(asked(group, field));
                    }
                    known.conjuncts.push(condition.clone());
                }
                other => known.conjuncts.push(other.clone()),
            }
        }
        known
    }

    /// Whether `needed` must hold too.
    pub fn implies(&self, needed: &Condition, possible: &Possible) -> bool {
        implied(&self.conjuncts, needed, possible) || self.each_alternative_implies(needed, possible)
    }

    /// Takes the alternatives of one known `any` after the other; each must lead to `needed`.
    fn each_alternative_implies(&self, needed: &Condition, possible: &Possible) -> bool {
        let leads = |alternative: &Condition| {
            let mut conjuncts = self.conjuncts.clone();
            conjuncts.push(alternative.clone());
            implied(&conjuncts, needed, possible)
        };
        let splits = self.conjuncts.iter().filter_map(|known| match known {
            Condition::Any(alternatives) => Some(alternatives),
            _ => None,
        });
        splits
            .take(MOST_SPLIT)
            .any(|alternatives| alternatives.iter().all(leads))
    }
}

fn implied(known: &[Condition], needed: &Condition, possible: &Possible) -> bool {
    match needed {
        Condition::Always => true,
        Condition::All(parts) => parts.iter().all(|part| implied(known, part, possible)),
        Condition::Any(parts) => {
            known.contains(needed) || joined(parts).iter().any(|part| implied(known, part, possible))
        }
        Condition::Answer { group, field, one_of } => {
            let all = possible(group, field);
            all.is_some_and(|all| all.iter().all(|word| one_of.contains(word)))
                || known.iter().any(|known| narrows(known, needed))
        }
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
    let Condition::Answer {
        group,
        field,
        one_of: unwanted,
    } = inner
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

/// Alternatives with the answers to one field joined: one of `flare` and one of `quick` is one of both.
fn joined(alternatives: &[Condition]) -> Vec<Condition> {
    let mut joined: Vec<Condition> = Vec::new();
    for condition in alternatives {
        let same = |kept: &&mut Condition| match (kept, condition) {
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
                one_of.extend(more.iter().cloned());
            }
            _ => joined.push(condition.clone()),
        }
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answer(field: &str, one_of: &[&str]) -> Condition {
        let one_of = one_of.iter().map(|word| (*word).to_owned()).collect();
        Condition::Answer {
            group: "g".to_owned(),
            field: field.to_owned(),
            one_of,
        }
    }

    fn not(condition: Condition) -> Condition {
        Condition::Not(Box::new(condition))
    }

    /// `size` is asked only with the heater; the heater only where the supply is flare or quick.
    fn implies(known: &[Condition], needed: &Condition) -> bool {
        let heater = answer("supply", &["flare", "quick"]);
        let size = answer("heater", &["yes"]);
        let asked = |_: &str, field: &str| match field {
            "heater" => Some(&heater),
            "size" => Some(&size),
            _ => None,
        };
        let possible = |_: &str, field: &str| {
            (field == "supply").then(|| vec!["flare".to_owned(), "quick".to_owned(), "moulded".to_owned()])
        };
        Known::from(known, &asked).implies(needed, &possible)
    }

    #[test]
    fn what_follows_is_seen_and_what_does_not_is_refused() {
        use Condition::{All, Always, Any};
        let (flare, quick) = (answer("supply", &["flare"]), answer("supply", &["quick"]));
        let both = answer("supply", &["flare", "quick"]);
        let rows = [
            (vec![], Always, true),
            (vec![], flare.clone(), false),
            (vec![flare.clone()], flare.clone(), true),
            (vec![flare.clone()], both.clone(), true),
            (vec![both.clone()], flare.clone(), false),
            (vec![], answer("supply", &["flare", "quick", "moulded"]), true),
            (
                vec![All(vec![flare.clone(), answer("a", &["yes"])])],
                answer("a", &["yes"]),
                true,
            ),
            (
                vec![flare.clone()],
                All(vec![both.clone(), answer("a", &["yes"])]),
                false,
            ),
            (vec![flare.clone()], Any(vec![quick.clone(), flare.clone()]), true),
            (vec![Any(vec![flare.clone(), quick.clone()])], both.clone(), true),
            (
                vec![Any(vec![flare.clone(), answer("a", &["yes"])])],
                both.clone(),
                false,
            ),
            (vec![answer("size", &["large"])], both.clone(), true),
            (vec![not(answer("size", &["large"]))], both.clone(), false),
            (vec![flare.clone()], not(quick.clone()), true),
            (vec![flare.clone()], not(both.clone()), false),
            (vec![not(both.clone())], not(flare.clone()), true),
            (vec![not(flare.clone())], not(both.clone()), false),
            (
                vec![],
                Any(vec![flare.clone(), answer("supply", &["moulded"]), quick.clone()]),
                true,
            ),
            (vec![both], Any(vec![flare.clone(), quick.clone()]), true),
            (vec![], Any(vec![flare, quick]), false),
        ];
        for (known, needed, expected) in rows {
            assert_eq!(implies(&known, &needed), expected, "{known:?} and {needed:?}");
        }
    }
}
