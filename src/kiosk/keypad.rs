//! The keypad: what is typed so far, and where it would stand on the gauge.

use super::desk::{Desk, Done, Overlay};
use super::draft::{Draft, Given};
use super::frame::capital;
use super::wired::Wired;
use super::{App, Choice, EntryKind, KeypadPage, gauge};
use crate::page::Gauge;
use crate::page::calculator::InputView;
use crate::page::step::{InstrumentView, ReadingInput, ReadingView, StepPage};
use crate::player::Event;
use crate::player::fact::Live;
use crate::quantity::{Quantity, Unit};
use crate::say;
use crate::to_say;
use crate::words::Words;
use slint::{ComponentHandle, SharedString};

/// What the keypad is opened for.
pub(super) struct Asked<'a> {
    pub id: String,
    pub label: String,
    pub command: String,
    pub origin: String,
    pub kind: EntryKind,
    pub units: &'a [&'static str],
    pub choices: Vec<(String, String)>,
    pub gauge: Option<&'a Gauge>,
    pub band: String,
    pub instrument_kind: Option<String>,
    pub instruments: &'a [InstrumentView],
    pub enter: &'static str,
}

/// A reading as the keypad asks for it.
pub(super) fn asked<'a>(reading: &'a ReadingView, page: &StepPage, words: &Words) -> Asked<'a> {
    let (kind, units, choices) = match &reading.kind {
        ReadingInput::Number { units } => (EntryKind::Number, units.as_slice(), Vec::new()),
        ReadingInput::YesNo => (EntryKind::YesNo, &[][..], yes_no(words)),
        ReadingInput::Choice(options) => (EntryKind::Choice, &[][..], options.clone()),
        // A photograph is chosen on a page of its own.
        ReadingInput::Text { .. } | ReadingInput::Photo => (EntryKind::Text, &[][..], Vec::new()),
    };
    let band = reading.band.trim_end_matches('.');
    let must_be = || say!(words, "Must be: {band}", band = band);
    let origin = match reading.origin.trim_end_matches('.') {
        // Why nothing judges it is a sentence of its own.
        "" if reading.band.is_empty() || reading.band.ends_with('.') => reading.band.clone(),
        "" => format!("{}.", must_be()),
        origin => format!("{}. {}.", must_be(), capital(origin)),
    };
    Asked {
        id: format!("{}.{}", page.step, reading.name),
        label: reading.label.clone(),
        command: page.command.clone(),
        origin,
        kind,
        units,
        choices,
        gauge: reading.gauge.as_ref(),
        band: reading.band.clone(),
        instrument_kind: reading.instrument_kind.clone(),
        instruments: &reading.instruments,
        enter: to_say!("Enter the reading"),
    }
}

/// The two answers of a yes/no question.
pub(super) fn yes_no(words: &Words) -> Vec<(String, String)> {
    vec![
        ("yes".to_owned(), say!(words, "Yes")),
        ("no".to_owned(), say!(words, "No")),
    ]
}

/// Shows what is asked with what is typed so far.
pub(super) fn show(
    app: &App,
    asked: &Asked<'_>,
    draft: &Draft,
    lapsed: &dyn Fn(&str) -> bool,
    words: &Words,
) {
    let view = app.global::<KeypadPage>();
    view.set_id(asked.id.as_str().into());
    view.set_kind(asked.kind);
    view.set_label(super::said(&asked.label));
    view.set_command(asked.command.as_str().into());
    view.set_origin(super::said(&asked.origin));
    view.set_band(super::said(&asked.band));
    view.set_typed(draft.typed.as_str().into());
    view.set_unit(draft.unit.as_str().into());
    super::fill(
        view.get_units(),
        super::list(asked.units.iter().take(3).map(|unit| SharedString::from(*unit))),
        |rows| view.set_units(rows),
    );
    view.set_signed(asked.units.iter().any(|unit| signed(unit)));
    view.set_gauge(gauge::picture(
        with_value(asked.gauge, draft).as_ref(),
        None,
        words,
    ));
    super::fill(
        view.get_choices(),
        super::list(asked.choices.iter().map(|(key, text)| choice(key, text, ""))),
        |rows| view.set_choices(rows),
    );
    view.set_choice(draft.choice.as_str().into());
    view.set_fault(super::said(&draft.fault));
    view.set_doubted(draft.doubt);
    view.set_sure_text(super::said(&sure(draft, words)));
    view.set_sure_note(words.say(sure_note(draft)).into());
    view.set_wants_instrument(asked.instrument_kind.is_some());
    view.set_instrument_sort(asked.instrument_kind.as_deref().unwrap_or_default().into());
    view.set_instrument(draft.instrument.as_str().into());
    super::fill(
        view.get_instruments(),
        super::list(
            asked
                .instruments
                .iter()
                .map(|tool| instrument(tool, lapsed(&tool.due), words)),
        ),
        |rows| view.set_instruments(rows),
    );
    view.set_can_enter(!draft.answer().is_empty());
    view.set_enter_text(words.say(asked.enter).into());
}

/// What answers the question whether a value is so; one that the instrument gave is named, since another may stand
/// there by now.
fn sure(draft: &Draft, words: &Words) -> String {
    match &draft.given {
        Some(given) => say!(words, "It is so: {value}", value = given.typed),
        None => say!(words, "It is so"),
    }
}

fn sure_note(draft: &Draft) -> &'static str {
    match &draft.given {
        Some(_) => {
            to_say!("It is judged as the instrument gave it, and the record says that you were asked.")
        }
        None => to_say!("It is judged as it was typed, and the record says that you were asked."),
    }
}

/// Temperatures alone go below zero at a car; pressures here are above the surrounding air.
fn signed(unit: &str) -> bool {
    matches!(unit, "°C" | "°F" | "V" | "mV" | "A")
}

/// The gauge with what is typed as its value, which is not judged yet.
fn with_value(gauge: Option<&Gauge>, draft: &Draft) -> Option<Gauge> {
    let mut gauge = gauge?.clone();
    let unit = Unit::find(gauge.unit)?;
    let typed = Quantity::parse(&draft.answer(), Some(unit)).and_then(|quantity| quantity.to(unit));
    gauge.value = typed.ok().map(Quantity::value);
    Some(gauge)
}

fn choice(key: &str, text: &str, note: &str) -> Choice {
    Choice {
        key: key.into(),
        text: super::said(text),
        note: super::said(note),
        enabled: true,
    }
}

fn instrument(tool: &InstrumentView, lapsed: bool, words: &Words) -> Choice {
    let note = match &tool.too_coarse {
        _ if lapsed => format!(
            "{}. {}",
            tool.serial,
            say!(words, "Calibration lapsed on {day}", day = tool.due)
        ),
        Some(why) => format!("{}. {}", tool.serial, super::frame::capital(why)),
        None => format!(
            "{}, {}, {}",
            tool.serial,
            tool.range,
            say!(words, "calibrated until {day}", day = tool.due)
        ),
    };
    Choice {
        enabled: !lapsed && tool.too_coarse.is_none(),
        ..choice(&tool.id, &tool.name, &note)
    }
}

/// What the typed answer is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Target {
    /// A reading of the step that comes now, by its name.
    Reading(String),
    /// An input of the calculator on the screen.
    Input(String),
}

/// An input of a calculator as the keypad asks for it.
pub(super) fn asked_input<'a>(input: &'a InputView, words: &Words) -> Asked<'a> {
    let choices = input
        .choices
        .iter()
        .map(|choice| ((*choice).to_owned(), words.say(choice).replace('-', " ")));
    Asked {
        id: input.name.to_owned(),
        label: format!("{}, {}", words.say(input.label), words.say(input.about)),
        command: String::new(),
        origin: if input.choices.is_empty() {
            capital(&input.range)
        } else {
            String::new()
        },
        kind: if input.choices.is_empty() {
            EntryKind::Number
        } else {
            EntryKind::Choice
        },
        units: &input.units,
        choices: choices.collect(),
        gauge: None,
        band: String::new(),
        instrument_kind: None,
        instruments: &[],
        enter: to_say!("Enter"),
    }
}

impl Desk {
    /// Opens the keypad for a reading, with the instrument that was used last for its kind.
    pub(super) fn open_reading(&mut self, reading: &ReadingView) -> Done {
        let units = match &reading.kind {
            ReadingInput::Number { units } => units.as_slice(),
            _ => &[],
        };
        self.draft = Draft {
            unit: units.first().map_or("", |unit| *unit).to_owned(),
            ..Draft::default()
        };
        let may = |tool: &&InstrumentView| tool.too_coarse.is_none() && !self.lapsed(&tool.due);
        let mut fit = reading
            .instruments
            .iter()
            .filter(may)
            .map(|tool| tool.id.clone())
            .peekable();
        let last = self.instrument_used.clone();
        self.draft.instrument = match last {
            Some(last) if reading.instruments.iter().filter(may).any(|tool| tool.id == last) => last,
            _ => fit.next().filter(|_| fit.peek().is_none()).unwrap_or_default(),
        };
        self.over(Overlay::Keypad(Target::Reading(reading.name.clone())))
    }

    /// One of the big keys.
    pub(super) fn keypad_key(&mut self, key: &str) -> Done {
        self.draft.press(key);
        self.refresh()
    }

    /// One of the unit keys.
    pub(super) fn keypad_unit(&mut self, unit: &str) -> Done {
        self.draft.unit = unit.to_owned();
        self.draft.fault.clear();
        self.draft.undoubt();
        self.refresh()
    }

    /// One of the instruments.
    pub(super) fn keypad_instrument(&mut self, id: &str) -> Done {
        self.draft.instrument = id.to_owned();
        self.refresh()
    }

    /// One of the choices.
    pub(super) fn keypad_pick(&mut self, key: &str) -> Done {
        self.draft.choice = key.to_owned();
        self.refresh()
    }

    /// What is typed is entered. A slip stays on the keypad with what is wrong about it.
    pub(super) fn keypad_enter(&mut self) -> Done {
        self.enter_as(false)
    }

    /// The value was asked about, and is so: what was typed, or what the instrument gave when it was taken.
    pub(super) fn keypad_sure(&mut self) -> Done {
        match self.draft.given.clone().filter(|_| self.draft.doubt) {
            Some(given) => self.enter_reading(given.typed, Some(given.live), true),
            None => self.enter_as(self.draft.doubt),
        }
    }

    fn enter_as(&mut self, sure: bool) -> Done {
        let Some(Overlay::Keypad(target)) = self.overlay.clone() else {
            return Ok(());
        };
        let app = self.app()?;
        if app.global::<KeypadPage>().get_kind() == EntryKind::Text {
            self.draft.typed = app.global::<KeypadPage>().get_typed().to_string();
        }
        let typed = self.draft.answer();
        match target {
            Target::Input(name) => self.enter_input(name, typed),
            Target::Reading(_) => self.enter_reading(typed, None, sure),
        }
    }

    /// The reading on the keypad, as it was typed or as the instrument itself gave it.
    pub(super) fn enter_reading(&mut self, typed: String, live: Option<Live>, sure: bool) -> Done {
        let Some(Overlay::Keypad(Target::Reading(name))) = self.overlay.clone() else {
            return Ok(());
        };
        let step = self.step_page()?.step;
        let instrument = Some(self.draft.instrument.clone()).filter(|id| !id.is_empty());
        let given = live.clone().map(|live| Given {
            typed: typed.clone(),
            live,
        });
        let read = Event::Read {
            step,
            name,
            typed,
            instrument: instrument.clone(),
            live: live.map(Box::new),
        };
        let event = if sure { Event::Sure(Box::new(read)) } else { read };
        self.act_then(event, move |desk, result| match result {
            Ok(()) => {
                desk.instrument_used = instrument.or(desk.instrument_used.take());
                desk.went_on()
            }
            Err(trouble) => match trouble.refusal(&desk.words) {
                Some(text) => {
                    desk.draft.fault = text;
                    desk.draft.doubt = trouble.doubts();
                    desk.draft.given = given.filter(|_| trouble.doubts());
                    desk.refresh()
                }
                None => Err(trouble),
            },
        })
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<KeypadPage>();
    view.on_key(desk.on_with(|desk, key: SharedString| desk.keypad_key(&key)));
    view.on_pick_unit(desk.on_with(|desk, unit: SharedString| desk.keypad_unit(&unit)));
    view.on_pick_instrument(desk.on_with(|desk, id: SharedString| desk.keypad_instrument(&id)));
    view.on_pick(desk.on_with(|desk, key: SharedString| desk.keypad_pick(&key)));
    view.on_enter(desk.on(Desk::keypad_enter));
    view.on_sure(desk.on(Desk::keypad_sure));
}
