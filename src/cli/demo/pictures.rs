//! Pictures of the pages, and a step drawn as the kiosk would.

use super::super::Stop;
use super::{JOB, script};
use crate::kiosk::{Around, Easel, Heading};
use crate::page::{self, Page};
use crate::player::{Play, State};
use crate::session::Session;
use crate::words::Words;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

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

#[derive(Debug, clap::Args)]
pub(in crate::cli) struct PreviewArguments {
    /// The procedure's file in a content folder
    file: PathBuf,
    /// The step's id
    step: String,
    /// Where the picture goes
    #[arg(long, value_name = "PNG", default_value = "step.png")]
    out: PathBuf,
    /// In night colours
    #[arg(long)]
    night: bool,
}

/// Draws one step of a content folder, without a job: figures of the card stand open.
pub(in crate::cli) fn preview(
    arguments: &PreviewArguments,
    content: Option<&Path>,
) -> Result<ExitCode, Stop> {
    let slug = arguments
        .file
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default();
    // A file named from within the content folder has nothing before `procedures`.
    let around = arguments.file.parent().and_then(Path::parent).map(|folder| {
        let here = folder.as_os_str().is_empty();
        if here {
            PathBuf::from(".")
        } else {
            folder.to_owned()
        }
    });
    let folder = content.map(Path::to_owned).or(around);
    let content = super::super::content(folder.as_deref())?;
    let at = script::step_ref(&format!("{slug}.{}", arguments.step));
    let library = content.library()?;
    let job = library
        .jobs
        .iter()
        .find(|job| job.procedures.iter().any(|(p, _)| p.id == at.procedure));
    let job = job.or_else(|| library.jobs.iter().find(|job| job.id.as_str() == JOB));
    let job =
        job.ok_or_else(|| Stop::unusable("no job plays this procedure", "Name it in a job under jobs/."))?;
    let play = Play::new(
        job.clone(),
        library.shared.clone(),
        library.tables.clone(),
        Vec::new(),
    );
    if play.step(&at).is_none() {
        return Err(Stop::unusable(
            format!("there is no step {at}"),
            "Name a step by its id, as it stands in the file.",
        ));
    }
    let page = Page::Step(page::step::page(&State::new(Arc::new(play)), &at, &[]));
    let easel = Easel::new(SIZE.0, SIZE.1).map_err(|error| Stop::unusable(error.to_string(), ""))?;
    easel.set_night(arguments.night);
    let media = |path: &str| library.files.get(&format!("media/{path}")).cloned();
    easel.show(
        &page,
        &Heading {
            job: "preview".into(),
            ..Heading::default()
        },
        &Around {
            media: &media,
            name: &|id| id.to_owned(),
            words: &Words::english(),
        },
    );
    let png = easel
        .png()
        .map_err(|error| Stop::unusable(error.to_string(), ""))?;
    fs::write(&arguments.out, png).map_err(|error| {
        Stop::unusable(
            format!("{}: {error}", arguments.out.display()),
            "Name a place that can be written.",
        )
    })?;
    println!("{}", arguments.out.display());
    Ok(ExitCode::SUCCESS)
}
