//! The jobs of the shop.

use super::desk::{Desk, Done, Trouble};
use super::finger::Finger;
use super::wired::Wired;
use super::{App, Choice, Fact, JobRow, JobState, JobsPage};
use crate::procedure::{Job, Library};
use crate::say;
use crate::session::{JobLine, Session};
use crate::to_say;
use crate::words::Language;
use slint::{ComponentHandle, SharedString};

/// Which jobs are listed, and which is chosen.
#[derive(Clone, Debug, Default)]
pub(super) struct List {
    pub shown: JobState,
    pub chosen: usize,
    pub starting: bool,
    /// Read from the shop's folder when the list was last opened; none until then.
    pub lines: Option<Vec<JobLine>>,
}

/// Shows the list and what can be begun.
pub(super) fn show(app: &App, desk: &mut Desk) {
    let lines = desk.list.lines.take().unwrap_or_else(|| desk.offered());
    desk.list.lines = Some(lines);
    show_list(app, desk);
    show_kinds(app, desk);
}

fn show_list(app: &App, desk: &Desk) {
    let (list, words) = (&desk.list, &desk.words);
    let view = app.global::<JobsPage>();
    let all = list.lines.as_deref().unwrap_or_default();
    let count = |wanted: JobState| all.iter().filter(|line| state(line) == wanted).count() as i32;
    view.set_open_count(count(JobState::Open));
    view.set_closed_count(count(JobState::Closed));
    view.set_practice_count(count(JobState::Practice));
    view.set_shown(list.shown);
    let lines = shown(list);
    let chosen = lines.get(list.chosen).copied();
    let rows = super::list(lines.iter().copied().map(|line| row(line, desk)));
    super::fill(view.get_rows(), rows, |rows| view.set_rows(rows));
    view.set_chosen(list.chosen as i32);
    let rows = super::list(chosen.map_or_else(Vec::new, |line| facts(line, desk)));
    super::fill(view.get_facts(), rows, |rows| view.set_facts(rows));
    let closed = chosen.is_some_and(|line| line.closed.is_some());
    let open_text = if closed {
        to_say!("Look at this job")
    } else {
        to_say!("Go on with this job")
    };
    view.set_open_text(words.say(open_text).into());
    view.set_can_open(chosen.is_some());
}

fn show_kinds(app: &App, desk: &Desk) {
    let view = app.global::<JobsPage>();
    view.set_starting(desk.list.starting);
    if !desk.list.starting {
        return;
    }
    let session = desk.shop.session();
    let library = session.and_then(|session| session.content().library().ok());
    let jobs = library.map_or_else(Vec::new, |library| said(library, desk.words.language()));
    let kinds = jobs.iter().map(|job| Choice {
        key: job.id.as_str().into(),
        text: job.title.as_str().into(),
        note: say!(
            desk.words,
            "{n} procedure, revision {revision}" | "{n} procedures, revision {revision}",
            n = job.procedures.len() as u64,
            revision = job.revision
        )
        .into(),
        enabled: true,
    });
    super::fill(view.get_kinds(), super::list(kinds), |rows| view.set_kinds(rows));
    let clock = desk.timekeeper.as_ref().zip(desk.shop.now());
    let clock = clock.and_then(|(keeper, now)| keeper.says(now, &desk.words));
    let lines: Vec<String> = clock.into_iter().chain([cautions(&jobs)]).collect();
    view.set_caution(lines.join("\n\n").into());
}

/// The jobs of the content in a language, as far as it says them.
fn said(library: &Library, language: &Language) -> Vec<Job> {
    let one = |job: &Job| {
        let known = library.shared.languages.job(language, &job.id);
        known.map_or_else(|| job.clone(), |(job, _)| job)
    };
    library.jobs.iter().map(one).collect()
}

/// What each kind of job says of itself; its title stands before it where there are several.
fn cautions(jobs: &[Job]) -> String {
    match jobs {
        [job] => job.caution.clone(),
        _ => {
            let of = |job: &Job| format!("{}: {}", job.title, job.caution);
            jobs.iter().map(of).collect::<Vec<_>>().join("\n")
        }
    }
}

fn state(line: &JobLine) -> JobState {
    match (line.practice, &line.closed) {
        (true, _) => JobState::Practice,
        (false, Some(_)) => JobState::Closed,
        (false, None) => JobState::Open,
    }
}

fn shown(list: &List) -> Vec<&JobLine> {
    let all = list.lines.as_deref().unwrap_or_default();
    all.iter().filter(|line| state(line) == list.shown).collect()
}

/// Where an open job stands, in a line.
fn standing(line: &JobLine, desk: &Desk) -> Option<String> {
    let stands = line.stands.as_ref().filter(|stands| !stands.by.is_empty())?;
    Some(say!(
        desk.words,
        "{name}, {at}: {n} step marked" | "{name}, {at}: {n} steps marked",
        n = stands.marked as u64,
        name = desk.name(&stands.by),
        at = stands.at
    ))
}

fn row(line: &JobLine, desk: &Desk) -> JobRow {
    let words = &desk.words;
    let closed = line.closed.is_some();
    JobRow {
        number: line.number.as_str().into(),
        title: line.title.as_str().into(),
        car: if line.about.is_empty() {
            line.number.as_str()
        } else {
            line.about.as_str()
        }
        .into(),
        state: state(line),
        progress: if closed { 1.0 } else { 0.0 },
        progress_text: line
            .closed
            .as_ref()
            .map_or_else(
                || standing(line, desk).unwrap_or_else(|| say!(words, "Opened {at}", at = line.opened)),
                |at| say!(words, "Closed {at}", at = at),
            )
            .into(),
        opened: line.opened.as_str().into(),
        whole: true,
        ..JobRow::default()
    }
}

fn facts(line: &JobLine, desk: &Desk) -> Vec<Fact> {
    let words = &desk.words;
    let fact = |label: &str, value: &str| Fact {
        label: label.into(),
        value: value.into(),
    };
    let mut facts = vec![fact(words.say("Work"), &line.title)];
    if !line.about.is_empty() {
        facts.insert(0, fact(words.say("On"), &line.about));
    }
    facts.push(fact(words.say("Opened"), &line.opened));
    facts.extend(line.closed.as_ref().map(|at| fact(words.say("Closed"), at)));
    if let Some(stands) = &line.stands {
        let by = format!("{}, {}", desk.name(&stands.by), stands.at);
        facts.extend((!stands.by.is_empty()).then(|| fact(words.say("Last"), &by)));
        facts.extend((!stands.last.is_empty()).then(|| fact(words.say("Done"), &stands.last)));
    }
    if line.practice {
        facts.push(fact(words.say("Practice"), words.say("Never counts as proof")));
    }
    facts
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
    view.on_start(move |kind: SharedString, practice: bool| {
        start.run(|desk| desk.start_job(&kind, practice))
    });
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
        if self.timekeeper.is_some() {
            self.ask_after_clock()?;
        }
        self.refresh()
    }

    fn chosen_number(&self) -> Result<String, Trouble> {
        let lines = shown(&self.list);
        let line = lines.get(self.list.chosen);
        line.map(|line| line.number.clone()).ok_or(Trouble::NoneChosen)
    }

    /// On with the chosen job, at the step where it stood.
    pub(super) fn open_job(&mut self) -> Done {
        let number = self.chosen_number()?;
        let before = self.worked_before(&number);
        self.finger = Finger::default();
        let work = move |session: &mut Session| {
            session.resume(&number)?;
            session.remember_job()
        };
        self.beside(work, move |desk, result| {
            result?;
            desk.went_on()?;
            desk.take_up()?;
            before.map_or(Ok(()), |told| desk.tell_hand_over(&told))
        })
    }

    /// The jobs, the one that this person had open last in front of all.
    fn offered(&self) -> Vec<JobLine> {
        let mut lines = self.shop.jobs();
        let session = self.shop.session();
        let last = session.and_then(|session| session.last_job(&session.person()?.0));
        lines.sort_by_key(|line| Some(line.number.as_str()) != last);
        lines
    }

    /// Who worked on this job last, and when, where that was somebody else.
    fn worked_before(&self, number: &str) -> Option<(String, String)> {
        let lines = self.list.lines.as_deref().unwrap_or_default();
        let line = lines.iter().find(|line| line.number == number)?;
        let stands = line.stands.as_ref().filter(|stands| !stands.by.is_empty())?;
        let other = self.person_id().is_some_and(|id| id != stands.by);
        other.then(|| (self.name(&stands.by), stands.at.clone()))
    }

    /// Says whose work is being taken over. What each of them does stands in the record under their own name.
    fn tell_hand_over(&self, (name, at): &(String, String)) -> Done {
        let title = say!(self.words, "You take over from {name}", name = name);
        let text = say!(
            self.words,
            "They worked on this job last, at {at}. Look at what is done before you go on. From here on the record names you.",
            at = at
        );
        self.announce(&title, &text)
    }

    /// The record of the chosen job.
    pub(super) fn open_record(&mut self) -> Done {
        let number = self.chosen_number()?;
        self.show_record(number)
    }

    /// A new job begins with its card.
    pub(super) fn start_job(&mut self, kind: &str, practice: bool) -> Done {
        let kind = kind.to_owned();
        self.beside(
            move |session| {
                session.start(&kind, practice)?;
                session.remember_job()
            },
            move |desk, result| {
                result?;
                desk.list = List {
                    shown: if practice {
                        JobState::Practice
                    } else {
                        JobState::Open
                    },
                    ..List::default()
                };
                desk.finger = Finger::default();
                desk.went_on()
            },
        )
    }
}
