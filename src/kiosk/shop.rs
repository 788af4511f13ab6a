//! What the desk asks of the session.

use super::JobState;
use super::desk::{Desk, Done, Trouble};
use crate::player::{self, Actor, Event, Play, State};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What an opened key is wanted for.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Wanted {
    SignOn,
    Act(Event),
}

/// A person of the roster.
#[derive(Clone, Debug)]
pub(super) struct PersonLine {
    pub id: String,
    pub name: String,
    pub roles: String,
    pub supervisor: bool,
}

/// A job of the shop.
#[derive(Clone, Debug, Default)]
pub(super) struct JobLine {
    pub number: String,
    pub title: String,
    pub car: String,
    pub state: JobState,
    pub progress: f32,
    pub progress_text: String,
    pub opened: String,
    pub whole: bool,
    pub facts: Vec<(String, String)>,
}

/// A kind of job that can be begun.
#[derive(Clone, Debug)]
pub(super) struct Kind {
    pub id: String,
    pub title: String,
    pub note: String,
}

pub(super) struct Shop {
    state: Option<State>,
    person: Option<PersonLine>,
    files: BTreeMap<String, Vec<u8>>,
    play: Arc<Play>,
}

impl Shop {
    pub fn memory(files: BTreeMap<String, Vec<u8>>) -> Self {
        let (library, report) = crate::procedure::load(files.clone());
        let library = library.unwrap_or_else(|| panic!("{report:?}"));
        let play = Arc::new(Play::new(library.jobs[0].clone(), library.shared, library.tables, Vec::new()));
        Self { state: None, person: None, files, play }
    }
    pub fn state(&self) -> Option<&State> { self.state.as_ref() }
    pub fn person(&self) -> Option<&PersonLine> { self.person.as_ref() }
    pub fn name(&self, id: &str) -> String {
        self.people().into_iter().find(|p| p.id == id).map_or(id.to_owned(), |p| p.name)
    }
    pub fn people(&self) -> Vec<PersonLine> {
        vec![
            PersonLine { id: "ines.varga".into(), name: "Ines Varga".into(), roles: "Apprentice".into(), supervisor: false },
            PersonLine { id: "tomasz.okafor".into(), name: "Tomasz Okafor".into(), roles: "Supervisor, author".into(), supervisor: true },
        ]
    }
    pub fn put_away(&mut self) { self.state = None; }
    pub fn media(&self, path: &str) -> Option<Vec<u8>> { self.files.get(&format!("media/{path}")).cloned() }
    pub fn today(&self) -> String { "2026-11-25".into() }
    pub fn clock(&self) -> String { "10:42".into() }
    pub fn stir(&mut self) {}
    pub fn title(&self) -> String { "Alder Quay Motor Works".into() }
    pub fn job_title(&self) -> String {
        let Some(opening) = self.state.as_ref().and_then(State::opening) else { return String::new() };
        format!("{} · {}", opening.number, opening.title)
    }
    pub fn sign_off(&mut self) { self.person = None; self.state = None; }
    pub fn jobs(&self) -> Vec<JobLine> { Vec::new() }
    pub fn kinds(&self) -> Vec<Kind> {
        vec![Kind { id: self.play.job.id.to_string(), title: self.play.job.title.clone(), note: self.play.job.about.clone() }]
    }
    pub fn aid(&self) -> String { self.play.job.caution.clone() }
    pub fn open(&mut self, _: &str) -> Done { Ok(()) }
    fn actor(&self, id: &str) -> Actor {
        Actor { id: id.to_owned(), supervisor: id.starts_with("tomasz"), worker: id != "tablet", tablet: id == "tablet",
            at: chrono::DateTime::parse_from_rfc3339("2026-11-25T10:42:00+01:00").unwrap() }
    }
    pub fn start(&mut self, kind: &str, practice: bool) -> Done {
        let opening = player::fact::Opening { number: "2026-0001".into(), job: kind.into(), title: self.play.job.title.clone(), revision: 1, practice,
            language: "en".into(), program: String::new(), shop: self.title(), roster_head: String::new(), roster_lines: 1, content: vec![], caution: String::new() };
        self.state = Some(State::new(self.play.clone()));
        self.advance("tablet", Event::Open(opening))
    }
    pub fn advance(&mut self, by: &str, event: Event) -> Done {
        let state = self.state.as_ref().unwrap();
        let (next, _) = player::advance(state, &self.actor(by), event).map_err(|r| Trouble::Refused(r.to_string()))?;
        self.state = Some(next);
        Ok(())
    }
}

impl Desk {
    pub(super) fn people(&self) -> Vec<PersonLine> { self.shop.people() }
    pub(super) fn person_id(&self) -> Option<String> { self.shop.person().map(|p| p.id.clone()) }
    pub(super) fn did_work(&self, id: &str) -> bool {
        self.shop.state().is_some_and(|s| s.facts().iter().any(|f| f.by == id))
    }
    pub(super) fn tables(&self) -> crate::table::Tables { self.shop.play.tables.clone() }
    pub(super) fn keep_answers(&mut self) -> Done { Ok(()) }
    pub(super) fn take_answers(&mut self) { self.answers.clear(); self.finger = Default::default(); }
    pub(super) fn act(&mut self, event: Event) -> Done {
        let by = self.person_id().ok_or_else(Trouble::nobody)?;
        self.shop.advance(&by, event)?;
        self.went_on()
    }
    pub(super) fn act_with(&mut self, signer: String, secret: String, event: Event) -> Done {
        self.open_key(signer, secret, Wanted::Act(event))
    }
    pub(super) fn open_key(&mut self, id: String, secret: String, wanted: Wanted) -> Done {
        if secret != "open sesame" {
            let fault = "That passphrase does not open the key.".to_owned();
            self.welcome.fault = fault.clone();
            self.sheet_fault(fault);
            return self.refresh();
        }
        match wanted {
            Wanted::SignOn => { self.shop.person = self.people().into_iter().find(|p| p.id == id); self.refresh() }
            Wanted::Act(event) => { self.shop.advance(&id, event)?; self.close_sheet()?; self.went_on() }
        }
    }
    pub(super) fn verify(&mut self) -> Done { self.refresh() }
    pub(super) fn certificate_again(&mut self) -> Done { self.refresh() }
}
