//! The job card's pages: the overview, and one question shown big.

use super::desk::Desk;
use super::finger::Finger;
use super::wired::Wired;
use super::{App, CardField, CardGroup, CardLine, CardPage, Choice, FieldKind, FindingKind, FindingRow};
use crate::page::card::{CardPage as Page, FieldInput, FieldView, FindingView};
use crate::say;
use crate::to_say;
use crate::words::Words;
use slint::{ComponentHandle, SharedString};

/// Shows the whole card as the person left it.
pub(super) fn show(app: &App, page: &Page, finger: &Finger, words: &Words) {
    let view = app.global::<CardPage>();
    show_findings(app, page, words);
    view.set_group(finger.group as i32);
    let group = page.groups.get(finger.group);
    let fields = group.map_or(&[][..], |group| &group.fields);
    super::fill(
        view.get_lines(),
        super::list(fields.iter().map(|field| line(field, words))),
        |rows| view.set_lines(rows),
    );
    let asked = finger.asked.and_then(|place| fields.get(place));
    view.set_asking(asked.is_some());
    if let (Some(group), Some(place), Some(asked)) = (group, finger.asked, asked) {
        let of = say!(
            words,
            "{group}, question {n} of {all}",
            group = group.title,
            n = place + 1,
            all = fields.len()
        );
        view.set_ask_place(of.into());
        let (field, choices, units) = field(asked, words);
        view.set_field(field);
        super::fill(view.get_choices(), super::list(choices), |rows| {
            view.set_choices(rows)
        });
        super::fill(view.get_units(), super::list(units), |rows| view.set_units(rows));
        view.set_typed(finger.typed.as_str().into());
        view.set_unit(finger.unit.as_str().into());
    }
}

/// Shows what is answered, what fits and what does not, and the first group.
pub(super) fn show_findings(app: &App, page: &Page, words: &Words) {
    let view = app.global::<CardPage>();
    show_groups(&view, page, words);
    let figures = page.figures.iter().map(|figure| FindingRow {
        kind: FindingKind::Figure,
        word: figure.label.as_str().into(),
        says: super::said(&figure.result),
        figure: figure.calculator.as_str().into(),
    });
    let findings = super::list(page.findings.iter().map(|row| finding(row, words)).chain(figures));
    super::fill(view.get_findings(), findings, |rows| view.set_findings(rows));
    view.set_can_accept(page.acceptable);
    let accept = if page.accepted {
        to_say!("Accept the changed card")
    } else {
        to_say!("Accept the card")
    };
    view.set_accept_text(words.say(accept).into());
    view.set_missing_text(super::said(&missing(page, words)));
}

fn show_groups(view: &CardPage<'_>, page: &Page, words: &Words) {
    let groups = page.groups.iter().map(|group| CardGroup {
        title: group.title.as_str().into(),
        answered: group.answered as i32,
        asked: group.fields.len() as i32,
    });
    super::fill(view.get_groups(), super::list(groups), |rows| {
        view.set_groups(rows)
    });
    view.set_asking(false);
    view.set_group(0);
    let first = page.groups.iter().take(1).flat_map(|group| &group.fields);
    super::fill(
        view.get_lines(),
        super::list(first.map(|field| line(field, words))),
        |rows| view.set_lines(rows),
    );
}

/// What keeps the card from being accepted, in one line.
fn missing(page: &Page, words: &Words) -> String {
    let fields = page.groups.iter().flat_map(|group| &group.fields);
    let faults = fields.filter(|field| !field.fault.is_empty()).count() as u64;
    let failing = page
        .findings
        .iter()
        .filter(|finding| !finding.fits && !finding.advice)
        .count() as u64;
    let mut parts = Vec::new();
    match page.missing.as_slice() {
        [] => {}
        [one] => parts.push(say!(words, "Missing: {label}.", label = one)),
        [first, rest @ ..] => parts.push(say!(
            words,
            "Missing: {label}, and {n} more.",
            label = first,
            n = rest.len()
        )),
    }
    if faults > 0 {
        parts.push(say!(
            words,
            "{n} answer cannot stand." | "{n} answers cannot stand.",
            n = faults
        ));
    }
    if failing > 0 {
        parts.push(say!(
            words,
            "{n} thing does not fit." | "{n} things do not fit.",
            n = failing
        ));
    }
    if parts.is_empty() {
        say!(words, "All is answered, and all fits.")
    } else {
        parts.join(" ")
    }
}

fn finding(finding: &FindingView, words: &Words) -> FindingRow {
    let (kind, word) = match (finding.fits, finding.advice) {
        (true, _) => (FindingKind::Fits, to_say!("Fits")),
        (false, true) => (FindingKind::Advice, to_say!("Advice")),
        (false, false) => (FindingKind::Fails, to_say!("Does not fit")),
    };
    FindingRow {
        kind,
        word: words.say(word).into(),
        says: finding.says.as_str().into(),
        figure: "".into(),
    }
}

fn line(field: &FieldView, words: &Words) -> CardLine {
    CardLine {
        label: super::said(&field.label),
        answer: super::said(&answer_text(field, words)),
        missing: field.shown.is_empty() && field.fault.is_empty(),
        fault: super::said(&field.fault),
    }
}

/// The answer in the words of its question.
fn answer_text(field: &FieldView, words: &Words) -> String {
    match &field.input {
        FieldInput::Choice(options) => {
            let chosen = options
                .iter()
                .find(|(key, label, _)| *key == field.shown || *label == field.shown);
            chosen.map_or_else(|| field.shown.clone(), |(_, label, _)| label.clone())
        }
        FieldInput::YesNo => match field.shown.as_str() {
            "yes" => say!(words, "Yes"),
            "no" => say!(words, "No"),
            other => other.to_owned(),
        },
        _ if field.personal && !field.typed.is_empty() => field.typed.clone(),
        _ => field.shown.clone(),
    }
}

/// The question with its choices and its unit keys.
fn field(field: &FieldView, words: &Words) -> (CardField, Vec<Choice>, Vec<SharedString>) {
    let (kind, range) = kind(&field.input, words);
    let shown = CardField {
        id: format!("{}.{}", field.group, field.id).into(),
        label: super::said(&field.label),
        help: super::said(&field.help),
        kind,
        answer: field.typed.as_str().into(),
        signed: signed(&field.input),
        range: super::said(&range),
        fault: super::said(&field.fault),
        personal: field.personal,
    };
    let units = match &field.input {
        FieldInput::Quantity { units, .. } => units.as_slice(),
        _ => &[],
    };
    let units = units
        .iter()
        .take(4)
        .map(|unit| SharedString::from(*unit))
        .collect();
    (shown, choices(&field.input, words), units)
}

fn kind(input: &FieldInput, words: &Words) -> (FieldKind, String) {
    match input {
        FieldInput::Text { most } => (FieldKind::Text, say!(words, "At most {n} letters", n = most)),
        FieldInput::Choice(_) => (FieldKind::Choice, String::new()),
        FieldInput::Quantity { range, .. } => {
            (FieldKind::Quantity, say!(words, "From {range}", range = range))
        }
        FieldInput::YesNo => (FieldKind::YesNo, String::new()),
    }
}

/// Whether the figure may lie below zero.
fn signed(input: &FieldInput) -> bool {
    matches!(input, FieldInput::Quantity { range, .. } if range.contains('-'))
}

fn choices(input: &FieldInput, words: &Words) -> Vec<Choice> {
    let choice = |key: &str, text: &str, refused: Option<&String>| Choice {
        key: key.into(),
        text: super::said(text),
        note: refused
            .map_or_else(String::new, |why| say!(words, "Refused: {why}", why = why))
            .into(),
        enabled: refused.is_none(),
    };
    match input {
        FieldInput::Choice(options) => options
            .iter()
            .map(|(key, label, refused)| choice(key, label, refused.as_ref()))
            .collect(),
        FieldInput::YesNo => vec![
            choice("yes", words.say("Yes"), None),
            choice("no", words.say("No"), None),
        ],
        FieldInput::Text { .. } | FieldInput::Quantity { .. } => Vec::new(),
    }
}

/// Joins the pages' controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<CardPage>();
    view.on_choose_group(desk.on_with(|desk, place: i32| desk.choose_group(place)));
    view.on_ask(desk.on_with(|desk, place: i32| desk.ask(place)));
    view.on_key(desk.on_with(|desk, key: SharedString| desk.card_key(&key)));
    view.on_pick_unit(desk.on_with(|desk, unit: SharedString| desk.card_unit(&unit)));
    view.on_pick(desk.on_with(|desk, key: SharedString| desk.card_pick(&key)));
    view.on_next(desk.on(Desk::card_next));
    view.on_overview(desk.on(Desk::card_overview));
    view.on_accept(desk.on(Desk::card_accept));
}
