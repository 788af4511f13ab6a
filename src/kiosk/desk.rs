//! The desk: what the kiosk holds between two touches, and where it goes next.
//!
//! Each adapter adds the touches of its own page; here is what they share.

use super::album::Album;
use super::calculators::Sums;
use super::draft::Draft;
use super::finger::Finger;
use super::keypad::Target;
use super::left::LeftBehind;
use super::live::Listening;
use super::photos;
use super::place::{self, Around};
use super::record::RecordView;
use super::recovery::Recovered;
use super::shop::Shop;
use super::sign::Sheet;
pub(super) use super::trouble::Trouble;
use super::{
    App, Frame, Place, before, calculators, card, figure, frame, hold, jobs, keypad, question, record,
    recovery, sign_on, strip,
};
use crate::page::sign::QuestionPage;
use crate::page::{self, Page, Strip};
use crate::say;
use crate::session::Session;
use crate::words::Words;
use slint::{ComponentHandle, Weak};

/// What a touch comes to.
pub(super) type Done = Result<(), Trouble>;

/// What holds the screen lit; none while no job is open.
pub(super) type Lit = Option<super::awake::Awake>;

/// A page on top of what comes now.
#[derive(Clone, Debug)]
pub(super) enum Overlay {
    /// The steps of a procedure; of the one that is worked on where none was chosen.
    Plan(Option<usize>),
    /// The card of a job that is under way.
    Card,
    /// The hazards of the step again, from this one on.
    Hazards(i32),
    /// How a figure of the step was worked out.
    Figure(usize),
    /// The hazards of the procedure, to be acknowledged.
    BeforeHazards,
    Keypad(Target),
    /// The photographs of the album, as a list.
    Photos,
    /// One of them, large.
    Photo,
    /// A question with the answer that was given.
    Answered(Box<QuestionPage>, usize),
    /// A record as it was just verified.
    Record(Box<RecordView>),
    Calculators,
    About,
    /// What was put right after an interruption.
    Recovery,
    /// This tablet's settings, over whatever was open before.
    Settings(Option<Box<Overlay>>),
}

impl Overlay {
    fn place(&self) -> Place {
        match self {
            Self::Plan(_) => Place::Plan,
            Self::Card => Place::Card,
            Self::Hazards(_) | Self::BeforeHazards => Place::Hazards,
            Self::Figure(_) => Place::Figure,
            Self::Keypad(_) => Place::Keypad,
            Self::Photos => Place::Photos,
            Self::Photo => Place::Photo,
            Self::Answered(..) => Place::Question,
            Self::Record(_) => Place::Record,
            Self::Calculators => Place::Calculators,
            Self::About => Place::About,
            Self::Recovery => Place::Recovery,
            Self::Settings(_) => Place::Settings,
        }
    }
}

/// What the kiosk holds between two touches.
pub(super) struct Desk {
    app: Weak<App>,
    pub shop: Shop,
    pub overlay: Option<Overlay>,
    pub finger: Finger,
    pub draft: Draft,
    /// Photographs, while a page of them is open.
    pub album: Option<Album>,
    pub instrument_used: Option<String>,
    /// The meter that answers for itself while its reading is on the keypad.
    pub listening: Option<Listening>,
    pub sheet: Option<Sheet>,
    /// Which covered steps of a hold point are to be done again.
    pub again: Option<Vec<bool>>,
    pub sums: Sums,
    pub list: jobs::List,
    pub welcome: sign_on::Welcome,
    /// What people left half done.
    pub left: LeftBehind,
    /// What was put right when the tablet was started.
    pub recovered: Recovered,
    /// How full the battery was at the last look, where it is being emptied: a touch does not wait for it.
    pub battery: Option<super::power::Draining>,
    /// Holds the screen lit while a job is open; none where the screen is only drawn.
    pub awake: Option<Lit>,
    /// What the system says of its clock; none where the screen is only drawn.
    pub timekeeper: Option<super::timekeeper::Timekeeper>,
    /// What the tablet speaks, also while the session is away.
    pub words: Words,
}

impl Desk {
    pub fn new(app: &App, shop: Shop) -> Self {
        let recovered = shop.session().map(Recovered::of).unwrap_or_default();
        Self {
            app: app.as_weak(),
            words: shop.session().map(Session::words).unwrap_or_default(),
            recovered: recovered.clone(),
            shop,
            overlay: recovered.any().then_some(Overlay::Recovery),
            finger: Finger::default(),
            draft: Draft::default(),
            album: None,
            instrument_used: None,
            listening: None,
            sheet: None,
            again: None,
            sums: Sums::default(),
            list: jobs::List::default(),
            welcome: sign_on::Welcome::default(),
            left: LeftBehind::new(),
            battery: super::power::draining(),
            awake: None,
            timekeeper: None,
        }
    }

    /// The window.
    pub fn app(&self) -> Result<App, Trouble> {
        self.app.upgrade().ok_or(Trouble::Window)
    }

    /// The page of what comes now in the open job.
    pub fn page(&self) -> Result<Page, Trouble> {
        let session = self.shop.session();
        session.and_then(Session::page).ok_or(Trouble::NoJob)
    }

    /// The card page of a job that is past its card.
    pub fn card_again(&self) -> Result<page::card::CardPage, Trouble> {
        let state = self.shop.session().and_then(Session::seen);
        let state = state.ok_or_else(Trouble::moved_on)?;
        Ok(page::card::page(&state, &self.shop.typed()))
    }

    /// The name of a person, or the id where the roster has none.
    pub fn name(&self, id: &str) -> String {
        self.shop.name(id)
    }

    /// Opens a page on top of what comes now.
    pub fn over(&mut self, overlay: Overlay) -> Done {
        self.overlay = Some(overlay);
        self.refresh()
    }

    /// Opens the settings on top of whatever is open; what was typed there stays.
    pub fn over_all(&mut self) -> Done {
        let below = match self.overlay.take() {
            Some(Overlay::Settings(below)) => below,
            other => other.map(Box::new),
        };
        self.over(Overlay::Settings(below))
    }

    /// Whether the settings lie on top of everything, a sheet included.
    pub fn set_apart(&self) -> bool {
        matches!(self.overlay, Some(Overlay::Settings(_)))
    }

    /// One level out.
    pub fn back(&mut self) -> Done {
        if self.sheet.is_some() && !self.set_apart() {
            return self.sign_cancel();
        }
        match self.overlay.take() {
            Some(Overlay::Settings(below)) => self.overlay = below.map(|below| *below),
            Some(Overlay::Card) if self.finger.asked.is_some() => {
                self.overlay = Some(Overlay::Card);
                self.finger.asked = None;
            }
            Some(Overlay::Card) => return self.over(Overlay::Plan(None)),
            Some(Overlay::Photo) => return self.leave_photo(),
            Some(Overlay::Photos) => return self.leave_photos(),
            Some(Overlay::Keypad(Target::Input(_))) => return self.over(Overlay::Calculators),
            Some(Overlay::Calculators) if self.sums.id.is_some() => {
                self.overlay = Some(Overlay::Calculators);
                return self.calculator_list();
            }
            Some(_) => {}
            None if self.finger.asked.is_some() => self.finger.asked = None,
            None => self.leave(),
        }
        self.refresh()
    }

    fn leave(&mut self) {
        if self.shop.person().is_some() && self.shop.state().is_some() {
            self.shop.put_away();
            self.again = None;
        } else if self.shop.person().is_none() {
            self.welcome = sign_on::Welcome::default();
        }
        self.list.starting = false;
        self.list.lines = None;
    }

    /// The job went on: what was typed for the step before is done with.
    pub fn went_on(&mut self) -> Done {
        self.overlay = None;
        self.again = None;
        self.draft = Draft::default();
        self.list.lines = None;
        self.refresh()
    }

    /// Brings everything to the screen as it stands.
    pub fn refresh(&mut self) -> Done {
        let app = self.app()?;
        app.global::<Frame>().set_busy(self.shop.busy());
        // While the session is away the screen stays as it is.
        if self.shop.session().is_none() {
            return Ok(());
        }
        frame::show(&app, self);
        recovery::show(&app, self);
        self.hold_awake();
        self.show_sheet(&app);
        let reading = matches!(self.overlay, Some(Overlay::Keypad(Target::Reading(_))));
        if !reading || self.shop.person().is_none() {
            self.listening = None;
        }
        if self.album.is_some() && !self.overlay.as_ref().is_some_and(Overlay::holds_album) {
            self.album = None;
            photos::clear(&app);
        }
        let place = self.show_place(&app)?;
        place::go(&app, place);
        Ok(())
    }

    fn show_place(&mut self, app: &App) -> Result<Place, Trouble> {
        if self.shop.person().is_none() {
            sign_on::show(app, self);
            return Ok(match &self.overlay {
                Some(open @ (Overlay::About | Overlay::Recovery | Overlay::Settings(_))) => open.place(),
                _ => Place::SignOn,
            });
        }
        if let Some(overlay) = self.overlay.clone() {
            return self.show_overlay(app, &overlay);
        }
        if self.shop.state().is_none() {
            jobs::show(app, self);
            return Ok(Place::Jobs);
        }
        self.show_job(app)
    }

    fn show_job(&self, app: &App) -> Result<Place, Trouble> {
        let page = self.page()?;
        let name = |id: &str| self.name(id);
        let media = |path: &str| self.shop.media(path);
        let words = &self.words;
        place::show(
            app,
            &page,
            &Around {
                media: &media,
                name: &name,
                words,
            },
        );
        match &page {
            Page::Card(page) => card::show(app, page, &self.finger, words),
            Page::Hold(page) => hold::show(app, page, false, self.again.as_deref(), &name, words),
            _ => {}
        }
        Ok(app.global::<Frame>().get_place())
    }

    fn show_overlay(&mut self, app: &App, overlay: &Overlay) -> Result<Place, Trouble> {
        match overlay {
            Overlay::Plan(chosen) => strip::show(app, &self.strip()?, *chosen, &self.words),
            Overlay::Card => card::show(app, &self.card_again()?, &self.finger, &self.words),
            Overlay::Hazards(first) => {
                let page = self.step_page()?;
                before::show_hazards(app, &page.procedure_title, &page.hazards, *first, true);
            }
            Overlay::Figure(place) => figure::show(app, &self.figure(*place)?, &self.words),
            Overlay::BeforeHazards => self.show_hazards_before(app)?,
            Overlay::Keypad(target) => self.show_keypad(app, target)?,
            Overlay::Photos | Overlay::Photo => self.show_album(app, overlay)?,
            Overlay::Answered(page, choice) => question::show(app, page, Some(*choice)),
            Overlay::Record(view) => record::show(app, view, &|id| self.name(id), &self.words),
            Overlay::Calculators => match self.form() {
                Some(form) => calculators::show(app, &form, self.sums.place, &self.words),
                None => calculators::show_list(app, &self.words),
            },
            Overlay::About | Overlay::Recovery | Overlay::Settings(_) => {}
        }
        Ok(overlay.place())
    }

    fn show_hazards_before(&self, app: &App) -> Done {
        if let Page::Before(page) = self.page()? {
            let title = say!(self.words, "Before: {procedure}", procedure = page.title);
            before::show_hazards(app, &title, &page.hazards, 0, false);
        }
        Ok(())
    }

    fn show_keypad(&mut self, app: &App, target: &Target) -> Done {
        match target {
            Target::Reading(name) => {
                let page = self.step_page()?;
                let reading = page.readings.iter().find(|reading| reading.name == *name);
                let reading = reading.ok_or_else(Trouble::moved_on)?;
                self.listen(reading);
                let asked = keypad::asked(reading, &page, &self.words);
                let lapsed = |due: &str| self.lapsed(due);
                keypad::show(app, &asked, &self.draft, &lapsed, &self.words);
            }
            Target::Input(name) => {
                let form = self.form().ok_or_else(Trouble::moved_on)?;
                let input = form
                    .inputs
                    .iter()
                    .find(|input| input.name == *name)
                    .ok_or_else(Trouble::moved_on)?;
                let asked = keypad::asked_input(input, &self.words);
                let lapsed = |due: &str| self.lapsed(due);
                keypad::show(app, &asked, &self.draft, &lapsed, &self.words);
            }
        }
        self.show_meter(app)
    }

    /// The strip of the open job.
    pub fn strip(&self) -> Result<Strip, Trouble> {
        let state = self.shop.session().and_then(Session::seen);
        let state = state.ok_or_else(Trouble::moved_on)?;
        Ok(page::strip::strip(&state))
    }

    /// Whether a calibration that is due on this day has lapsed.
    pub fn lapsed(&self, due: &str) -> bool {
        self.shop
            .now()
            .is_some_and(|now| due < now.format("%Y-%m-%d").to_string().as_str())
    }
}

impl Desk {
    /// Brings the screen up to date, and shows what was refused and what to do next.
    pub fn answer_for(&mut self, done: Done) {
        if let Ok(app) = self.app() {
            app.global::<Frame>().set_busy(self.shop.busy());
        }
        if let Err(trouble) = done {
            self.tell(&trouble);
        }
    }

    /// Stands on the banner until somebody has understood it.
    pub fn announce(&self, title: &str, text: &str) -> Done {
        let app = self.app()?;
        let frame = app.global::<Frame>();
        frame.set_refusal_title(super::said(title));
        frame.set_refusal_text(super::said(text));
        frame.set_refused(true);
        Ok(())
    }

    fn tell(&mut self, trouble: &Trouble) {
        // Without a window there is nobody to tell.
        let _ = self.announce(&trouble.title(&self.words), &trouble.says(&self.words));
        // The page is brought up to date as far as it goes; the banner says the rest.
        let _ = self.refresh();
    }
}
