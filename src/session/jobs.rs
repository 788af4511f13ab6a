//! The list of jobs: what each is about, who worked on it last, and where it stands. All of it is read from the jobs'
//! own records, so that it is never older than they are.

use super::job::is_practice;
use super::shop::{Session, shown};
use crate::player::fact::Answer;
use crate::player::{Body, Fact};
use crate::procedure::StepRef;
use crate::record::Kind;
use crate::seal::{Envelope, Lines, Opened};
use std::collections::{BTreeSet, VecDeque};
use std::io::BufRead;

/// The card stands among so many first lines of a record.
const FIRST_LINES: usize = 16;
/// Whoever worked last signed one of so many last lines; what the tablet itself writes stands between, and what a
/// supervisor who was called signed.
const LAST_LINES: usize = 32;
/// How an entry that marks a step begins its kind, inside the text of its line.
const MARKED: &[u8] = br#"\"kind\":\"done\""#;

/// A job as the list of jobs shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobLine {
    pub number: String,
    pub title: String,
    /// What it is about, e.g. the car's name; empty before there is a card.
    pub about: String,
    pub opened: String,
    pub closed: Option<String>,
    pub practice: bool,
    /// Where an open job stands; none of a closed one, or where its record cannot be read.
    pub stands: Option<Stands>,
}

/// Where an open job stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stands {
    /// The id of the person who worked on it last, whoever was called since to sign for it; empty where nobody did.
    pub by: String,
    /// When that was.
    pub at: String,
    /// How many steps are or were marked.
    pub marked: usize,
    /// The command of the step that was marked last; empty before the first.
    pub last: String,
}

impl Session {
    /// The jobs and practice runs of this shop: what was worked on last stands first.
    #[must_use]
    pub fn jobs(&self) -> Vec<JobLine> {
        let of_ledger = self.ledger.jobs().map(|job| JobLine {
            number: job.job.clone(),
            title: job.opened.title.as_str().to_owned(),
            about: self.about(&job.job).unwrap_or_default(),
            opened: shown(&job.at),
            closed: job.closed.as_ref().map(|(at, _)| shown(at)),
            practice: false,
            stands: None,
        });
        let numbers = self.shop.jobs().unwrap_or_default();
        let practised = numbers.iter().filter(|number| is_practice(number));
        let mut jobs: Vec<JobLine> = of_ledger
            .chain(practised.filter_map(|number| self.practice(number)))
            .collect();
        for job in jobs.iter_mut().filter(|job| job.closed.is_none()) {
            job.stands = self.stands(&job.number);
        }
        jobs.sort_by(|a, b| (touched(b), &b.number).cmp(&(touched(a), &a.number)));
        jobs
    }

    fn record_of(&self, number: &str) -> Option<Lines<impl BufRead + use<>>> {
        let folder = self.shop.folder();
        let record = folder.reader(&format!("jobs/{number}/record.jsonl")).ok()??;
        Some(Lines::new(record))
    }

    /// What the job is about: the card's `car.name`, or its first name of anything.
    fn about(&self, number: &str) -> Option<String> {
        let lines = self.record_of(number)?.map_while(Result::ok).take(FIRST_LINES);
        let mut cards = lines.filter_map(|line| match fact(line.whole().ok()?)?.body {
            Body::Card(card) => Some(card.answers),
            _ => None,
        });
        let answers = cards.next()?;
        let mut named = answers.iter().filter(|answer| answer.field == "name");
        let car = answers
            .iter()
            .find(|answer| answer.group == "car" && answer.field == "name");
        match &car.or_else(|| named.next())?.answer {
            Answer::Open { shown, .. } => Some(shown.clone()),
            Answer::Committed { .. } => None,
        }
    }

    /// A practice run, which is in no ledger: its first line says what it is.
    pub(super) fn practice(&self, number: &str) -> Option<JobLine> {
        let mut lines = self.record_of(number)?.map_while(Result::ok);
        let fact = fact(lines.next()?.whole().ok()?)?;
        let Body::Opening(opening) = &fact.body else {
            return None;
        };
        let last = lines
            .last()
            .and_then(|line| Opened::read(line.whole().ok()?).ok());
        let closing = last.filter(|last| last.entry.kind == Kind::Closing.as_str());
        Some(JobLine {
            number: number.to_owned(),
            title: opening.title.clone(),
            about: self.about(number).unwrap_or_default(),
            opened: shown(&fact.at),
            closed: closing.map(|last| shown(&last.entry.at)),
            practice: true,
            stands: None,
        })
    }

    /// Where an open job stands, as its record says.
    fn stands(&self, number: &str) -> Option<Stands> {
        let (mut stands, mut marked) = (Stands::default(), BTreeSet::<StepRef>::new());
        let mut tail: VecDeque<Vec<u8>> = VecDeque::new();
        for line in self.record_of(number)?.map_while(Result::ok) {
            let raw = line.whole().ok()?;
            if raw.windows(MARKED.len()).any(|part| part == MARKED)
                && let Body::Done { step, wording } = fact(raw)?.body
            {
                marked.insert(step);
                stands.last = wording.command;
            }
            if tail.len() == LAST_LINES {
                tail.pop_front();
            }
            tail.push_back(raw.to_vec());
        }
        let entries = tail.iter().rev().filter_map(|raw| Opened::read(raw).ok());
        let mut work = entries.filter(|opened| is_of_the_work(&opened.entry));
        if let Some(last) = work.next() {
            (stands.by, stands.at) = (last.entry.by.to_string(), shown(&last.entry.at));
        }
        stands.marked = marked.len();
        Some(stands)
    }
}

/// When somebody last worked on a job.
fn touched(job: &JobLine) -> &str {
    let stands = job.stands.as_ref().filter(|stands| !stands.at.is_empty());
    stands.map_or(&job.opened, |stands| &stands.at)
}

/// Whether somebody at the tablet wrote it. Who was called to see, accept or release the work did none of it.
fn is_of_the_work(entry: &Envelope) -> bool {
    let of_the_called = [
        Kind::Witness,
        Kind::Concession,
        Kind::Release,
        Kind::SendBack,
        Kind::JobRelease,
    ];
    let called = of_the_called.iter().any(|kind| entry.kind == kind.as_str());
    !called && !entry.by.as_str().starts_with("tablet")
}

fn fact(raw: &[u8]) -> Option<Fact> {
    crate::record::fact(Opened::read(raw).ok()?.entry).ok()
}
