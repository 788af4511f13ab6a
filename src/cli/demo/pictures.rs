//! Pictures of the pages.

use crate::kiosk::{Around, Easel, Heading};
use crate::page::Page;
use crate::session::Session;
use crate::words::Words;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// The width and height of a picture: a 10-inch tablet.
const SIZE: (u32, u32) = (1280, 800);

/// Pictures of a job's pages as they come: the first of each kind, of some the second as well.
pub(super) struct Pictures {
    folder: PathBuf,
    easel: Easel,
    taken: BTreeSet<String>,
}

impl Pictures {
    pub(super) fn new(folder: &Path, words: &Words) -> Result<Self, String> {
        fs::create_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
        let easel = Easel::new(SIZE.0, SIZE.1).map_err(|error| error.to_string())?;
        easel.speak(words);
        Ok(Self {
            folder: folder.to_owned(),
            easel,
            taken: BTreeSet::new(),
        })
    }

    /// Draws what is on the screen before the next event, if its kind was not drawn yet.
    pub(super) fn before(&mut self, session: &Session) -> Result<(), String> {
        let Some(page) = session.page() else { return Ok(()) };
        let Some(name) = self.name(&page) else {
            return Ok(());
        };
        self.show(session, &page);
        self.keep(&name)
    }

    /// Draws the closed job, by day and by night.
    pub(super) fn closed(&mut self, session: &Session) -> Result<(), String> {
        self.before(session)?;
        if let Some(page) = session.page() {
            self.easel.set_night(true);
            self.show(session, &page);
            self.keep("closed-night")?;
            self.easel.set_night(false);
        }
        Ok(())
    }

    /// Draws the places that are reached by choice, from a session with a job open at a reading.
    pub(super) fn tour(self, session: Session) -> Result<(), String> {
        let folder = self.folder;
        crate::kiosk::tour(&self.easel, session, &mut |name, png| {
            let path = folder.join(format!("{name}.png"));
            fs::write(&path, png).map_err(|error| format!("{}: {error}", path.display()))
        })
    }

    fn name(&mut self, page: &Page) -> Option<String> {
        let kind = match page {
            Page::Card(_) => "card",
            Page::Before(_) => "before",
            Page::Step(step) if !step.to_acknowledge.is_empty() => "hazards",
            Page::Step(step) if step.picture.is_some() && !step.readings.is_empty() => "step-drawn-reading",
            Page::Step(step) if !step.figures.is_empty() => "step-figure",
            Page::Step(step) if !step.readings.is_empty() => "step-reading",
            Page::Step(_) => "step",
            Page::Deviation(_) => "deviation",
            Page::Question(_) => "question",
            Page::Witness(_) => "witness",
            Page::Hold(_) => "hold",
            Page::CloseOut(_) => "close-out",
            Page::End(end) if end.signed_off => "job-release",
            Page::End(_) => "sign-off",
            Page::Closed(_) => "closed",
        };
        let second = matches!(kind, "deviation" | "hold" | "step-figure" | "step-drawn-reading");
        let names = std::iter::once(kind.to_owned()).chain(second.then(|| format!("{kind}-2")));
        names.into_iter().find(|name| self.taken.insert(name.clone()))
    }

    fn show(&self, session: &Session, page: &Page) {
        let Some(job) = session.job() else { return };
        let words = session.words();
        let (person, role) = session.person().map_or_else(Default::default, |(id, name)| {
            let line = session.people().into_iter().find(|line| line.id == id);
            (
                name,
                line.map_or_else(String::new, |line| line.roles_said(&words)),
            )
        });
        let heading = Heading {
            shop: session.shop_name().to_owned(),
            job: job.number().to_owned(),
            person,
            role,
            clock: session.now().format("%H:%M").to_string(),
            practice: job.state().practice(),
        };
        let around = Around {
            media: &|path| job.picture(path),
            name: &|id| session.name_of(id),
            words: &words,
        };
        self.easel.show(page, &heading, &around);
    }

    fn keep(&self, name: &str) -> Result<(), String> {
        let png = self.easel.png().map_err(|error| error.to_string())?;
        let path = self.folder.join(format!("{name}.png"));
        fs::write(&path, png).map_err(|error| format!("{}: {error}", path.display()))
    }
}
