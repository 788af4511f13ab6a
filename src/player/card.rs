//! The job card: answers understood, figures worked out, checks judged. Used to accept a card and,
//! while it is being filled, to show what fits and what does not.

use super::event::Typed;
use super::fact::{Answer, Card, CardAnswer, CheckDone, LimitsShown, Verdict, WorkedOut};
use super::judge;
use super::play::Play;
use super::state::{answer_key, show};
use crate::calc::Value;
use crate::procedure::circuit::Sight;
use crate::procedure::{CardCheck, Condition, Field, FieldKind, Figure, Reference, Text};
use crate::quantity::Quantity;
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
                _ => show(&value),
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
    match understand(field, typed) {
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

fn understand(field: &Field, typed: &Typed) -> Result<Answer, String> {
    match (typed, field.personal) {
        (Typed::Committed(commitment), true) => Ok(Answer::Committed {
            commitment: commitment.clone(),
        }),
        (Typed::Committed(_), false) => {
            Err("this is not personal data, so it stands in the record openly".into())
        }
        (Typed::Open(_), true) => Err("personal data enters the record only as a commitment".into()),
        (Typed::Open(text), false) => {
            let value = answer_value(&field.kind, text)?;
            forbid(field, &value)?;
            let shown = shown(&field.kind, &value);
            Ok(Answer::Open {
                typed: text.clone(),
                value,
                shown,
            })
        }
    }
}

fn forbid(field: &Field, value: &Value) -> Result<(), String> {
    field
        .refuse
        .get(&answer_key(value))
        .map_or(Ok(()), |reason| Err(reason.clone()))
}

fn answer_value(kind: &FieldKind, text: &str) -> Result<Value, String> {
    match kind {
        FieldKind::Text { most } => judge::free_text(text, *most),
        FieldKind::Choice(options) => judge::choice(text, options),
        FieldKind::YesNo => judge::yes_no(text),
        FieldKind::Quantity { unit, from, to } => {
            let quantity = Quantity::parse(text, Some(*unit)).map_err(|error| error.to_string())?;
            if quantity.si() < from.si() || quantity.si() > to.si() {
                return Err(format!("{quantity} is outside {from} to {to}"));
            }
            Ok(Value::Quantity(quantity))
        }
    }
}

fn shown(kind: &FieldKind, value: &Value) -> String {
    match (kind, value) {
        (FieldKind::Choice(options), Value::Text(key)) => judge::option_label(options, key),
        _ => show(value),
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
            evaluation
                .figures
                .push(WorkedOut::from_outcome(None, &figure.name, label, outcome));
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
    };
    let unknown = || format!("{} is not known", play.name_of(&check.of, &text));
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
    ) -> Self {
        Self {
            step,
            name: name.to_owned(),
            label,
            calculator: outcome.calculator.to_owned(),
            revision: outcome.revision,
            inputs: outcome.inputs,
            outputs: outcome.outputs,
            notes: outcome.notes,
            judged: None,
        }
    }
}

impl LimitsShown {
    /// The limits in words, e.g. `33 psi to 37 psi`.
    #[must_use]
    pub fn in_words(&self) -> String {
        match (&self.low, &self.high, &self.one_of) {
            (_, _, Some(choices)) => choices.join(" or "),
            (Some(low), Some(high), _) => format!("{} to {}", low.shown(4), high.shown(4)),
            (Some(low), None, _) => format!("at least {}", low.shown(4)),
            (None, Some(high), _) => format!("at most {}", high.shown(4)),
            (None, None, None) => "anything".to_owned(),
        }
    }
}
