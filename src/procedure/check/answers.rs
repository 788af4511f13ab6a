//! Whether a condition ever holds, or always: every card is tried.

use super::scope::{Met, Scope};
use crate::procedure::draft::{Site, Type};
use crate::procedure::model::{Condition, Reference};
use crate::procedure::read::type_of;
use std::collections::{BTreeSet, HashMap};

/// So many cards are tried; of a condition that asks for more nothing is said.
const MOST_CARDS: usize = 20_000;
/// A field may be asked under a condition on a field, and so on, so many times.
const DEEPEST: usize = 16;

/// How often a condition holds, where its part is met at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Holds {
    Never,
    Sometimes,
    Always,
}

/// Which cards are tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cards {
    /// Those that the job accepts.
    Accepted,
    /// Those besides that hold an answer which the job refuses: whoever names the answers that remain is right.
    Any,
}

type Answers<'a> = HashMap<(&'a str, &'a str), &'a str>;

/// How often a condition holds among the cards on which the job comes to it. None where that cannot be told.
pub(super) fn of(scope: &Scope, met: &Met, condition: &Condition, cards: Cards) -> Option<Holds> {
    let around = Condition::All(around(met).into_iter().cloned().collect());
    let fields = fields(scope, [condition, &around])?;
    let domains: Vec<Vec<String>> = fields
        .iter()
        .map(|(group, field)| possible(scope, group, field, cards))
        .collect::<Option<_>>()?;
    let count = domains
        .iter()
        .try_fold(1_usize, |count, words| count.checked_mul(words.len()))?;
    if count > MOST_CARDS {
        return None;
    }
    let (mut with, mut without) = (false, false);
    for card in 0..count {
        let answers = answers(&fields, &domains, card);
        let look = |group: &str, field: &str| answer(scope, &answers, group, field, DEEPEST);
        if around.holds(&look) {
            *(if condition.holds(&look) {
                &mut with
            } else {
                &mut without
            }) = true;
        }
    }
    match (with, without) {
        (false, true) => Some(Holds::Never),
        (true, false) => Some(Holds::Always),
        (true, true) => Some(Holds::Sometimes),
        // The part is never met, which is said of what keeps it away.
        (false, false) => None,
    }
}

/// The conditions that stand around the part whose own condition a mark is.
fn around<'a>(met: &Met<'a>) -> Vec<&'a Condition> {
    match (met.circuit, met.marked.site) {
        (Some(_), _) => met.under[..2].to_vec(),
        (None, Site::Step(_)) => vec![met.under[0]],
        _ => Vec::new(),
    }
}

/// Every field that the conditions ask, and that is asked to know whether those apply.
fn fields(scope: &Scope, conditions: [&Condition; 2]) -> Option<Vec<(String, String)>> {
    let mut found = BTreeSet::new();
    let mut references = BTreeSet::new();
    conditions.iter().for_each(|one| one.references(&mut references));
    while let Some(Reference::Card { group, field }) = references.pop_first() {
        let asked = scope.field(&group, &field)?;
        if found.insert((group, field)) {
            asked.when.references(&mut references);
        }
    }
    Some(found.into_iter().collect())
}

/// Every answer that a card may give; nothing that is no choice can be asked in a condition.
fn possible(scope: &Scope, group: &str, field: &str, cards: Cards) -> Option<Vec<String>> {
    let field = scope.field(group, field)?;
    let Type::Among(words) = type_of(&field.kind) else {
        return None;
    };
    let taken = words
        .into_iter()
        .filter(|word| cards == Cards::Any || !field.refuse.contains_key(word));
    Some(taken.collect::<Vec<_>>()).filter(|words| !words.is_empty())
}

/// The card of this number.
fn answers<'a>(fields: &'a [(String, String)], domains: &'a [Vec<String>], mut card: usize) -> Answers<'a> {
    let mut answers = Answers::new();
    for ((group, field), words) in fields.iter().zip(domains) {
        answers.insert((group, field), &words[card % words.len()]);
        card /= words.len();
    }
    answers
}

/// The answer to a field, if the field is asked on this card.
fn answer(scope: &Scope, answers: &Answers, group: &str, field: &str, deep: usize) -> Option<String> {
    let when = &scope.field(group, field)?.when;
    let deeper = deep.checked_sub(1)?;
    let asked = when.holds(&|group, field| answer(scope, answers, group, field, deeper));
    asked
        .then(|| answers.get(&(group, field)).map(|word| (*word).to_owned()))
        .flatten()
}
