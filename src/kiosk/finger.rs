//! The finger on the job card: which question it is at, and what its touches do.

use super::desk::{Desk, Done, Trouble};
use super::{CardPage, FieldKind, draft};
use crate::page::Page as Now;
use crate::page::card::{CardPage as Page, FieldInput};
use crate::session::Session;
use slint::ComponentHandle;

/// Where the person is on the card.
#[derive(Clone, Debug, Default)]
pub(super) struct Finger {
    pub group: usize,
    /// The question that is shown big.
    pub asked: Option<usize>,
    pub typed: String,
    pub unit: String,
}

impl Desk {
    /// The card page with what was typed so far.
    pub(super) fn card_page(&self) -> Result<Page, Trouble> {
        match self.page()? {
            Now::Card(page) => Ok(page),
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
        draft::press(&mut self.finger.typed, key);
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
    use crate::page::card::{FieldView, GroupView};

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
