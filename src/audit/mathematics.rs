//! The mathematics of a record: the chain, the numbers, who signed, for what and when. No procedure is needed.
//!
//! It reads line by line and keeps no more than one, so that a hostile file cannot fill the memory.

use std::io::BufRead;

use super::{Finding, MOST_FINDINGS, Meaning, Standing};
use crate::record::{self, Kind, Said};
use crate::seal::{Chain, ChainFinding, Digest, Head, Lines, Opened, RawLine, Rule, Signers, check_line};

/// The most lines of a record that are read. The longest job of a shop has some thousands.
pub const MOST_LINES: u64 = 200_000;

const FILE: &str = "record.jsonl";

/// What the mathematics of a record came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mathematics {
    /// How far the job has come, as its entries say.
    pub standing: Standing,
    /// Whether it has a closing, be it a job or a practice run.
    pub closed: bool,
    /// The job, as its first entry says.
    pub job: Option<String>,
    /// Whole lines that were read.
    pub lines: u64,
    /// SHA-256 of the first line.
    pub first: Option<Digest>,
    /// The last line.
    pub head: Option<Head>,
    /// Everything that was found, in the order of the lines.
    pub findings: Vec<Finding>,
}

/// Who is shown each line that could be read.
pub type Each<'a> = dyn FnMut(Opened<Said>) + 'a;

/// Checks a record from its bytes, and shows each line that could be read to `each`, sound or not.
///
/// Whether it is a job or a practice run stands in its opening, and every line must be signed for just that.
/// An I/O fault is a finding too. At most [`MOST_FINDINGS`] are kept, and one that says so.
pub fn mathematics(record: impl BufRead, signers: &dyn Signers, each: &mut Each) -> Mathematics {
    let mut state = Reading {
        signers,
        each,
        chain: Chain::new(),
        done: Mathematics::default(),
    };
    for line in Lines::new(record) {
        match line {
            Err(error) => state.tell(Finding::new(Meaning::Unreadable, FILE, error.to_string())),
            Ok(line) if line.number > MOST_LINES || state.done.findings.len() >= MOST_FINDINGS => {
                let what = format!(
                    "more than {MOST_LINES} lines or {MOST_FINDINGS} findings: the rest was not read"
                );
                state.tell(Finding::at_line(Meaning::TooLong, FILE, line.number, what));
            }
            Ok(line) => {
                state.take(&line);
                continue;
            }
        }
        break;
    }
    state.finish()
}

/// A record that is being read.
struct Reading<'a> {
    signers: &'a dyn Signers,
    each: &'a mut Each<'a>,
    chain: Chain,
    done: Mathematics,
}

impl Reading<'_> {
    fn tell(&mut self, finding: Finding) {
        self.done.findings.push(finding);
    }

    fn tell_all(&mut self, line: u64, findings: Vec<ChainFinding>) {
        self.done.findings.extend(
            findings
                .into_iter()
                .map(|finding| Finding::of_line(FILE, line, finding)),
        );
    }

    fn take(&mut self, line: &RawLine) {
        if !line.ended {
            let what = "the file ends within this line, which was not written whole";
            self.tell(Finding::at_line(Rule::TruncatedLine, FILE, line.number, what));
            return;
        }
        self.done.lines += 1;
        self.done.first.get_or_insert(line.hash);
        match record::open(line) {
            Ok(opened) => self.take_opened(opened, line.number),
            Err(finding) => {
                self.chain.skip(line.hash);
                self.tell(Finding::of_line(FILE, line.number, finding));
            }
        }
    }

    fn take_opened(&mut self, opened: Opened<Said>, number: u64) {
        if number == 1 {
            self.take_opening(&opened);
        }
        let practice = self.done.standing == Standing::Practice;
        let mut findings = check_line(&opened, self.signers, record::namespace(practice));
        findings.extend(self.chain.step(&opened.entry, opened.hash));
        self.tell_all(number, findings);
        self.check_frame(&opened, number);
        (self.each)(opened);
    }

    fn take_opening(&mut self, opened: &Opened<Said>) {
        let entry = &opened.entry;
        self.done.job.clone_from(&entry.job);
        if entry.body.practice() {
            self.done.standing = Standing::Practice;
        }
        if entry.kind != Kind::Opening.as_str() {
            let what = format!("the record begins with `{}`, not with its opening", entry.kind);
            self.tell(Finding::at_line(Meaning::BadOpening, FILE, 1, what));
        }
    }

    /// One job, one opening, and nothing behind the closing.
    fn check_frame(&mut self, opened: &Opened<Said>, number: u64) {
        let entry = &opened.entry;
        if entry.job.is_none() || entry.job != self.done.job {
            let [found, expected] = [&entry.job, &self.done.job].map(|job| job.as_deref().unwrap_or("none"));
            let what = format!("the entry is of the job {found}, the record of {expected}");
            self.tell(Finding::at_line(Meaning::BadOpening, FILE, number, what));
        }
        if number > 1 && entry.kind == Kind::Opening.as_str() {
            self.tell(Finding::at_line(
                Meaning::BadOpening,
                FILE,
                number,
                "the job is opened again",
            ));
        }
        if self.done.closed {
            let what = "it stands behind the closing, which ends a record";
            self.tell(Finding::at_line(Meaning::LinesAfterClosing, FILE, number, what));
        }
        self.done.closed |= entry.kind == Kind::Closing.as_str();
    }

    fn finish(mut self) -> Mathematics {
        if self.done.lines == 0 && self.done.findings.is_empty() {
            self.tell(Finding::new(
                Meaning::RecordMissing,
                FILE,
                "it is empty; an opening is expected",
            ));
        }
        if self.done.closed && self.done.standing == Standing::Open {
            self.done.standing = Standing::Closed;
        }
        self.done.head = self.chain.head();
        self.done
    }
}
