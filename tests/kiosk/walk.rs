//! The whole job at the tablet: signed on, card filled, every step marked, deviation, send-back, witness and
//! hold points, closing; all of it by touching what is called by its accessible label.

use crate::hand::Hand;
use crate::workshop::{INES, TOMASZ, answers};
use slint::{ComponentHandle, Model};
use std::collections::{BTreeMap, BTreeSet};
use witnessmark::kiosk::{
    CardField, CardPage, DeviationPage, EntryKind, FieldKind, FigurePage, Frame, HoldPage, KeypadPage,
    PhotoPage, PhotosPage, Place, QuestionPage, StepNext, StepPage,
};
use witnessmark::quantity::{Quantity, Unit};

/// A job of some hundred steps ends; a loop on the screen does not.
const MOST_PAGES: usize = 4_000;

pub struct Walk {
    pub hand: Hand,
    card: BTreeMap<String, String>,
    readings: BTreeMap<String, String>,
    pub pictured: Vec<String>,
    pub deviated: bool,
    pub sent_back: bool,
    pub marked: usize,
    pub witnessed: usize,
    /// The steps that were shown, and those of which a part was out of sight at first.
    pub steps: BTreeSet<String>,
    pub scrolled: BTreeSet<String>,
    /// What could be read on the page before.
    seen: Vec<String>,
}

impl Walk {
    pub fn new(hand: Hand) -> Walk {
        Walk {
            hand,
            card: answers(include_str!("../demo/card.json")),
            readings: answers(include_str!("../demo/readings.json")),
            pictured: Vec::new(),
            deviated: false,
            sent_back: false,
            marked: 0,
            witnessed: 0,
            steps: BTreeSet::new(),
            scrolled: BTreeSet::new(),
            seen: Vec::new(),
        }
    }

    pub fn sign_on(&self, (_, name, passphrase): (&str, &str, &str), roles: &str) {
        self.hand.touch(&format!("{name}. {roles}"));
        self.hand.touch_keys(passphrase);
        self.hand.touch("Sign on");
    }

    /// Keeps one picture of each place that was reached.
    pub fn picture(&mut self, name: &str) {
        if !self.pictured.iter().any(|known| known == name) {
            self.pictured.push(name.to_owned());
            self.hand.keep_picture(name);
        }
    }

    pub fn refused(&self) -> Option<String> {
        let frame = self.hand.easel.app.global::<Frame>();
        frame.get_refused().then(|| frame.get_refusal_text().to_string())
    }

    /// A screen that stays the same after it was touched is a fault of the screen.
    fn must_move(&mut self) {
        let labels = self.hand.labels();
        if labels == self.seen {
            self.hand.keep_picture("stuck");
            panic!(
                "the screen stays the same at {:?}; a picture of it is kept: {labels:#?}",
                self.hand.place()
            );
        }
        self.seen = labels;
    }

    /// Carries on with what the screen shows until it shows the end, or a picture of this was taken.
    pub fn on_until(&mut self, wanted: &str) {
        for _ in 0..MOST_PAGES {
            if self.pictured.iter().any(|name| name == wanted) {
                return;
            }
            if let Some(text) = self.refused() {
                panic!("refused at {:?}: {text}", self.hand.place());
            }
            self.must_move();
            match self.hand.place() {
                Place::Card => self.card(),
                Place::Before => self.before(),
                Place::Hazards => self.hazards(),
                Place::Step => self.step(),
                Place::Keypad => self.keypad(),
                Place::Photos | Place::Photo => self.photo(),
                Place::Question => self.question(),
                Place::Deviation => self.deviation(),
                Place::Witness => self.witness(),
                Place::Hold => self.hold(),
                Place::CloseOut => {
                    self.picture("close-out");
                    self.hand.touch("All of this is so. Close the procedure");
                }
                Place::Closing => {
                    if self.closing() {
                        return;
                    }
                }
                other => panic!("the job led to {other:?}"),
            }
        }
        panic!("the job has no end");
    }

    pub fn card(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<CardPage>();
        if page.get_asking() {
            let field = page.get_field();
            self.picture(&format!("card-{:?}", field.kind).to_lowercase());
            self.answer(&field);
        } else if page.get_can_accept() {
            self.picture("card");
            self.hand.touch("Accept the card");
        } else {
            self.picture("card-open");
            self.hand.touch("Next question");
        }
    }

    fn answer(&self, field: &CardField) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<CardPage>();
        let id = field.id.as_str();
        assert_eq!(field.fault, "", "{id}");
        let answer = self
            .card
            .get(id)
            .unwrap_or_else(|| panic!("the demonstration's card has no answer for {id}"));
        match field.kind {
            FieldKind::Text => self.hand.keys(answer),
            FieldKind::Quantity => {
                let units: Vec<String> = page.get_units().iter().map(Into::into).collect();
                self.figure(answer, &units);
            }
            FieldKind::Choice | FieldKind::YesNo => {
                let choice = page
                    .get_choices()
                    .iter()
                    .find(|choice| choice.key == answer.as_str());
                let choice = choice.unwrap_or_else(|| panic!("{id} cannot be answered with {answer}"));
                let label = if choice.note.is_empty() {
                    choice.text.to_string()
                } else {
                    format!("{}. {}", choice.text, choice.note)
                };
                self.hand.touch(&label);
            }
        }
        self.hand.touch("Next");
    }

    /// Types a quantity on the big keys, in its own unit or in the first that there is a key for.
    fn figure(&self, answer: &str, units: &[String]) {
        let first = units.first().and_then(|unit| Unit::find(unit));
        let quantity = Quantity::parse(answer, first).unwrap_or_else(|error| panic!("{answer}: {error}"));
        let symbol = quantity.unit().symbol();
        let (text, unit) = if units.iter().any(|unit| unit == symbol) {
            (quantity.shown(9), symbol)
        } else {
            let first = first.expect("a quantity has a unit key");
            (quantity.to(first).expect("it fits").shown(9), first.symbol())
        };
        let number = text.strip_suffix(unit).unwrap_or(&text).trim();
        if !units.is_empty() && !unit.is_empty() {
            self.hand.touch(&format!("Unit {unit}"));
        }
        for key in number.chars() {
            match key {
                '.' => self.hand.touch("Decimal mark"),
                '-' => self.hand.touch("Change the sign"),
                digit => self.hand.touch(&digit.to_string()),
            }
        }
    }

    /// Nothing is affirmed or acknowledged while a part of it is out of sight.
    fn show_the_rest(&self) {
        while self.hand.sees("Show the rest") {
            assert!(!self.hand.sees("I have read it and will work so"));
            self.hand.touch("Show the rest");
        }
    }

    fn before(&mut self) {
        self.picture("before");
        self.show_the_rest();
        let label = if self.hand.sees("All of this is so. Begin") {
            "All of this is so. Begin"
        } else {
            "All of this is so. Show the hazards"
        };
        self.hand.touch(label);
    }

    fn hazards(&mut self) {
        self.picture("hazards");
        self.show_the_rest();
        let last = "I have read it and will work so";
        let label = if self.hand.sees(last) {
            last
        } else {
            "I have read it. Next hazard"
        };
        self.hand.touch(label);
    }

    /// Marks steps by turns with a drag, with the plate, and with a key.
    fn step(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<StepPage>();
        self.steps.insert(page.get_id().into());
        if self.hand.sees("Show more below") {
            self.picture("step-scrolled");
            self.scrolled.insert(page.get_id().into());
        }
        if page.get_next() == StepNext::Read {
            self.picture(if page.get_has_picture() {
                "step-picture"
            } else {
                "step-reading"
            });
            let label = page.get_next_text();
            self.hand.touch(&label);
            return;
        }
        if page.get_next() == StepNext::ReadYesNo {
            self.picture("step-yes-no");
            let id = self.wanted();
            let yes = self
                .readings
                .get(&id)
                .unwrap_or_else(|| panic!("the demonstration has no reading for {id}"))
                == "yes";
            return self.hand.touch(if yes { "Yes" } else { "No" });
        }
        self.look_at_figures();
        self.picture("step-mark");
        match self.marked % 3 {
            0 => self.hand.drag_across("Draw the stripe across: done", 0.8),
            1 => self.hand.touch("Mark done"),
            _ => self.hand.key(" "),
        }
        self.hand.wait();
        self.marked += 1;
    }

    /// Looks once at each kind of plot, one touch behind the step.
    fn look_at_figures(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        for figure in app.global::<StepPage>().get_figures().iter() {
            let name = format!("figure-{}", figure.source.to_lowercase().replace(' ', "-"));
            if !figure.drawn || self.pictured.contains(&name) {
                continue;
            }
            let label = format!("{}: {}. {}", figure.label, figure.value, figure.verdict_text);
            self.hand.reach(&format!("{label}. Show how it was worked out"));
            assert_eq!(self.hand.place(), Place::Figure);
            let plot = app.global::<FigurePage>().get_plot();
            assert!(self.hand.sees(&plot.says), "{}", plot.says);
            self.picture(&name);
            self.hand.touch("Back to the step");
            assert_eq!(self.hand.place(), Place::Step);
        }
    }

    /// The full name of the reading that the step wants next.
    fn wanted(&self) -> String {
        let page = self.hand.easel.app.global::<StepPage>();
        let wanted = page
            .get_readings()
            .iter()
            .find(|reading| reading.wanted)
            .expect("the step wants a reading");
        format!("{}.{}", page.get_id(), wanted.name)
    }

    fn keypad(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<KeypadPage>();
        let (id, kind, gauge) = (page.get_id().to_string(), page.get_kind(), page.get_gauge());
        self.picture(&format!("keypad-{kind:?}").to_lowercase());
        assert_eq!(page.get_fault(), "", "{id}");
        let answer = self
            .readings
            .get(&id)
            .unwrap_or_else(|| panic!("the demonstration has no reading for {id}"))
            .clone();
        if page.get_wants_instrument() && page.get_instrument().is_empty() {
            let tool = page
                .get_instruments()
                .iter()
                .find(|tool| tool.enabled)
                .expect("the register has one that may be used");
            self.hand.touch(&format!("{}. {}", tool.text, tool.note));
        }
        match kind {
            EntryKind::Number => {
                let units: Vec<String> = page.get_units().iter().map(Into::into).collect();
                let out =
                    (!self.deviated && gauge.has_low && gauge.has_high).then(|| beyond(&gauge.high_text));
                self.deviated |= out.is_some();
                self.figure(&out.unwrap_or(answer), &units);
            }
            EntryKind::Text => self.hand.keys(&answer),
            EntryKind::YesNo | EntryKind::Choice => {
                let choice = page
                    .get_choices()
                    .iter()
                    .find(|choice| choice.key == answer.as_str());
                self.hand.touch(
                    &choice
                        .unwrap_or_else(|| panic!("{id} cannot be answered with {answer}"))
                        .text,
                );
            }
        }
        self.hand.touch(if kind == EntryKind::Text {
            "Enter"
        } else {
            "Enter the reading"
        });
    }

    /// Takes the first photograph of the folder.
    fn photo(&mut self) {
        self.hand.until("the folder was looked into", |hand| {
            let app = &hand.easel.app;
            hand.place() == Place::Photo || app.global::<PhotosPage>().get_rows().row_count() > 0
        });
        if self.hand.place() == Place::Photos {
            self.picture("photos");
            let first = self.hand.easel.app.global::<PhotosPage>().get_rows().row_data(0);
            let first = first.expect("the folder has a photo");
            self.hand.touch(&format!("{}. {}", first.label, first.note));
        }
        self.hand.until("the picture is read", |hand| {
            hand.easel.app.global::<PhotoPage>().get_can_take()
        });
        self.picture("photo");
        self.hand.touch("Take this one");
    }

    fn question(&mut self) {
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<QuestionPage>();
        self.picture(if page.get_answered() {
            "question-answered"
        } else {
            "question"
        });
        if page.get_answered() {
            self.hand.touch("Go on");
        } else {
            let first = page.get_answers().row_data(0).expect("it has answers");
            self.hand.touch(&first.text);
        }
    }

    fn deviation(&mut self) {
        self.picture("deviation");
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<DeviationPage>();
        assert!(self.deviated, "an unforeseen deviation: {}", page.get_title());
        self.hand
            .touch("Measure again. The first value stays on the record.");
        self.picture("deviation-reason");
        self.hand.touch_keys("slipped");
        self.hand.touch("Write it down");
    }

    fn sign(&mut self, who: (&str, &str, &str)) {
        self.hand.touch_keys(who.2);
        self.picture("signing");
        self.hand.touch("Sign");
    }

    fn supervisor(&mut self) {
        self.picture("who-signs");
        self.hand.touch(&format!("{}. Supervisor", TOMASZ.1));
        self.sign(TOMASZ);
    }

    fn witness(&mut self) {
        self.picture("witness");
        self.witnessed += 1;
        if self.witnessed.is_multiple_of(2) {
            self.hand
                .touch("Called, nobody could come. The work may go on; the record says so");
        } else {
            self.hand
                .touch("The supervisor has seen it. Supervisor: sign with your passphrase");
            self.supervisor();
        }
    }

    fn hold(&mut self) {
        self.picture("hold");
        if self.sent_back {
            self.hand
                .touch("Release it. Supervisor: sign with your passphrase");
            return self.supervisor();
        }
        self.sent_back = true;
        self.hand.touch("Send it back. Choose what is to be done again");
        let app = self.hand.easel.app.clone_strong();
        let page = app.global::<HoldPage>();
        let last = page
            .get_covered()
            .iter()
            .last()
            .expect("a hold point covers steps");
        self.hand.touch(&format!("Again: {}", last.command));
        self.picture("hold-back");
        self.hand.touch("Send back with a reason");
        self.hand.touch(&format!("{}. Supervisor", TOMASZ.1));
        self.hand.touch_keys("look again");
        self.hand.key("\t");
        self.hand.keys(TOMASZ.2);
        self.hand.touch("Sign");
    }

    /// Whether the job is closed.
    fn closing(&mut self) -> bool {
        if self.hand.sees("Sign the work off") {
            self.picture("closing");
            self.hand.touch("Sign the work off");
            self.sign(INES);
            return false;
        }
        if self.hand.sees("Release the job") {
            self.hand.touch("Release the job");
            self.supervisor();
            return false;
        }
        self.picture("closed");
        true
    }
}

/// A quantity a little above this one.
fn beyond(limit: &str) -> String {
    let quantity = Quantity::parse(limit, None).expect("a limit is a quantity");
    let above = Quantity::new(quantity.value() * 1.04, quantity.unit()).expect("it is finite");
    above.shown(4)
}
