//! The demonstration's car with its job worked through past the player: every figure, and every band of a reading.
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use witnessmark::calc::{Outcome, Value};
use witnessmark::player::Play;
use witnessmark::player::judge::{choice, free_text, yes_no};
use witnessmark::procedure::band::{Limits, resolve};
use witnessmark::procedure::circuit::Sight;
use witnessmark::procedure::{
    Band, Condition, FieldKind, Judged, Method, ProcedureId, Reading, ReadingKind, Reference,
};
use witnessmark::quantity::Quantity;
use witnessmark::words::Words;

use crate::own_circuit::{Known, job, library};

type Texts = BTreeMap<String, String>;

/// A car, its answers and readings, and what the content makes of them.
pub struct Car {
    pub play: Arc<Play>,
    card: BTreeMap<(String, String), Value>,
    read: BTreeMap<(String, String), Value>,
    figures: BTreeMap<String, Outcome>,
    worked: BTreeMap<(String, String), Outcome>,
    /// By `procedure.step.reading`.
    pub bands: BTreeMap<String, (Band, Limits)>,
    texts: Texts,
    readings: Texts,
}

fn texts(name: &str) -> Texts {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/demo")
        .join(name);
    serde_json::from_slice(&std::fs::read(path).expect("the demonstration's own file")).expect("JSON")
}

fn play() -> Arc<Play> {
    static PLAY: LazyLock<Arc<Play>> = LazyLock::new(|| {
        let mut library = library();
        Arc::new(Play::new(
            job(&mut library, "wet-nitrous"),
            library.shared,
            library.tables,
            Vec::new(),
        ))
    });
    PLAY.clone()
}

fn answer(kind: &FieldKind, text: &str) -> Value {
    let value = match kind {
        FieldKind::Text { most } => free_text(text, *most, &Words::english()),
        FieldKind::Choice(options) => choice(text, options, &Words::english()),
        FieldKind::YesNo => yes_no(text, &Words::english()),
        FieldKind::Quantity { unit, .. } => Ok(quantity(text, *unit)),
    };
    value.unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn quantity(text: &str, unit: witnessmark::quantity::Unit) -> Value {
    Value::Quantity(Quantity::parse(text, Some(unit)).expect("a quantity"))
}

fn taken(kind: &ReadingKind, text: &str) -> Value {
    let value = match kind {
        ReadingKind::Text { most } => free_text(text, *most, &Words::english()),
        ReadingKind::Choice(options) => choice(text, options, &Words::english()),
        ReadingKind::YesNo => yes_no(text, &Words::english()),
        ReadingKind::Number { unit, .. } => Ok(quantity(text, *unit)),
        ReadingKind::Photo => Ok(Value::Text(text.to_owned())),
    };
    value.unwrap_or_else(|error| panic!("{text}: {error}"))
}

impl Car {
    /// The demonstration's car with these answers instead of its own, by `group.field`.
    pub fn with(changes: &[(&str, &str)]) -> Car {
        let mut texts_of_card = texts("card.json");
        for (path, text) in changes {
            texts_of_card.insert((*path).to_owned(), (*text).to_owned());
        }
        let mut car = Car {
            play: play(),
            card: BTreeMap::new(),
            read: BTreeMap::new(),
            figures: BTreeMap::new(),
            worked: BTreeMap::new(),
            bands: BTreeMap::new(),
            texts: texts_of_card,
            readings: texts("readings.json"),
        };
        car.fill_in();
        car.work_through();
        car
    }

    pub fn known(&self) -> Known {
        let read = self.readings.iter().filter_map(|(path, text)| {
            let [procedure, _, name] = path.split('.').collect::<Vec<_>>()[..] else {
                return None;
            };
            Some((format!("{procedure}.{name}"), text.clone()))
        });
        Known {
            card: self.texts.clone(),
            read: read.collect(),
        }
    }

    /// What was read, as it is typed.
    pub fn reading(&self, procedure: &str, reading: &Reading) -> Option<&Value> {
        self.read.get(&(procedure.to_owned(), reading.name.clone()))
    }

    fn fill_in(&mut self) {
        let play = self.play.clone();
        for field in play.fields() {
            if let Some(text) = self.texts.get(&format!("{}.{}", field.group, field.id)) {
                let at = (field.group.clone(), field.id.clone());
                self.card.insert(at, answer(&field.kind, text));
            }
        }
        for (at, _, step) in play.steps() {
            for reading in &step.read {
                if let Some(text) = self.readings.get(&format!("{at}.{}", reading.name)) {
                    let named = (at.procedure.to_string(), reading.name.clone());
                    self.read.insert(named, taken(&reading.kind, text));
                }
            }
        }
    }

    fn work_through(&mut self) {
        let play = self.play.clone();
        for figure in &play.job.figures {
            if self.holds(&figure.when) {
                let outcome = self.work_out(&figure.name, &figure.method);
                self.figures.insert(figure.name.clone(), outcome);
            }
        }
        for (at, _, step) in play.steps() {
            let (_, condition) = play.procedure(&at.procedure).expect("it is there");
            if !self.holds(condition) || !self.holds(&step.when) {
                continue;
            }
            for work_out in &step.work_out {
                let outcome = self.work_out(&work_out.name, &work_out.method);
                self.worked
                    .insert((at.procedure.to_string(), work_out.name.clone()), outcome);
            }
            for reading in &step.read {
                if let Judged::Band(band) = &reading.judged {
                    let limits = resolve(band, &|reference| self.value(reference));
                    let limits = limits.unwrap_or_else(|error| panic!("{at}.{}: {error}", reading.name));
                    self.bands
                        .insert(format!("{at}.{}", reading.name), (band.clone(), limits));
                }
            }
        }
    }

    fn work_out(&self, name: &str, method: &Method) -> Outcome {
        let sight = Sight {
            value: &|reference| self.value(reference),
            holds: &|condition| self.holds(condition),
        };
        let outcome = self.play.work_out(method, &sight);
        outcome.unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn holds(&self, condition: &Condition) -> bool {
        condition.holds(&|group, field| self.texts.get(&format!("{group}.{field}")).cloned())
    }

    pub fn value(&self, reference: &Reference) -> Option<Value> {
        let output = |outcome: Option<&Outcome>, output: &str| outcome?.output(output).cloned();
        match reference {
            Reference::Card { group, field } => self.card.get(&(group.clone(), field.clone())).cloned(),
            Reference::Read { procedure, name } => self.read.get(&named(procedure, name)).cloned(),
            Reference::Work {
                procedure,
                name,
                output: asked,
            } => output(self.worked.get(&named(procedure, name)), asked),
            Reference::Figure { name, output: asked } => output(self.figures.get(name), asked),
        }
    }
}

fn named(procedure: &ProcedureId, name: &str) -> (String, String) {
    (procedure.to_string(), name.to_owned())
}
