//! The job card's pages: the overview, and one question shown big.

use super::desk::{Desk, Done, Trouble, Wired};
use super::keypad;
use super::{App, CardField, CardGroup, CardLine, CardPage, Choice, FieldKind, FindingKind, FindingRow};
use crate::page;
use crate::page::card::{CardPage as Page, FieldInput, FieldView, FindingView};
use crate::session::Session;
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
    super::fill(view.get_lines(), super::list(fields.iter().map(line)), |rows| {
        view.set_lines(rows)
    });
    let asked = finger.asked.and_then(|place| fields.get(place));
    view.set_asking(asked.is_some());
    if let (Some(group), Some(place), Some(asked)) = (group, finger.asked, asked) {
        let of = format!("{}, question {} of {}", group.title, place + 1, fields.len());
        view.set_ask_place(of.into());
        let (field, choices, units) = field(asked);
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
pub(super) fn show_findings(app: &App, page: &Page) {
    let view = app.global::<CardPage>();
    super::fill(
        view.get_groups(),
        super::list(page.groups.iter().map(|group| CardGroup {
            title: group.title.as_str().into(),
            answered: group.answered as i32,
            asked: group.fields.len() as i32,
        })),
        |rows| view.set_groups(rows),
    );
    view.set_asking(false);
    view.set_group(0);
    super::fill(
        view.get_lines(),
        super::list(
            page.groups
                .iter()
                .take(1)
                .flat_map(|group| &group.fields)
                .map(line),
        ),
        |rows| view.set_lines(rows),
    );
    let figures = page.figures.iter().map(|figure| FindingRow {
        kind: FindingKind::Figure,
        word: figure.label.as_str().into(),
        says: figure.result.as_str().into(),
        figure: figure.calculator.as_str().into(),
    });
    super::fill(
        view.get_findings(),
        super::list(page.findings.iter().map(finding).chain(figures)),
        |rows| view.set_findings(rows),
    );
    view.set_can_accept(page.acceptable);
    view.set_accept_text(
        if page.accepted {
            "Accept the changed card"
        } else {
            "Accept the card"
        }
        .into(),
    );
    view.set_missing_text(missing(page).into());
}

fn missing(page: &Page) -> String {
    let failing = page
        .findings
        .iter()
        .filter(|finding| !finding.fits && !finding.advice)
        .count();
    let faults = page
        .groups
        .iter()
        .flat_map(|group| &group.fields)
        .filter(|field| !field.fault.is_empty())
        .count();
    let mut parts = Vec::new();
    match page.missing.as_slice() {
        [] => {}
        [one] => parts.push(format!("Missing: {one}.")),
        [first, rest @ ..] => parts.push(format!("Missing: {first}, and {} more.", rest.len())),
    }
    if faults > 0 {
        parts.push(format!(
            "{faults} {} cannot stand.",
            if faults == 1 { "answer" } else { "answers" }
        ));
    }
    if failing > 0 {
        parts.push(format!(
            "{failing} {}.",
            if failing == 1 {
                "thing does not fit"
            } else {
                "things do not fit"
            }
        ));
    }
    if parts.is_empty() {
        "All is answered, and all fits.".to_owned()
    } else {
        parts.join(" ")
    }
}

fn finding(finding: &FindingView) -> FindingRow {
    let (kind, word) = match (finding.fits, finding.advice) {
        (true, _) => (FindingKind::Fits, "Fits"),
        (false, true) => (FindingKind::Advice, "Advice"),
        (false, false) => (FindingKind::Fails, "Does not fit"),
    };
    FindingRow {
        kind,
        word: word.into(),
        says: finding.says.as_str().into(),
        figure: "".into(),
    }
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
            let chosen = options
                .iter()
                .find(|(key, label, _)| *key == field.shown || *label == field.shown);
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

/// The question with its choices and its unit keys.
fn field(field: &FieldView) -> (CardField, Vec<Choice>, Vec<SharedString>) {
    let choice = |key: &str, text: &str, refused: Option<&String>| Choice {
        key: key.into(),
        text: text.into(),
        note: refused
            .map_or_else(String::new, |why| format!("Refused: {why}"))
            .into(),
        enabled: refused.is_none(),
    };
    let (kind, range, choices, units) = match &field.input {
        FieldInput::Text { most } => (
            FieldKind::Text,
            format!("At most {most} letters"),
            Vec::new(),
            &[][..],
        ),
        FieldInput::Choice(options) => {
            let choices = options
                .iter()
                .map(|(key, label, refused)| choice(key, label, refused.as_ref()));
            (FieldKind::Choice, String::new(), choices.collect(), &[][..])
        }
        FieldInput::Quantity { units, range } => (
            FieldKind::Quantity,
            format!("From {range}"),
            Vec::new(),
            units.as_slice(),
        ),
        FieldInput::YesNo => (
            FieldKind::YesNo,
            String::new(),
            vec![choice("yes", "Yes", None), choice("no", "No", None)],
            &[][..],
        ),
    };
    let field = CardField {
        id: format!("{}.{}", field.group, field.id).into(),
        label: field.label.as_str().into(),
        help: field.help.as_str().into(),
        kind,
        answer: field.typed.as_str().into(),
        signed: range.contains('-'),
        range: range.into(),
        fault: field.fault.as_str().into(),
        personal: field.personal,
    };
    (
        field,
        choices,
        units
            .iter()
            .take(4)
            .map(|unit| SharedString::from(*unit))
            .collect(),
    )
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

impl Desk {
    /// The card page with what was typed so far.
    pub(super) fn card_page(&self) -> Result<Page, Trouble> {
        match self.page()? {
            page::Page::Card(page) => Ok(page),
            _ => self.card_again(),
        }
    }

    /// A group is opened.
    pub(super) fn choose_group(&mut self, place: i32) -> Done {
        self.finger = Finger {
            group: usize::try_from(place).unwrap_or_default(),
            ..Finger::default()
        };
        self.refresh()
    }

    /// A question is shown big.
    pub(super) fn ask(&mut self, place: i32) -> Done {
        let page = self.card_page()?;
        self.point_at(
            &page,
            self.finger.group,
            usize::try_from(place).unwrap_or_default(),
        );
        self.refresh()
    }

    fn point_at(&mut self, page: &Page, group: usize, place: usize) {
        let field = page.groups.get(group).and_then(|group| group.fields.get(place));
        self.finger = Finger {
            group,
            asked: field.map(|_| place),
            ..Finger::default()
        };
        let Some(field) = field else {
            return;
        };
        self.finger.typed = field.typed.clone();
        if let FieldInput::Quantity { units, .. } = &field.input {
            let (typed, unit) = split(&field.typed, units);
            self.finger.typed = typed;
            self.finger.unit = unit;
        }
    }

    /// One key of the keypad.
    pub(super) fn card_key(&mut self, key: &str) -> Done {
        keypad::press(&mut self.finger.typed, key);
        self.refresh()
    }

    /// One of the unit keys.
    pub(super) fn card_unit(&mut self, unit: &str) -> Done {
        self.finger.unit = unit.to_owned();
        self.refresh()
    }

    /// One of the choices.
    pub(super) fn card_pick(&mut self, key: &str) -> Done {
        self.finger.typed = key.to_owned();
        self.store_answer(Desk::refresh)
    }

    /// What is typed stands; on to the next question without an answer.
    pub(super) fn card_next(&mut self) -> Done {
        let app = self.app()?;
        let view = app.global::<CardPage>();
        if view.get_asking() && view.get_field().kind == FieldKind::Text {
            self.finger.typed = view.get_typed().to_string();
        }
        self.store_answer(Desk::card_on)
    }

    fn card_on(&mut self) -> Done {
        let page = self.card_page()?;
        let here = self
            .finger
            .asked
            .and_then(|place| page.groups.get(self.finger.group)?.fields.get(place));
        if here.is_none_or(|field| field.fault.is_empty()) {
            match next_open(&page, &self.finger) {
                Some((group, place)) => self.point_at(&page, group, place),
                None => self.finger.asked = None,
            }
        }
        self.refresh()
    }

    /// Back to all questions; what is typed stands.
    pub(super) fn card_overview(&mut self) -> Done {
        self.store_answer(|desk| {
            desk.finger.asked = None;
            desk.refresh()
        })
    }

    /// Keeps what is typed for the question that is shown, then goes on.
    fn store_answer(&mut self, then: fn(&mut Desk) -> Done) -> Done {
        let page = self.card_page()?;
        let group = page.groups.get(self.finger.group);
        let Some(field) = self.finger.asked.and_then(|place| group?.fields.get(place)) else {
            return then(self);
        };
        let typed = self.finger.typed.trim();
        let unit = self.finger.unit.as_str();
        let answer = if unit.is_empty() || typed.is_empty() {
            typed.to_owned()
        } else {
            format!("{typed} {unit}")
        };
        if answer == field.typed {
            return then(self);
        }
        self.keep_answer((field.group.clone(), field.id.clone()), answer, then)
    }

    /// The card is accepted as it stands.
    pub(super) fn card_accept(&mut self) -> Done {
        self.beside(Session::accept_card, |desk, result| {
            result?;
            desk.finger = Finger::default();
            desk.went_on()
        })
    }
}

/// The figure and the unit of a typed answer; the first unit key where there is none.
fn split(typed: &str, units: &[&'static str]) -> (String, String) {
    let first = units.first().map_or("", |unit| *unit);
    match typed.rsplit_once(' ') {
        Some((figure, unit)) if units.contains(&unit) => (figure.to_owned(), unit.to_owned()),
        _ => (typed.to_owned(), first.to_owned()),
    }
}

/// The next question without an answer that can stand, after the finger and round again.
fn next_open(page: &Page, finger: &Finger) -> Option<(usize, usize)> {
    let all: Vec<(usize, usize)> = page
        .groups
        .iter()
        .enumerate()
        .flat_map(|(group, view)| (0..view.fields.len()).map(move |place| (group, place)))
        .collect();
    let open = |(group, place): &&(usize, usize)| page.groups[*group].fields[*place].shown.is_empty();
    let here = (finger.group, finger.asked.unwrap_or_default());
    let past = |at: &&(usize, usize)| finger.asked.is_none() || **at > here;
    all.iter()
        .filter(past)
        .find(open)
        .or_else(|| all.iter().find(open))
        .copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::card::GroupView;
    use crate::session::Session;

    #[test]
    fn a_typed_answer_falls_into_figure_and_unit() {
        assert_eq!(
            split("5.2 bar", &["psi", "bar"]),
            ("5.2".to_owned(), "bar".to_owned())
        );
        assert_eq!(split("", &["psi", "bar"]), (String::new(), "psi".to_owned()));
        assert_eq!(split("12", &[]), ("12".to_owned(), String::new()));
    }

    fn group(shown: &[&str]) -> GroupView {
        let field = |shown: &&str| FieldView {
            group: "g".to_owned(),
            id: "f".to_owned(),
            label: String::new(),
            help: String::new(),
            input: FieldInput::YesNo,
            typed: String::new(),
            shown: (*shown).to_owned(),
            fault: String::new(),
            personal: false,
        };
        GroupView {
            id: "g".to_owned(),
            title: String::new(),
            fields: shown.iter().map(field).collect(),
            answered: 0,
        }
    }

    fn card(groups: Vec<GroupView>) -> Page {
        Page {
            job_title: String::new(),
            about: String::new(),
            caution: String::new(),
            groups,
            findings: Vec::new(),
            figures: Vec::new(),
            acceptable: false,
            missing: Vec::new(),
            accepted: false,
        }
    }

    #[test]
    fn the_next_question_is_the_next_without_an_answer() {
        let page = card(vec![group(&["yes", "", "no"]), group(&["", "yes"])]);
        let at = |group, asked| {
            next_open(
                &page,
                &Finger {
                    group,
                    asked,
                    ..Finger::default()
                },
            )
        };
        assert_eq!(at(0, None), Some((0, 1)));
        assert_eq!(at(0, Some(1)), Some((1, 0)));
        assert_eq!(at(1, Some(0)), Some((0, 1)));
        assert_eq!(next_open(&card(vec![group(&["yes"])]), &Finger::default()), None);
    }
}
