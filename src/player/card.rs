//! The job card: answers understood, figures worked out, checks judged. Used to accept a card and,
//! while it is being filled, to show what fits and what does not.

use super::event::Typed;
use super::fact::{Answer, Card, CardAnswer, CheckDone, LimitsShown, Verdict, WorkedOut};
use super::judge;
use super::play::Play;
use super::state::{answer_key, show_in};
use crate::calc::Value;
use crate::procedure::circuit::Sight;
use crate::procedure::{CardCheck, Condition, Field, FieldKind, Figure, Reference, Text};
use crate::quantity::Quantity;
use crate::say;
use crate::words::Words;
use std::collections::BTreeMap;

/// Typed answers by group and field.
pub type Sheet = BTreeMap<(String, String), Typed>;

/// What a card comes to, whether it can be accepted or not.
#[derive(Clone, Debug, Default)]
pub struct Evaluation {
    pub answers: BTreeMap<(String, String), CardAnswer>,
    pub figures: Vec<WorkedOut>,
    pub checks: Vec<CheckDone>,
    /// Fields that apply and have no answer yet.
    pub missing: Vec<(String, String)>,
    /// Answers that cannot stand, each with the reason.
    pub faults: Vec<Fault>,
    /// Figures that cannot be worked out, each with the reason.
    pub unworkable: Vec<(String, String)>,
}

/// An answer that cannot stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    pub group: String,
    pub field: String,
    pub label: String,
    pub why: String,
}

impl Evaluation {
    /// Whether nothing keeps the card from being accepted.
    #[must_use]
    pub fn acceptable(&self) -> bool {
        self.missing.is_empty()
            && self.faults.is_empty()
            && self.unworkable.is_empty()
            && self.failing().next().is_none()
    }

    /// The checks that fail and are more than advice.
    pub fn failing(&self) -> impl Iterator<Item = &CheckDone> {
        self.checks
            .iter()
            .filter(|check| check.verdict != Verdict::In && !check.advice)
    }

    /// The card as a fact, its answers in the order of the questions, before it is known what it reopens.
    #[must_use]
    pub fn to_card(&self, play: &Play) -> Card {
        let key = |field: &Field| (field.group.clone(), field.id.clone());
        let answers = play
            .fields()
            .filter_map(|field| self.answers.get(&key(field)).cloned());
        Card {
            answers: answers.collect(),
            figures: self.figures.clone(),
            checks: self.checks.clone(),
            reopens: Vec::new(),
        }
    }

    fn holds(&self, condition: &Condition) -> bool {
        condition.holds(&|group, field| self.key(group, field))
    }

    fn key(&self, group: &str, field: &str) -> Option<String> {
        match &self.answers.get(&(group.to_owned(), field.to_owned()))?.answer {
            Answer::Open { value, .. } => Some(answer_key(value)),
            Answer::Committed { .. } => None,
        }
    }

    fn value(&self, reference: &Reference) -> Option<Value> {
        match reference {
            Reference::Card { group, field } => {
                match &self.answers.get(&(group.clone(), field.clone()))?.answer {
                    Answer::Open { value, .. } => Some(value.clone()),
                    Answer::Committed { .. } => None,
                }
            }
            Reference::Figure { name, output } => {
                let figure = self.figures.iter().find(|figure| figure.name == *name)?;
                figure
                    .outputs
                    .iter()
                    .find(|(id, _)| id == output)
                    .map(|(_, value)| value.clone())
            }
            Reference::Read { .. } | Reference::Work { .. } => None,
        }
    }

    /// The text with the card's values.
    #[must_use]
    pub fn render(&self, play: &Play, text: &Text) -> String {
        text.render(&|reference| {
            let value = self.value(reference)?;
            Some(Value::Text(match (reference, &value) {
                (Reference::Card { group, field }, Value::Text(key)) => play.choice_label(group, field, key),
                _ => show_in(&value, play.words()),
            }))
        })
    }
}

/// Whether the field is asked, given the answers so far.
#[must_use]
pub fn asked(evaluation: &Evaluation, field: &Field) -> bool {
    evaluation.holds(&field.when)
}

/// Works a card out as far as it goes.
#[must_use]
pub fn evaluate(play: &Play, sheet: &Sheet) -> Evaluation {
    let mut evaluation = Evaluation::default();
    for field in play.fields() {
        if evaluation.holds(&field.when) {
            take(play, field, sheet, &mut evaluation);
        }
    }
    for figure in &play.job.figures {
        if evaluation.holds(&figure.when) {
            work(play, figure, &mut evaluation);
        }
    }
    for check in &play.job.checks {
        if evaluation.holds(&check.when) {
            judge_check(play, check, &mut evaluation);
        }
    }
    evaluation
}

fn take(play: &Play, field: &Field, sheet: &Sheet, evaluation: &mut Evaluation) {
    let key = (field.group.clone(), field.id.clone());
    let Some(typed) = sheet.get(&key).filter(|typed| !blank(typed)) else {
        evaluation.missing.push(key);
        return;
    };
    let label = evaluation.render(play, &field.label);
    match understand(field, typed, play.words()) {
        Ok(answer) => {
            let answer = CardAnswer {
                group: key.0.clone(),
                field: key.1.clone(),
                label,
                answer,
            };
            evaluation.answers.insert(key, answer);
        }
        Err(why) => evaluation.faults.push(Fault {
            group: key.0,
            field: key.1,
            label,
            why,
        }),
    }
}

fn blank(typed: &Typed) -> bool {
    matches!(typed, Typed::Open(text) if text.trim().is_empty())
}

fn understand(field: &Field, typed: &Typed, words: &Words) -> Result<Answer, String> {
    match (typed, field.personal) {
        (Typed::Committed(commitment), true) => Ok(Answer::Committed {
            commitment: commitment.clone(),
        }),
        (Typed::Committed(_), false) => {
            let why = words.say("this is not personal data, so it stands in the record openly");
            Err(why.to_owned())
        }
        (Typed::Open(_), true) => Err(words
            .say("personal data enters the record only as a commitment")
            .to_owned()),
        (Typed::Open(text), false) => {
            let value = open_answer(field, text, words)?;
            let shown = shown(&field.kind, &value, words);
            Ok(Answer::Open {
                typed: text.clone(),
                value,
                shown,
            })
        }
    }
}

/// What an answer means that is no personal data.
///
/// # Errors
/// Why the field does not take it.
pub(super) fn open_answer(field: &Field, text: &str, words: &Words) -> Result<Value, String> {
    let value = answer_value(&field.kind, text, words)?;
    forbid(field, &value)?;
    Ok(value)
}

fn forbid(field: &Field, value: &Value) -> Result<(), String> {
    field
        .refuse
        .get(&answer_key(value))
        .map_or(Ok(()), |reason| Err(reason.clone()))
}

fn answer_value(kind: &FieldKind, text: &str, words: &Words) -> Result<Value, String> {
    match kind {
        FieldKind::Text { most } => judge::free_text(text, *most, words),
        FieldKind::Choice(options) => judge::choice(text, options, words),
        FieldKind::YesNo => judge::yes_no(text, words),
        FieldKind::Quantity { unit, from, to } => {
            let quantity = Quantity::parse(text, Some(*unit)).map_err(|error| error.say(words))?;
            if quantity.si() < from.si() || quantity.si() > to.si() {
                return Err(say!(
                    words,
                    "{value} is outside {from} to {to}",
                    value = quantity,
                    from = from,
                    to = to
                ));
            }
            Ok(Value::Quantity(quantity))
        }
    }
}

fn shown(kind: &FieldKind, value: &Value, words: &Words) -> String {
    match (kind, value) {
        (FieldKind::Choice(options), Value::Text(key)) => judge::option_label(options, key),
        _ => show_in(value, words),
    }
}

fn work(play: &Play, figure: &Figure, evaluation: &mut Evaluation) {
    let label = evaluation.render(play, &figure.label);
    let sight = Sight {
        value: &|reference| evaluation.value(reference),
        holds: &|condition| evaluation.holds(condition),
    };
    let outcome = play.work_out(&figure.method, &sight);
    // A figure that waits for an answer is not wrong: the missing answer is already told.
    let waits = !play.has_operands(&figure.method, &sight);
    match outcome {
        Ok(outcome) => {
            evaluation.figures.push(WorkedOut::from_outcome(
                None,
                &figure.name,
                label,
                outcome,
                play.words(),
            ));
        }
        Err(_) if waits => {}
        Err(why) => evaluation.unworkable.push((label, why)),
    }
}

fn judge_check(play: &Play, check: &CardCheck, evaluation: &mut Evaluation) {
    let text = |text: &Text| evaluation.render(play, text);
    let sight = judge::Sight {
        value: &|reference| evaluation.value(reference),
        text: &text,
        name: &|reference| play.name_of(reference, &text),
        words: play.words(),
    };
    let unknown = || {
        say!(
            play.words(),
            "{name} is not known",
            name = play.name_of(&check.of, &text)
        )
    };
    let value = evaluation.value(&check.of).ok_or_else(unknown);
    let judged = value.and_then(|value| {
        let (limits, verdict) = judge::judge(&check.band, &value, &sight)?;
        Ok((value, limits, verdict))
    });
    let (value, limits, verdict) = match judged {
        Ok(judged) => judged,
        // A check that waits for an answer is not wrong: the missing or faulty answer is already told.
        Err(_) if !evaluation.missing.is_empty() || !evaluation.faults.is_empty() => return,
        Err(why) => {
            evaluation.unworkable.push((check.id.clone(), why));
            return;
        }
    };
    let holds = verdict == Verdict::In;
    let says = match (&check.fits, holds) {
        (Some(fits), true) => evaluation.render(play, fits),
        _ => evaluation.render(play, &check.says),
    };
    let done = CheckDone {
        id: check.id.clone(),
        says,
        value,
        limits,
        verdict,
        advice: check.advice,
    };
    evaluation.checks.push(done);
}

impl WorkedOut {
    /// A calculator's outcome as a fact, not yet judged.
    #[must_use]
    pub fn from_outcome(
        step: Option<crate::procedure::StepRef>,
        name: &str,
        label: String,
        outcome: crate::calc::Outcome,
        words: &Words,
    ) -> Self {
        Self {
            step,
            name: name.to_owned(),
            label,
            notes: outcome.notes_in(words),
            calculator: outcome.calculator,
            revision: outcome.revision,
            inputs: outcome.inputs,
            outputs: outcome.outputs,
            judged: None,
        }
    }
}

impl LimitsShown {
    /// The limits in words, e.g. `33 psi to 37 psi`.
    #[must_use]
    pub fn in_words(&self) -> String {
        self.say(&Words::english())
    }

    /// The limits in the words of a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        let shown = |limit: &Quantity| limit.shown(4);
        match (&self.low, &self.high, &self.one_of) {
            (_, _, Some(choices)) => either(choices, words),
            (Some(low), Some(high), _) => {
                say!(words, "{low} to {high}", low = shown(low), high = shown(high))
            }
            (Some(low), None, _) => say!(words, "at least {limit}", limit = shown(low)),
            (None, Some(high), _) => say!(words, "at most {limit}", limit = shown(high)),
            (None, None, None) => words.say("anything").to_owned(),
        }
    }
}

/// One of several words; `yes` and `no` stand for themselves in English alone.
fn either(choices: &[String], words: &Words) -> String {
    let mut either = String::new();
    for choice in choices {
        let choice = match choice.as_str() {
            "yes" => words.say("yes"),
            "no" => words.say("no"),
            other => other,
        };
        either = match either.as_str() {
            "" => choice.to_owned(),
            before => say!(words, "{one} or {other}", one = before, other = choice),
        };
    }
    either
}
