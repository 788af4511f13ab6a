//! The instrument that answers for itself: its value on the keypad while the page stands there, and its capture.

use super::desk::{Desk, Done};
use super::wired::Wired;
use super::{App, KeypadPage, LivePage, gauge};
use crate::page::Gauge;
use crate::page::live::{LiveState, LiveView, nothing_to_take};
use crate::page::step::{ReadingInput, ReadingView};
use crate::quantity::Unit;
use crate::session::{Live, Session};
use slint::ComponentHandle;

/// A meter that is listened to for the reading on the keypad.
pub(super) struct Listening {
    live: Live,
    gauge: Option<Gauge>,
    /// What stands on the screen, so that only a change is drawn.
    shown: Option<LiveView>,
}

impl Desk {
    /// Listens to the instrument that was chosen for this reading, where the register has a line to it. Another
    /// choice lets go of the one before.
    pub(super) fn listen(&mut self, reading: &ReadingView) {
        let chosen = self.draft.instrument.as_str();
        let known = self
            .listening
            .as_ref()
            .map(|listening| listening.live.instrument());
        if known == Some(chosen) {
            return;
        }
        let live = match &reading.kind {
            ReadingInput::Number { units } => {
                let unit = units.first().and_then(|unit| Unit::find(unit));
                let session = self.shop.session();
                session.and_then(|session| session.listen(chosen, unit?))
            }
            _ => None,
        };
        self.listening = live.map(|live| Listening {
            live,
            gauge: reading.gauge.clone(),
            shown: None,
        });
    }

    /// Shows what the meter says now, if that is anything else than what stands there.
    pub(super) fn look_at_meter(&mut self) -> Done {
        let app = self.app()?;
        let clock = self.shop.now();
        let (Some(listening), Some(clock)) = (&mut self.listening, clock) else {
            return Ok(());
        };
        listening.live.look();
        let state = listening.live.state(clock);
        let view = state.view(&self.words);
        if listening.shown.as_ref() != Some(&view) {
            show(&app, &view);
            if self.draft.answer().is_empty() {
                show_gauge(&app, listening.gauge.clone(), &state, &self.words);
            }
            listening.shown = Some(view);
        }
        Ok(())
    }

    /// The page was drawn anew: what the meter says belongs on it.
    pub(super) fn show_meter(&mut self, app: &App) -> Done {
        app.global::<LivePage>().set_on(self.listening.is_some());
        if let Some(listening) = &mut self.listening {
            listening.shown = None;
        }
        self.look_at_meter()
    }

    /// The value that stands on the screen is entered as the meter gave it.
    pub(super) fn take_live(&mut self) -> Done {
        let (Some(listening), Some(clock)) = (&self.listening, self.shop.session().map(Session::now)) else {
            return Ok(());
        };
        match listening.live.take(clock) {
            Ok(taken) => self.enter_reading(taken.typed, Some(taken.said), false),
            Err(state) => {
                self.draft.fault = nothing_to_take(&state, &self.words);
                self.refresh()
            }
        }
    }
}

fn show(app: &App, view: &LiveView) {
    let page = app.global::<LivePage>();
    page.set_value(view.value.as_str().into());
    page.set_unit(view.unit.as_str().into());
    page.set_says(view.says.as_str().into());
    page.set_ready(view.ready);
}

fn show_gauge(app: &App, picture: Option<Gauge>, state: &LiveState, words: &crate::words::Words) {
    let picture = picture.map(|picture| state.on(picture));
    let picture = gauge::picture(picture.as_ref(), None, words);
    app.global::<KeypadPage>().set_gauge(picture);
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    app.global::<LivePage>().on_take(desk.on(Desk::take_live));
}
