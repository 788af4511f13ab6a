//! Closing a job: the tablet's entry, the ledger's line, the extract, the certificate; and the same
//! again at start-up for whatever an interruption left between them.

use super::error::SessionError;
use super::job::{OpenJob, write};
use super::shop::{Session, read_log};
use crate::people::LedgerEntry;
use crate::people::ledger::{JobClosed, extract};
use crate::player::{Event, Prompt};
use crate::say;
use std::io::Read;

/// How an entry of the release begins its kind, inside the text of its line.
const RELEASED: &str = r#"\"kind\":\"job-release\""#;

impl Session {
    /// Closes the job on the screen, after the supervisor's release.
    pub(super) fn close_job(&mut self) -> Result<(), SessionError> {
        let mut job = self.job.take().ok_or(SessionError::NoJob)?;
        let closed = self.close(&mut job);
        self.job = Some(job);
        closed
    }

    fn close(&mut self, job: &mut OpenJob) -> Result<(), SessionError> {
        if matches!(job.state.prompt(), Prompt::Close) {
            let actor = self.actor(&self.tablet.0);
            let (id, key) = &self.tablet;
            write(job, &actor, id, key, Event::Close)?;
        }
        self.settle(job)
    }

    /// Ledger, extract, roster and certificate of a closed record. A practice run is not in the ledger.
    fn settle(&mut self, job: &mut OpenJob) -> Result<(), SessionError> {
        let open_in_ledger = self
            .ledger
            .job(&job.number)
            .is_some_and(|known| known.closed.is_none());
        if open_in_ledger && let Some(head) = job.head {
            let closed = JobClosed {
                final_hash: head.hash,
                entries: head.n + 1,
            };
            self.enter(&job.number, &LedgerEntry::Closed(closed))?;
        }
        job.folder.write_roster(&read_log(self.shop.roster())?)?;
        job.folder
            .write_allowed_signers(&self.roster.to_allowed_signers().to_string())?;
        if !job.state.practice() {
            let lines = self.extract_of(&job.number)?;
            job.folder.write_ledger_extract(&lines)?;
        }
        self.write_certificate(job)
    }

    /// The ledger's lines of a job.
    fn extract_of(&mut self, number: &str) -> Result<Vec<u8>, SessionError> {
        let ledger = self.shop.ledger().reader()?;
        extract(ledger, number).map_err(|error| SessionError::Broken {
            file: "ledger".into(),
            what: error.to_string(),
        })
    }

    /// Makes the certificate of a job again.
    ///
    /// # Errors
    /// There is no such job, or its record does not hold.
    pub fn report(&mut self, number: &str) -> Result<std::path::PathBuf, SessionError> {
        let job = self.load_job(number)?;
        self.write_certificate(&job)?;
        Ok(job.path().join("certificate.pdf"))
    }

    #[cfg(feature = "certificate")]
    fn write_certificate(&mut self, job: &OpenJob) -> Result<(), SessionError> {
        let (lines, last) = (self.extract_of(&job.number)?, job.head.map(|head| head.hash));
        let seals = super::certificate::seals(last, &lines, &self.roster);
        let pdf = super::certificate::make(&job.state, seals, job.folder.folder())?;
        job.folder.write_certificate(&pdf)?;
        Ok(())
    }

    #[cfg(not(feature = "certificate"))]
    fn write_certificate(&mut self, _: &OpenJob) -> Result<(), SessionError> {
        Ok(())
    }

    /// Finishes openings and closings that an interruption left half done.
    pub(super) fn finish_interrupted(&mut self) -> Result<(), SessionError> {
        for number in self.shop.jobs()? {
            if self.ledger.job(&number).is_none() && !super::job::is_practice(&number) {
                self.adopt(&number)?;
            }
        }
        for number in self.shop.jobs()? {
            if !self.is_settled(&number)? && self.may_be_due(&number)? {
                // A job that does not load stays as it is: `verify` tells why, and other jobs go on.
                if let Ok(mut job) = self.load_job(&number) {
                    self.finish_closing(&mut job)?;
                }
            }
        }
        Ok(())
    }

    /// Whether an interruption may have left something to do: a torn line, or a supervisor's last word, without
    /// which no closing was begun. Else the job and its content need not be loaded before the first page. Read
    /// from the bytes as the program writes them.
    fn may_be_due(&self, number: &str) -> Result<bool, SessionError> {
        let record = self
            .shop
            .folder()
            .reader(&format!("jobs/{number}/record.jsonl"))?;
        let Some(mut record) = record else {
            return Ok(true);
        };
        let mut bytes = Vec::new();
        if record.read_to_end(&mut bytes).is_err() {
            // Whoever loads the job tells what is wrong with it.
            return Ok(true);
        }
        // A torn line is put aside when its job is loaded.
        let torn = bytes.last() != Some(&b'\n');
        Ok(torn || String::from_utf8_lossy(&bytes).contains(RELEASED))
    }

    /// Whether everything that closing makes is there: the certificate comes last, where there are any.
    pub(super) fn is_settled(&self, number: &str) -> Result<bool, SessionError> {
        let there = |file: &str| self.shop.folder().reader(&format!("jobs/{number}/{file}"));
        let certified = cfg!(not(feature = "certificate")) || there("certificate.pdf")?.is_some();
        if super::job::is_practice(number) {
            // No ledger knows it: without certificates, only its record says whether it is closed.
            return Ok(cfg!(feature = "certificate") && certified);
        }
        let in_ledger = self.ledger.job(number).is_some_and(|job| job.closed.is_some());
        Ok(in_ledger && certified && there("ledger-extract.jsonl")?.is_some())
    }

    /// A folder that came to its place just before the ledger's line did.
    fn adopt(&mut self, number: &str) -> Result<(), SessionError> {
        let mut job = self.load_job(number)?;
        let first = job.folder.record().lines()?.next();
        let broken = |what: String| SessionError::Broken {
            file: format!("record of job {number}"),
            what,
        };
        let first = first
            .ok_or_else(|| broken("it is empty".into()))?
            .map_err(|error| broken(error.to_string()))?;
        let state = job.state.clone();
        self.enter_opening(number, &state, first.whole()?)?;
        let words = self.words();
        self.recovered.push(say!(
            words,
            "The opening of job {job} was finished.",
            job = number
        ));
        Ok(())
    }

    /// What an interruption left undone of a closing, of a job that is loaded.
    pub(super) fn finish_closing(&mut self, job: &mut OpenJob) -> Result<(), SessionError> {
        let nothing_left = cfg!(not(feature = "certificate")) && job.state.practice();
        let due = job.state.closed() && !nothing_left;
        if due || matches!(job.state.prompt(), Prompt::Close) {
            self.close(job)?;
            let words = self.words();
            self.recovered.push(say!(
                words,
                "The closing of job {job} was finished.",
                job = job.number
            ));
        }
        Ok(())
    }
}
