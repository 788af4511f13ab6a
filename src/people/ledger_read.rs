//! Lines to a ledger: each is judged by itself on whichever core is free, and taken in its order.

use std::io::BufRead;

use super::batch;
use super::finding::{PeopleFinding, PeopleRule};
use super::ledger::{Ledger, LedgerEntry, MAX_LINES, malformed};
use crate::seal::{ChainFinding, Lines, Namespace, Opened, RawLine, Rule, Signers, check_line};

/// The most findings that are kept of one file.
const MAX_FINDINGS: usize = 100;

/// What is read, and how much of it is checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Extent {
    /// A whole ledger, with every signature.
    Whole,
    /// Some lines, with every signature.
    Extract,
    /// The tablet's own whole ledger, with the signature of its last line.
    Own,
}

/// Reads lines as far as they hold, and tells everything that does not.
pub(super) fn read(
    source: impl BufRead,
    signers: &dyn Signers,
    extent: Extent,
) -> (Ledger, Vec<PeopleFinding>) {
    let mut reading = Reading {
        ledger: Ledger::new(),
        findings: Vec::new(),
        extent,
        last: None,
    };
    let mut lines = Lines::new(source);
    loop {
        let (batch, error) = batch::next(&mut lines);
        let ended = batch.is_empty();
        let read = batch::side_by_side(&batch, &|line| LineRead::of(line, signers, extent));
        let on = batch
            .iter()
            .zip(read)
            .all(|(line, read)| reading.take(line, read));
        if let Some(error) = error.filter(|_| on) {
            reading.tell(0, PeopleRule::Unreadable, error.to_string());
            break;
        }
        if ended || !on {
            break;
        }
    }
    reading.finish(signers)
}

/// One line as far as it can be judged by itself, whichever thread does it.
enum LineRead {
    Unreadable(ChainFinding),
    Opened(Box<Opened>, Vec<ChainFinding>),
}

impl LineRead {
    fn of(line: &RawLine, signers: &dyn Signers, extent: Extent) -> LineRead {
        if !line.ended {
            let what = "the file ends within this line, which was not written whole";
            return LineRead::Unreadable(ChainFinding::new(Rule::TruncatedLine, what));
        }
        match Opened::read_line(line) {
            Err(finding) => LineRead::Unreadable(finding),
            Ok(opened) if extent == Extent::Own => LineRead::Opened(Box::new(opened), Vec::new()),
            Ok(opened) => {
                let findings = check_line(&opened, signers, Namespace::ShopLedger);
                LineRead::Opened(Box::new(opened), findings)
            }
        }
    }
}

/// A ledger that is being read.
struct Reading {
    ledger: Ledger,
    findings: Vec<PeopleFinding>,
    extent: Extent,
    /// The last line that could be read, where its signature is still to be checked.
    last: Option<(u64, Box<Opened>)>,
}

impl Reading {
    fn tell(&mut self, line: u64, rule: PeopleRule, what: String) {
        self.findings.push(PeopleFinding::new(line, rule, what));
    }

    /// Takes the next line. Gives whether more are wanted.
    fn take(&mut self, line: &RawLine, read: LineRead) -> bool {
        if self.findings.len() >= MAX_FINDINGS || line.number > MAX_LINES {
            let what =
                format!("more than {MAX_LINES} lines or {MAX_FINDINGS} findings: the rest was not read");
            self.tell(line.number, PeopleRule::TooLong, what);
            return false;
        }
        match read {
            LineRead::Unreadable(finding) => {
                if line.ended {
                    self.ledger.chain.skip(line.hash);
                }
                self.findings.push(PeopleFinding::of_line(line.number, finding));
            }
            LineRead::Opened(opened, seal) => self.take_opened(line.number, opened, seal),
        }
        true
    }

    fn take_opened(&mut self, number: u64, opened: Box<Opened>, seal: Vec<ChainFinding>) {
        let of_line = |finding| PeopleFinding::of_line(number, finding);
        let steps = self.ledger.chain.step(&opened.entry, opened.hash);
        // Lines cut out of a ledger have gaps between them, but still run forwards.
        let kept = |finding: &ChainFinding| {
            self.extent != Extent::Extract || matches!(finding.rule, Rule::NumberRepeat | Rule::TimeBackwards)
        };
        self.findings.extend(steps.into_iter().filter(kept).map(of_line));
        if seal.is_empty() {
            let said = LedgerEntry::parse(&opened.entry).map_err(malformed);
            let fits = said.and_then(|said| self.ledger.fits(&said).map(|()| said));
            match fits {
                Ok(said) => self.ledger.enter(&opened.entry, said),
                Err((rule, what)) => self.tell(number, rule, what),
            }
        }
        self.findings.extend(seal.into_iter().map(of_line));
        if self.extent == Extent::Own {
            self.last = Some((number, opened));
        }
    }

    fn finish(mut self, signers: &dyn Signers) -> (Ledger, Vec<PeopleFinding>) {
        if let Some((number, opened)) = self.last {
            let seal = check_line(&opened, signers, Namespace::ShopLedger);
            let found = seal.into_iter();
            self.findings
                .extend(found.map(|finding| PeopleFinding::of_line(number, finding)));
        }
        (self.ledger, self.findings)
    }
}
