//! A whole shop's folder, verified: roster, ledger, and every job that either of them or the folder names.

use super::{Against, Certificate, Files, Finding, Known, Meaning, Report, Standing, verify_job};
use crate::people::{Approvals, Ledger, Roster};
use crate::seal::envelope::is_job;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::io::{self, BufRead};
use std::num::NonZero;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{self, Sender};

/// The most jobs of a shop that are verified.
const MOST_JOBS: usize = 100_000;
/// The most threads that verify; each has one job in memory.
const MOST_THREADS: usize = 8;

/// What verifying a shop came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ShopReport {
    /// The shop, as its roster says.
    pub shop: Option<Arc<str>>,
    /// The fingerprint of its root key.
    pub root: Option<Arc<str>>,
    /// Whether that fingerprint was held against one that is trusted.
    pub anchored: bool,
    /// What was found in roster, ledger and folder.
    pub findings: Vec<Finding>,
    /// Each job's own report, by number.
    pub jobs: Vec<(String, Report)>,
    /// The jobs that the ledger names and whose folders are not there.
    pub absent: Vec<String>,
}

/// Verifies a shop's folder. `each` is told of every job before it is verified: its place and how many there are.
#[must_use]
pub fn verify_shop(
    shop: &dyn Files,
    root: Option<&str>,
    certificate: Option<&Certificate>,
    each: &mut dyn FnMut(usize, usize),
) -> ShopReport {
    let mut report = verify_jobs(shop, root, certificate, None, each);
    for number in report.absent.clone() {
        let what = format!("the ledger opened the job {number}, whose folder is not there");
        report.tell(Meaning::LedgerMismatch, "jobs", what);
    }
    report
}

/// Verifies a folder in a shop's form that need not hold all of the shop's jobs, such as a copy of some of them;
/// of these all, or those that are wanted. Jobs that the ledger names besides are listed as absent, and no fault.
#[must_use]
pub fn verify_jobs(
    shop: &dyn Files,
    root: Option<&str>,
    certificate: Option<&Certificate>,
    wanted: Option<&BTreeSet<String>>,
    each: &mut dyn FnMut(usize, usize),
) -> ShopReport {
    let mut report = ShopReport::default();
    let Some(roster) = report.roster(shop, root) else {
        return report;
    };
    let ledger = report.ledger(shop, &roster);
    let approvals = report.approvals(shop, &roster);
    let mut numbers = report.numbers(shop, &ledger);
    numbers.retain(|number| wanted.is_none_or(|wanted| wanted.contains(number)));
    let known = Known::default();
    let against = Against {
        root,
        roster: Some(&roster),
        approvals: Some(&approvals),
        ledger: Some(&ledger),
        certificate,
        known: Some(&known),
    };
    let unknown = |number| (number, Report::default());
    report.jobs = numbers.into_iter().map(unknown).collect();
    side_by_side(shop, &mut report.jobs, &against, each);
    report.names();
    report
}

/// What a worker tells.
enum Told {
    /// It takes another job.
    Begun,
    /// The job at this place came to this.
    Done(usize, Report),
}

/// Fills in the jobs' reports, made by as many threads as there are cores. `each` is told of every job as it is begun.
fn side_by_side(
    shop: &dyn Files,
    jobs: &mut [(String, Report)],
    against: &Against,
    each: &mut dyn FnMut(usize, usize),
) {
    let cores = std::thread::available_parallelism().map_or(1, NonZero::get);
    let numbers: Vec<String> = jobs.iter().map(|(number, _)| number.clone()).collect();
    let (next, (tell, told)) = (AtomicUsize::new(0), mpsc::channel());
    let work = |tell: Sender<Told>| {
        loop {
            let place = next.fetch_add(1, Ordering::Relaxed);
            let Some(number) = numbers.get(place) else {
                return;
            };
            // Whoever hears it is there until all workers are done, or is gone with a panic of its own.
            let _ = tell.send(Told::Begun);
            let report = verify_job(&*below(shop, number), against).report;
            let _ = tell.send(Told::Done(place, report));
        }
    };
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores.min(numbers.len()).min(MOST_THREADS))
            .map(|_| {
                let tell = tell.clone();
                scope.spawn(|| work(tell))
            })
            .collect();
        drop(tell);
        let mut begun = 0;
        for told in told {
            match told {
                Told::Begun => {
                    each(begun, numbers.len());
                    begun += 1;
                }
                Told::Done(place, report) => jobs[place].1 = report,
            }
        }
        for worker in workers {
            if let Err(panic) = worker.join() {
                std::panic::resume_unwind(panic);
            }
        }
    });
}

impl ShopReport {
    /// Whether neither the shop nor any of its jobs is broken.
    #[must_use]
    pub fn whole(&self) -> bool {
        !self.findings.iter().any(|finding| finding.rule.breaks())
            && self.jobs.iter().all(|(_, job)| job.whole())
    }

    fn tell(&mut self, rule: Meaning, place: &str, what: impl Into<String>) {
        self.findings.push(Finding::new(rule, place, what));
    }

    fn roster(&mut self, shop: &dyn Files, root: Option<&str>) -> Option<Roster> {
        const FILE: &str = "roster.jsonl";
        let reader = self.reader(shop, FILE)?;
        let (roster, findings) = Roster::read(reader);
        self.findings.extend(
            findings
                .into_iter()
                .map(|finding| Finding::of_people(FILE, finding)),
        );
        let roster = roster?;
        let found = roster.root_fingerprint();
        if let Some(expected) = root.filter(|expected| **expected != found) {
            self.tell(
                Meaning::RosterMismatch,
                FILE,
                format!("its root key is {found}, not the trusted {expected}"),
            );
        }
        self.anchored = root == Some(found.as_str());
        self.shop = Some(roster.shop().into());
        self.root = Some(found.into());
        Some(roster)
    }

    fn ledger(&mut self, shop: &dyn Files, roster: &Roster) -> Ledger {
        const FILE: &str = "ledger.jsonl";
        let Some(reader) = self.reader(shop, FILE) else {
            return Ledger::new();
        };
        let (ledger, findings) = Ledger::read(reader, roster);
        self.findings.extend(
            findings
                .into_iter()
                .map(|finding| Finding::of_people(FILE, finding)),
        );
        ledger
    }

    /// A shop that never approved content has no such file, or an empty one.
    fn approvals(&mut self, shop: &dyn Files, roster: &Roster) -> Approvals {
        const FILE: &str = "approvals.jsonl";
        if !matches!(shop.reader(FILE), Ok(None))
            && let Some(reader) = self.reader(shop, FILE)
        {
            let (approvals, findings) = Approvals::read(reader, roster);
            let findings = findings
                .into_iter()
                .map(|finding| Finding::of_people(FILE, finding));
            self.findings.extend(findings);
            return approvals;
        }
        Approvals::default()
    }

    fn reader<'a>(&mut self, shop: &'a dyn Files, file: &str) -> Option<Box<dyn BufRead + 'a>> {
        match shop.reader(file) {
            Ok(Some(reader)) => return Some(reader),
            Ok(None) => self.tell(Meaning::Unreadable, file, "it is not there"),
            Err(error) => self.tell(Meaning::Unreadable, file, error.to_string()),
        }
        None
    }

    /// The numbers of all jobs: those that have a folder. Those that the ledger has and the folder lacks are kept.
    fn numbers(&mut self, shop: &dyn Files, ledger: &Ledger) -> Vec<String> {
        let names = shop.names("jobs", MOST_JOBS).unwrap_or_else(|error| {
            self.tell(Meaning::Unreadable, "jobs", error.to_string());
            Vec::new()
        });
        // Others are what an interruption left, which the next start of the program clears.
        let folders: BTreeSet<String> = names.into_iter().filter(|name| is_job(name)).collect();
        let absent = ledger.jobs().filter(|job| !folders.contains(&job.job));
        self.absent = absent.map(|job| job.job.clone()).collect();
        folders.into_iter().collect()
    }

    /// Each job's folder bears the number that its record has.
    fn names(&mut self) {
        for (number, job) in &self.jobs {
            if let Some(found) = job.job.as_ref().filter(|found| *found != number) {
                let what = format!("the folder holds the record of the job {found}");
                let finding = Finding::new(Meaning::BadOpening, format!("jobs/{number}"), what);
                self.findings.push(finding);
            }
        }
    }

    /// `{"whole", "shop", "root", "anchored", "faults", "remarks", "jobs": [a job's report …]}`.
    ///
    /// `faults` and `remarks` are those of all, the jobs' with their folder before their place.
    #[must_use]
    pub fn to_json(&self) -> Value {
        let list = |breaks: bool| -> Value {
            let wanted = self
                .all()
                .into_iter()
                .filter(|finding| finding.rule.breaks() == breaks);
            wanted.map(|finding| finding.to_json()).collect::<Vec<_>>().into()
        };
        json!({
            "whole": self.whole(),
            "shop": self.shop.as_deref(),
            "root": self.root.as_deref(),
            "anchored": self.anchored,
            "faults": list(true),
            "remarks": list(false),
            "jobs": self.jobs.iter().map(|(_, job)| job.to_json()).collect::<Vec<_>>(),
        })
    }

    fn all(&self) -> Vec<Finding> {
        let of_jobs = self.jobs.iter().flat_map(|(number, job)| {
            job.findings.iter().map(move |finding| Finding {
                place: format!("jobs/{number}/{}", finding.place),
                ..finding.clone()
            })
        });
        self.findings.iter().cloned().chain(of_jobs).collect()
    }

    /// The same in words, for a person: what is broken, then how many jobs are whole.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut text = String::new();
        let shop = self.shop.as_deref().unwrap_or("unknown");
        let verdict = if self.whole() { "whole" } else { "NOT WHOLE" };
        // Writing to a String cannot fail.
        let _ = writeln!(text, "Shop {shop}: {verdict}");
        let _ = writeln!(text, "  root key {}", self.root.as_deref().unwrap_or("unknown"));
        let count = |standing: Standing| {
            self.jobs
                .iter()
                .filter(|(_, job)| job.standing == standing)
                .count()
        };
        let [open, closed, practice] = [Standing::Open, Standing::Closed, Standing::Practice].map(count);
        let _ = writeln!(text, "  jobs: {closed} closed, {open} open, {practice} practice");
        for finding in self.all() {
            let weight = if finding.rule.breaks() { "fault" } else { "remark" };
            let _ = writeln!(text, "{weight}: {finding}\n  {}", finding.rule.advice());
        }
        text
    }
}

/// The folder of a job.
fn below<'a>(shop: &'a dyn Files, number: &str) -> Box<dyn Files + 'a> {
    let prefix = format!("jobs/{number}");
    let found = shop.below(&prefix);
    found.unwrap_or_else(|| Box::new(Below { shop, prefix }))
}

/// A folder inside the shop's.
struct Below<'a> {
    shop: &'a dyn Files,
    prefix: String,
}

impl Files for Below<'_> {
    fn reader(&self, name: &str) -> io::Result<Option<Box<dyn BufRead + '_>>> {
        self.shop.reader(&format!("{}/{name}", self.prefix))
    }

    fn names(&self, folder: &str, most: usize) -> io::Result<Vec<String>> {
        self.shop.names(&format!("{}/{folder}", self.prefix), most)
    }
}
