//! The example car: its answers, and the nearest car on which a step comes.

use super::middle;
use crate::player::card;
use crate::player::play::Play;
use crate::player::state::answer_key;
use crate::procedure::{Condition, Field, FieldKind, Reference, StepRef};
use std::collections::{BTreeMap, BTreeSet};

/// A car's answers as they are typed, by group and field; without what is personal.
pub type Answers = BTreeMap<(String, String), String>;

/// So many cards are tried for one on which a step comes.
const MOST_CARDS: usize = 4096;

/// What the job's example car answers. Where a field has no example, something plausible: the middle of its range,
/// the first choice that is not refused.
#[must_use]
pub fn answers(play: &Play) -> Answers {
    let fields = play.fields().filter(|field| !field.personal);
    let answer = |field: &Field| match &field.example {
        Some((answer, _)) => answer.clone(),
        None => plausible(field),
    };
    fields.map(|field| (key(field), answer(field))).collect()
}

/// The fields of a card that have no example of their own, as `group.field`.
#[must_use]
pub fn assumed(play: &Play) -> Vec<String> {
    let fields = play.fields().filter(|field| !field.personal);
    let without = fields.filter(|field| field.example.is_none());
    without.map(path).collect()
}

/// These answers with others in their place, by `group.field`. What is personal is left aside.
///
/// # Errors
/// Each answer that cannot stand, with the reason: there is no such field, or the field does not take it.
pub fn with(
    play: &Play,
    mut answers: Answers,
    typed: &BTreeMap<String, String>,
) -> Result<Answers, Vec<(String, String)>> {
    let mut wrong = Vec::new();
    for (at, text) in typed {
        let Some(field) = play.fields().find(|field| path(field) == *at) else {
            wrong.push((at.clone(), "the card has no such field".to_owned()));
            continue;
        };
        match card::open_answer(field, text, play.words()) {
            _ if field.personal => {}
            // A choice may have been typed by its label; conditions know its key.
            Ok(value) if matches!(field.kind, FieldKind::Choice(_)) => {
                answers.insert(key(field), answer_key(&value));
            }
            Ok(_) => drop(answers.insert(key(field), text.trim().to_owned())),
            Err(why) => wrong.push((at.clone(), why)),
        }
    }
    if wrong.is_empty() { Ok(answers) } else { Err(wrong) }
}

pub(super) fn key(field: &Field) -> (String, String) {
    (field.group.clone(), field.id.clone())
}

fn path(field: &Field) -> String {
    format!("{}.{}", field.group, field.id)
}

fn plausible(field: &Field) -> String {
    match &field.kind {
        FieldKind::Text { most } => "Example".chars().take(*most).collect(),
        FieldKind::Quantity { unit, from, to } => middle::of(*from, *to, *unit).to_string(),
        FieldKind::Choice(_) | FieldKind::YesNo => possible(field).into_iter().next().unwrap_or_default(),
    }
}

/// The answers that a field with few of them has and does not refuse.
fn possible(field: &Field) -> Vec<String> {
    let mut all: Vec<String> = match &field.kind {
        FieldKind::Choice(options) => options.iter().map(|(key, _)| key.clone()).collect(),
        FieldKind::YesNo => vec!["yes".to_owned(), "no".to_owned()],
        FieldKind::Text { .. } | FieldKind::Quantity { .. } => Vec::new(),
    };
    all.retain(|answer| !field.refuse.contains_key(answer));
    all
}

/// Whether a step comes on this car.
#[must_use]
pub fn comes(play: &Play, answers: &Answers, at: &StepRef) -> bool {
    let wanted = wanted(play, at);
    wanted.is_some_and(|wanted| holds(play, answers, &wanted))
}

/// The car with the fewest other choices on which a step comes; nothing where there is none.
#[must_use]
pub fn on_which_comes(play: &Play, answers: &Answers, at: &StepRef) -> Option<Answers> {
    let wanted = wanted(play, at)?;
    let mut cards = vec![(0, answers.clone())];
    for field in asked_of(play, &wanted) {
        let with_others = cards.iter().flat_map(|(changes, card)| {
            let others = possible(field).into_iter();
            let others = others.filter(|answer| card.get(&key(field)) != Some(answer));
            others.map(move |answer| {
                let mut other = card.clone();
                other.insert(key(field), answer);
                (changes + 1, other)
            })
        });
        let more: Vec<_> = with_others.take(MOST_CARDS - cards.len()).collect();
        cards.extend(more);
    }
    cards.sort_by_key(|(changes, _)| *changes);
    let mut cards = cards.into_iter().map(|(_, card)| card);
    cards.find(|card| holds(play, card, &wanted))
}

/// The condition under which a step comes.
fn wanted(play: &Play, at: &StepRef) -> Option<Condition> {
    let (_, played) = play.procedure(&at.procedure)?;
    Some(played.and(&play.step(at)?.when))
}

fn holds(play: &Play, card: &Answers, condition: &Condition) -> bool {
    condition.holds(&|group, field| answered(play, card, group, field))
}

/// The answer as conditions see it, where the field is asked. A field is asked under earlier ones alone.
fn answered(play: &Play, card: &Answers, group: &str, id: &str) -> Option<String> {
    let field = play.field(group, id)?;
    let asked = holds(play, card, &field.when);
    card.get(&key(field)).filter(|_| asked).cloned()
}

/// The fields that a condition rests on, those under which they are asked among them, in the order of the card.
fn asked_of<'p>(play: &'p Play, condition: &Condition) -> Vec<&'p Field> {
    let (mut found, mut waiting) = (BTreeSet::new(), vec![condition]);
    while let Some(condition) = waiting.pop() {
        let mut references = BTreeSet::new();
        condition.references(&mut references);
        for reference in references {
            if let Reference::Card { group, field } = reference
                && found.insert((group.clone(), field.clone()))
            {
                waiting.extend(play.field(&group, &field).map(|field| &field.when));
            }
        }
    }
    let fields = play.fields();
    fields.filter(|field| found.contains(&key(field))).collect()
}
