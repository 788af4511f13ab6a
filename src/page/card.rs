//! The job card while it is filled: every question, and at once what fits and what does not.

use super::step::FigureView;
use crate::player::card::{self, Evaluation, Sheet};
use crate::player::event::Typed;
use crate::player::fact::{Answer, Verdict};
use crate::player::{Play, State};
use crate::procedure::{Field, FieldKind};
use crate::say;
use crate::words::Words;
use std::collections::BTreeMap;

/// The card as it stands.
#[derive(Clone, Debug)]
pub struct CardPage {
    pub job_title: String,
    pub about: String,
    pub caution: String,
    pub groups: Vec<GroupView>,
    pub findings: Vec<FindingView>,
    pub figures: Vec<FigureView>,
    pub acceptable: bool,
    /// What is still to be answered, by label.
    pub missing: Vec<String>,
    /// Whether a card was accepted before.
    pub accepted: bool,
}

/// A group of questions.
#[derive(Clone, Debug)]
pub struct GroupView {
    pub id: String,
    pub title: String,
    pub fields: Vec<FieldView>,
    pub answered: usize,
}

/// One question that applies to this car.
#[derive(Clone, Debug)]
pub struct FieldView {
    pub group: String,
    pub id: String,
    pub label: String,
    pub help: String,
    pub input: FieldInput,
    /// As it was typed.
    pub typed: String,
    /// As it was understood; empty while there is no answer that can stand.
    pub shown: String,
    /// Why the answer cannot stand.
    pub fault: String,
    pub personal: bool,
}

/// How a question is answered.
#[derive(Clone, Debug, PartialEq)]
pub enum FieldInput {
    Text {
        most: usize,
    },
    /// Key, label, and the reason where the work forbids it.
    Choice(Vec<(String, String, Option<String>)>),
    /// Unit keys, and the allowed range in words.
    Quantity {
        units: Vec<&'static str>,
        range: String,
    },
    YesNo,
}

/// Something that fits, does not fit, or is advised.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingView {
    pub says: String,
    pub fits: bool,
    pub advice: bool,
}

/// Answers as typed, by group and field.
pub type TypedCard = BTreeMap<(String, String), String>;

/// The sheet that the player would see; personal answers stand for themselves only until they are accepted.
fn sheet(play: &Play, typed: &TypedCard) -> Sheet {
    let personal =
        |(group, field): &(String, String)| play.field(group, field).is_some_and(|field| field.personal);
    let answer = |(key, text): (&(String, String), &String)| {
        let answer = if personal(key) {
            Typed::Committed(String::new())
        } else {
            Typed::Open(text.clone())
        };
        (key.clone(), answer)
    };
    typed
        .iter()
        .filter(|(_, text)| !text.trim().is_empty())
        .map(answer)
        .collect()
}

/// The card page for what was typed so far.
#[must_use]
pub fn page(state: &State, typed: &TypedCard) -> CardPage {
    let play = state.play();
    let evaluation = card::evaluate(play, &sheet(play, typed));
    let label = |(group, id): &(String, String)| {
        play.field(group, id)
            .map_or_else(String::new, |field| evaluation.render(play, &field.label))
    };
    CardPage {
        job_title: play.job.title.clone(),
        about: play.job.about.clone(),
        caution: play.job.caution.clone(),
        groups: groups(play, typed, &evaluation, state.words()),
        findings: findings(&evaluation),
        figures: evaluation
            .figures
            .iter()
            .map(|worked| super::step::figure_view(worked, Some(play), state.words()))
            .collect(),
        acceptable: evaluation.acceptable(),
        missing: evaluation.missing.iter().map(label).collect(),
        accepted: !state.answers().is_empty(),
    }
}

fn groups(play: &Play, typed: &TypedCard, evaluation: &Evaluation, words: &Words) -> Vec<GroupView> {
    let views = play.job.card.iter().map(|group| {
        let asked = group.ask.iter().filter(|field| card::asked(evaluation, field));
        let fields: Vec<FieldView> = asked
            .map(|field| field_view(play, field, typed, evaluation, words))
            .collect();
        let answered = fields.iter().filter(|field| !field.shown.is_empty()).count();
        GroupView {
            id: group.id.clone(),
            title: group.title.clone(),
            fields,
            answered,
        }
    });
    views.filter(|group| !group.fields.is_empty()).collect()
}

fn field_view(
    play: &Play,
    field: &Field,
    typed: &TypedCard,
    evaluation: &Evaluation,
    words: &Words,
) -> FieldView {
    let key = (field.group.clone(), field.id.clone());
    let fault = evaluation
        .faults
        .iter()
        .find(|fault| fault.group == key.0 && fault.field == key.1);
    let shown = evaluation
        .answers
        .get(&key)
        .map_or_else(String::new, |answer| match &answer.answer {
            Answer::Open { shown, .. } => shown.clone(),
            Answer::Committed { .. } => typed.get(&key).cloned().unwrap_or_default(),
        });
    FieldView {
        label: evaluation.render(play, &field.label),
        help: field
            .help
            .as_ref()
            .map_or_else(String::new, |help| evaluation.render(play, help)),
        input: input(field, words),
        typed: typed.get(&key).cloned().unwrap_or_default(),
        shown,
        fault: fault.map_or_else(String::new, |fault| fault.why.clone()),
        personal: field.personal,
        group: key.0,
        id: key.1,
    }
}

fn input(field: &Field, words: &Words) -> FieldInput {
    match &field.kind {
        FieldKind::Text { most } => FieldInput::Text { most: *most },
        FieldKind::YesNo => FieldInput::YesNo,
        FieldKind::Quantity { unit, from, to } => FieldInput::Quantity {
            units: super::step::units(*unit),
            range: say!(words, "{low} to {high}", low = from, high = to),
        },
        FieldKind::Choice(options) => {
            let option = |(key, label): &(String, String)| {
                (key.clone(), label.clone(), field.refuse.get(key).cloned())
            };
            FieldInput::Choice(options.iter().map(option).collect())
        }
    }
}

fn findings(evaluation: &Evaluation) -> Vec<FindingView> {
    let checks = evaluation.checks.iter().map(|check| FindingView {
        says: check.says.clone(),
        fits: check.verdict == Verdict::In,
        advice: check.advice,
    });
    let faults = evaluation.unworkable.iter().map(|(label, why)| FindingView {
        says: format!("{label}: {why}"),
        fits: false,
        advice: false,
    });
    let mut findings: Vec<FindingView> = faults.chain(checks).collect();
    findings.sort_by_key(|finding| (finding.fits, finding.advice));
    findings
}
