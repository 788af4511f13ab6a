//! The keys on the screen, the keyboard on the table, and a scanner that types like one.

use super::desk::{Desk, Done, Overlay};
use super::keypad::Target;
use super::wired::Wired;
use super::{App, CardPage, FieldKind, KeyCap, KeypadPage, Keys, Place, SignOnPage, SignSheet, Tokens};
use crate::page::burst::{self, Burst, Caught};
use crate::page::keyboard::{self, Layout};
use crate::page::step::{InstrumentView, ReadingInput};
use crate::say;
use crate::session::{Session, devices};
use slint::platform::WindowEvent;
use slint::{ComponentHandle, ModelRc, SharedString, Timer, TimerMode, Weak};
use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

/// A little longer than a gap, so that the clock of the window has passed it.
const WAIT: Duration = Duration::from_millis(burst::GAP + 5);

/// Brings the layout of the settings, or of the language, to the screen.
pub(super) fn show(app: &App, session: &Session) {
    let settings = session.settings();
    let chosen = settings.input.keyboard.as_deref();
    lay(app, Layout::of(chosen, settings.language.tag()));
}

/// Where a keyboard lies on the table already, the keys on the screen make room for what is typed.
pub(super) fn look_for_a_keyboard(app: &App) {
    let there = keyboard::has_keyboard(&devices());
    app.global::<Keys>().set_shown(!there);
}

fn lay(app: &App, layout: Layout) {
    let keys = app.global::<Keys>();
    let [top, middle, bottom] = layout.rows.map(|row| caps(row, layout));
    keys.set_top(top);
    keys.set_middle(middle);
    keys.set_bottom(bottom);
    keys.set_layout_text(layout.name.into());
}

fn caps(row: &str, layout: Layout) -> ModelRc<KeyCap> {
    let text = |letter: char| SharedString::from(letter.to_string());
    super::list(row.chars().map(|letter| KeyCap {
        text: text(letter),
        forms: super::list(layout.forms(letter).into_iter().map(text)),
    }))
}

/// Types `text` into the field that has the focus, as a keyboard would.
fn press(app: &App, text: &SharedString) {
    let (window, keys) = (app.window(), app.global::<Keys>());
    keys.set_own(true);
    let events = [
        WindowEvent::KeyPressed { text: text.clone() },
        WindowEvent::KeyReleased { text: text.clone() },
    ];
    for event in events {
        // A window that is about to close may refuse the key; then there is nothing to type into.
        let _ = window.dispatch_event_with_result(event);
    }
    keys.set_own(false);
}

/// Joins keys, keyboard and scanner to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let keys = app.global::<Keys>();
    let weak = app.as_weak();
    keys.on_press(move |text| {
        if let Some(app) = weak.upgrade() {
            press(&app, &text);
            // The fingers are on the glass, so no frame is drawn around the field.
            app.global::<Tokens>().set_by_keys(false);
        }
    });
    keys.on_other_layout(desk.on(Desk::other_layout));
    let weak = app.as_weak();
    keys.on_show(move || {
        if let Some(app) = weak.upgrade() {
            app.global::<Keys>().set_shown(true);
        }
    });
    let watch = Watch {
        app: app.as_weak(),
        desk: desk.clone(),
        burst: Rc::default(),
        timer: Rc::default(),
    };
    keys.on_caught(move |text, at, modified, repeat| watch.key(&text, at, modified || repeat));
}

/// What comes from a keyboard, told apart into typing and scanning.
#[derive(Clone)]
struct Watch {
    app: Weak<App>,
    desk: Wired,
    burst: Rc<RefCell<Burst>>,
    timer: Rc<Timer>,
}

impl Watch {
    /// Whether the key goes no further for now. A key with Control or one that is held down is a hand's.
    fn key(&self, text: &str, at: f32, by_hand: bool) -> bool {
        let Some(app) = self.app.upgrade() else {
            return false;
        };
        if by_hand || asks_for_a_secret(&app) {
            self.let_go();
            app.global::<Keys>().set_shown(false);
            return false;
        }
        // The clock counts from the start of the program, so it is small and not negative.
        let caught = self.burst.borrow_mut().key(text, at.max(0.0) as u64);
        match caught {
            Caught::Through => {
                if !burst::is_shift(text) {
                    app.global::<Keys>().set_shown(false);
                }
                false
            }
            Caught::Held => {
                let watch = self.clone();
                self.timer
                    .start(TimerMode::SingleShot, WAIT, move || watch.let_go());
                true
            }
            Caught::Code(code) => {
                self.timer.stop();
                self.desk.run(|desk| desk.scanned(&code));
                true
            }
        }
    }

    /// A hand typed what was held: it goes on its way.
    fn let_go(&self) {
        self.timer.stop();
        let typed = self.burst.borrow_mut().typed(u64::MAX);
        let Some(app) = self.app.upgrade().filter(|_| !typed.is_empty()) else {
            return;
        };
        app.global::<Keys>().set_shown(false);
        for text in typed {
            press(&app, &text.into());
        }
    }
}

/// Whether a passphrase is typed. Some come from a device that types as fast as a scanner.
fn asks_for_a_secret(app: &App) -> bool {
    let sheet = app.global::<SignSheet>();
    let signing_on = app.global::<super::Frame>().get_place() == Place::SignOn;
    (sheet.get_shown() && sheet.get_wants_secret())
        || (signing_on && !app.global::<SignOnPage>().get_person().is_empty())
}

/// The instrument with this serial number, or else with this id.
fn named<'t>(tools: &'t [InstrumentView], code: &str) -> Option<&'t InstrumentView> {
    let by_serial = tools.iter().find(|tool| tool.serial.eq_ignore_ascii_case(code));
    by_serial.or_else(|| tools.iter().find(|tool| tool.id.eq_ignore_ascii_case(code)))
}

impl Desk {
    /// The next layout of the keys, kept for this tablet. What was typed stays.
    fn other_layout(&mut self) -> Done {
        let session = self.shop.session().ok_or(super::desk::Trouble::Writing)?;
        let settings = session.settings();
        let next = Layout::of(settings.input.keyboard.as_deref(), settings.language.tag()).next();
        lay(&self.app()?, next);
        let work = move |session: &mut Session| {
            let mut settings = session.settings();
            settings.input.keyboard = Some(next.slug.to_owned());
            session.keep_settings(&settings)
        };
        self.beside(work, |_, result| result)
    }

    /// A code was scanned: an instrument, or the words of a field. Anywhere else it is told and does nothing.
    fn scanned(&mut self, text: &str) -> Done {
        let scanner = self
            .shop
            .session()
            .map(|session| session.settings().input.scanner);
        let scanner = scanner.unwrap_or_default();
        let Some(code) = burst::code(text, &scanner.prefix, &scanner.suffix) else {
            return Ok(());
        };
        let app = self.app()?;
        if self.sheet.is_some() && app.global::<SignSheet>().get_wants_text() {
            let sheet = app.global::<SignSheet>();
            sheet.set_text(format!("{} {code}", sheet.get_text()).trim_start().into());
            return Ok(());
        }
        if self.sheet.is_none() {
            if let Some(Overlay::Keypad(Target::Reading(name))) = self.overlay.clone() {
                return self.scanned_for(&name, code);
            }
            let card = app.global::<CardPage>();
            let asked = app.global::<super::Frame>().get_place() == Place::Card && card.get_asking();
            if asked && card.get_field().kind == FieldKind::Text {
                card.set_typed(code.into());
                return Ok(());
            }
        }
        let title = say!(self.words, "Scanned: {code}", code = code);
        self.announce(
            &title,
            self.words
                .say("Nothing on this page takes a code. Nothing was changed."),
        )
    }

    /// A code for a reading: its words, or its instrument.
    fn scanned_for(&mut self, reading: &str, code: &str) -> Done {
        let page = self.step_page()?;
        let asked = page.readings.iter().find(|asked| asked.name == reading);
        let asked = asked.ok_or_else(super::desk::Trouble::moved_on)?;
        if matches!(asked.kind, ReadingInput::Text { .. }) {
            self.draft.typed = code.to_owned();
            self.app()?.global::<KeypadPage>().set_typed(code.into());
            return Ok(());
        }
        let words = self.words.clone();
        let found = named(&asked.instruments, code);
        let lapsed = found.is_some_and(|tool| self.lapsed(&tool.due));
        self.draft.doubt = false;
        self.draft.fault = match found {
            Some(tool) if lapsed => say!(
                words,
                "{name}: its calibration lapsed on {day}. Take another one.",
                name = tool.name,
                day = tool.due
            ),
            Some(InstrumentView {
                too_coarse: Some(why),
                name,
                ..
            }) => format!("{name}: {why}"),
            Some(tool) => {
                self.draft.instrument = tool.id.clone();
                String::new()
            }
            None => say!(
                words,
                "“{code}” is the serial number of no instrument for this reading. Scan another one, or choose it.",
                code = code
            ),
        };
        self.refresh()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tool(id: &str, serial: &str) -> InstrumentView {
        InstrumentView {
            id: id.to_owned(),
            name: id.to_owned(),
            serial: serial.to_owned(),
            due: String::new(),
            range: String::new(),
            uncertainty: String::new(),
            too_coarse: None,
        }
    }

    #[test]
    fn a_code_names_an_instrument_by_its_serial_and_then_by_its_id() {
        let tools = [tool("pg-1", "AQ-0101"), tool("aq-0101", "AQ-0102")];
        let found = |code| named(&tools, code).map(|tool| tool.id.as_str());
        assert_eq!(found("aq-0101"), Some("pg-1"));
        assert_eq!(found("AQ-0102"), Some("aq-0101"));
        assert_eq!(found("PG-1"), Some("pg-1"));
        assert_eq!(found("AQ-01"), None);
    }
}
