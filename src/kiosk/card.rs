//! The job card's pages: the overview, and one question shown big.

use super::desk::{Desk, Wired};
use super::{App, CardField, CardGroup, CardLine, CardPage, Choice, FieldKind, FindingKind, FindingRow};
use crate::page::card::{CardPage as Page, FieldInput, FieldView, FindingView};
use slint::{ComponentHandle, SharedString};

/// Where the person is on the card.
#[derive(Clone, Debug, Default)]
pub(super) struct Finger {
    pub group: usize,
    /// The question that is shown big.
    pub asked: Option<usize>,
    pub typed: String,
    pub unit: String,
}

/// Shows the whole card as the person left it.
pub(super) fn show(app: &App, page: &Page, finger: &Finger) {
    let view = app.global::<CardPage>();
    show_findings(app, page);
    view.set_group(finger.group as i32);
    let group = page.groups.get(finger.group);
    let fields = group.map_or(&[][..], |group| &group.fields);
    view.set_lines(super::list(fields.iter().map(line)));
    let asked = finger.asked.and_then(|place| fields.get(place));
    view.set_asking(asked.is_some());
    if let (Some(group), Some(place), Some(asked)) = (group, finger.asked, asked) {
        let of = format!("{}, question {} of {}", group.title, place + 1, fields.len());
        view.set_ask_place(of.into());
        view.set_field(field(asked));
        view.set_typed(finger.typed.as_str().into());
        view.set_unit(finger.unit.as_str().into());
    }
}

/// Shows what is answered, what fits and what does not, and the first group.
pub(super) fn show_findings(app: &App, page: &Page) {
    let view = app.global::<CardPage>();
    view.set_groups(super::list(page.groups.iter().map(|group| CardGroup {
        title: group.title.as_str().into(),
        answered: group.answered as i32,
        asked: group.fields.len() as i32,
    })));
    view.set_asking(false);
    view.set_group(0);
    view.set_lines(super::list(page.groups.iter().take(1).flat_map(|group| &group.fields).map(line)));
    let figures = page.figures.iter().map(|figure| FindingRow {
        kind: FindingKind::Figure,
        word: figure.label.as_str().into(),
        says: figure.result.as_str().into(),
        figure: figure.calculator.as_str().into(),
    });
    view.set_findings(super::list(page.findings.iter().map(finding).chain(figures)));
    view.set_can_accept(page.acceptable);
    view.set_accept_text(if page.accepted { "Accept the changed card" } else { "Accept the card" }.into());
    view.set_missing_text(missing(page).into());
}

fn missing(page: &Page) -> String {
    let failing = page.findings.iter().filter(|finding| !finding.fits && !finding.advice).count();
    let faults = page.groups.iter().flat_map(|group| &group.fields).filter(|field| !field.fault.is_empty()).count();
    let mut parts = Vec::new();
    match page.missing.as_slice() {
        [] => {}
        [one] => parts.push(format!("Missing: {one}.")),
        [first, rest @ ..] => parts.push(format!("Missing: {first}, and {} more.", rest.len())),
    }
    if faults > 0 {
        parts.push(format!("{faults} {} cannot stand.", if faults == 1 { "answer" } else { "answers" }));
    }
    if failing > 0 {
        parts.push(format!("{failing} {}.", if failing == 1 { "thing does not fit" } else { "things do not fit" }));
    }
    if parts.is_empty() { "All is answered, and all fits.".to_owned() } else { parts.join(" ") }
}

fn finding(finding: &FindingView) -> FindingRow {
    let (kind, word) = match (finding.fits, finding.advice) {
        (true, _) => (FindingKind::Fits, "Fits"),
        (false, true) => (FindingKind::Advice, "Advice"),
        (false, false) => (FindingKind::Fails, "Does not fit"),
    };
    FindingRow { kind, word: word.into(), says: finding.says.as_str().into(), figure: "".into() }
}

fn line(field: &FieldView) -> CardLine {
    CardLine {
        label: field.label.as_str().into(),
        answer: answer_text(field).into(),
        missing: field.shown.is_empty() && field.fault.is_empty(),
        fault: field.fault.as_str().into(),
    }
}

/// The answer in the words of its question.
fn answer_text(field: &FieldView) -> String {
    match &field.input {
        FieldInput::Choice(options) => {
            let chosen = options.iter().find(|(key, label, _)| *key == field.shown || *label == field.shown);
            chosen.map_or_else(|| field.shown.clone(), |(_, label, _)| label.clone())
        }
        FieldInput::YesNo => match field.shown.as_str() {
            "yes" => "Yes".to_owned(),
            "no" => "No".to_owned(),
            other => other.to_owned(),
        },
        _ if field.personal && !field.typed.is_empty() => field.typed.clone(),
        _ => field.shown.clone(),
    }
}

fn field(field: &FieldView) -> CardField {
    let choice = |key: &str, text: &str, refused: Option<&String>| Choice {
        key: key.into(),
        text: text.into(),
        note: refused.map_or_else(String::new, |why| format!("Refused: {why}")).into(),
        enabled: refused.is_none(),
    };
    let (kind, range, choices, units) = match &field.input {
        FieldInput::Text { most } => (FieldKind::Text, format!("At most {most} letters"), Vec::new(), &[][..]),
        FieldInput::Choice(options) => {
            let choices = options.iter().map(|(key, label, refused)| choice(key, label, refused.as_ref()));
            (FieldKind::Choice, String::new(), choices.collect(), &[][..])
        }
        FieldInput::Quantity { units, range } => {
            (FieldKind::Quantity, format!("From {range}"), Vec::new(), units.as_slice())
        }
        FieldInput::YesNo => {
            (FieldKind::YesNo, String::new(), vec![choice("yes", "Yes", None), choice("no", "No", None)], &[][..])
        }
    };
    CardField {
        label: field.label.as_str().into(),
        help: field.help.as_str().into(),
        kind,
        answer: field.typed.as_str().into(),
        signed: range.contains('-'),
        range: range.into(),
        fault: field.fault.as_str().into(),
        personal: field.personal,
        choices: super::list(choices),
        units: super::list(units.iter().take(4).map(|unit| SharedString::from(*unit))),
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
