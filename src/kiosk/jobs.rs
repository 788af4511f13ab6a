//! The jobs of the shop.

use super::desk::{Desk, Done, Overlay, Trouble, Wired};
use super::shop::JobLine;
use super::{App, Choice, Fact, JobRow, JobState, JobsPage};
use slint::{ComponentHandle, SharedString};

/// Which jobs are listed, and which is chosen.
#[derive(Clone, Debug, Default)]
pub(super) struct List {
    pub shown: JobState,
    pub chosen: usize,
    pub starting: bool,
    /// Read from the shop's folder when the list was last opened.
    pub lines: Vec<JobLine>,
}

/// Shows the list.
pub(super) fn show(app: &App, desk: &mut Desk) {
    let view = app.global::<JobsPage>();
    desk.list.lines = desk.shop.jobs();
    let count = |state: JobState| desk.list.lines.iter().filter(|line| line.state == state).count() as i32;
    view.set_open_count(count(JobState::Open));
    view.set_closed_count(count(JobState::Closed));
    view.set_practice_count(count(JobState::Practice));
    view.set_shown(desk.list.shown);
    let lines: Vec<&JobLine> = shown(&desk.list);
    let chosen = lines.get(desk.list.chosen);
    view.set_rows(super::list(lines.iter().map(|line| row(line))));
    view.set_chosen(desk.list.chosen as i32);
    let facts = chosen.map_or(&[][..], |line| &line.facts);
    view.set_facts(super::list(facts.iter().map(|(label, value)| Fact { label: label.into(), value: value.into() })));
    view.set_open_text(match chosen.map(|line| line.state) {
        Some(JobState::Closed) => "Look at this job",
        _ => "Go on with this job",
    }.into());
    view.set_can_open(chosen.is_some());
    view.set_kinds(super::list(desk.shop.kinds().into_iter().map(|kind| Choice {
        key: kind.id.into(),
        text: kind.title.into(),
        note: kind.note.into(),
        enabled: true,
    })));
    view.set_starting(desk.list.starting);
    view.set_caution(desk.shop.aid().into());
}

fn shown(list: &List) -> Vec<&JobLine> {
    list.lines.iter().filter(|line| line.state == list.shown).collect()
}

fn row(line: &JobLine) -> JobRow {
    JobRow {
        number: line.number.as_str().into(),
        title: line.title.as_str().into(),
        car: line.car.as_str().into(),
        state: line.state,
        state_text: "".into(),
        progress: line.progress,
        progress_text: line.progress_text.as_str().into(),
        opened: line.opened.as_str().into(),
        whole: line.whole,
        has_certificate: false,
    }
}

/// Joins the page's controls to the desk.
pub(super) fn wire(app: &App, desk: &Wired) {
    let view = app.global::<JobsPage>();
    view.on_show(desk.on_with(|desk, state: JobState| desk.list_jobs(state)));
    view.on_choose(desk.on_with(|desk, place: i32| desk.choose_job(place)));
    view.on_open(desk.on(Desk::open_job));
    view.on_record(desk.on(Desk::open_record));
    let starting = desk.clone();
    view.on_begin_new(starting.on(Desk::begin_new));
    let start = desk.clone();
    view.on_start(move |kind: SharedString, practice: bool| start.run(|desk| desk.start_job(&kind, practice)));
}

impl Desk {
    /// The open, the closed or the practice jobs.
    pub(super) fn list_jobs(&mut self, state: JobState) -> Done {
        self.list.shown = state;
        self.list.chosen = 0;
        self.refresh()
    }

    /// A job of the list.
    pub(super) fn choose_job(&mut self, place: i32) -> Done {
        self.list.chosen = usize::try_from(place).unwrap_or_default();
        self.refresh()
    }

    /// A new job is to be chosen.
    pub(super) fn begin_new(&mut self) -> Done {
        self.list.starting = true;
        self.refresh()
    }

    fn chosen_number(&self) -> Result<String, Trouble> {
        let lines = shown(&self.list);
        let line = lines.get(self.list.chosen);
        line.map(|line| line.number.clone()).ok_or_else(|| Trouble::Refused("Choose a job first.".to_owned()))
    }

    /// On with the chosen job, at the step where it stood.
    pub(super) fn open_job(&mut self) -> Done {
        let number = self.chosen_number()?;
        self.shop.open(&number)?;
        self.take_answers();
        self.went_on()
    }

    /// The record of the chosen job.
    pub(super) fn open_record(&mut self) -> Done {
        self.open_job()?;
        self.over(Overlay::Record)
    }

    /// A new job begins with its card.
    pub(super) fn start_job(&mut self, kind: &str, practice: bool) -> Done {
        self.shop.start(kind, practice)?;
        self.list.starting = false;
        self.list.shown = if practice { JobState::Practice } else { JobState::Open };
        self.take_answers();
        self.went_on()
    }
}
