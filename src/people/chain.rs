//! What a roster, a ledger and approvals have in common: lines that are read as far as they hold, each taken in its
//! order with all that is wrong with it, and one more line that is tried before it is written.

use std::io::BufRead;

use super::batch;
use super::finding::{PeopleFinding, PeopleRule};
use crate::seal::{ChainFinding, Digest, Lines, Opened, RawLine, Rule};

/// The most findings that are kept of one file.
const MAX_FINDINGS: usize = 100;

/// What the lines of a file are taken into.
pub(super) trait Chained {
    /// The most lines that are read.
    const MOST_LINES: u64;

    /// Takes a line, from 1, with what was found of it by itself; gives all that is wrong with it. A faulty line is
    /// not applied.
    fn take(&mut self, opened: Box<Opened>, found: Vec<ChainFinding>, line: u64) -> Vec<PeopleFinding>;

    /// A line that could not be read stands here.
    fn skip(&mut self, hash: Digest);
}

/// What can be told of a line by itself, whichever thread does it.
pub(super) type Judge<'a> = &'a (dyn Fn(&Opened) -> Vec<ChainFinding> + Sync);

/// Reads lines as far as they hold, and tells everything that does not.
pub(super) fn read<C: Chained>(source: impl BufRead, into: &mut C, judge: Judge<'_>) -> Vec<PeopleFinding> {
    let (mut findings, mut lines) = (Vec::new(), Lines::new(source));
    loop {
        let (batch, error) = batch::next(&mut lines);
        let opened = batch::side_by_side(&batch, &|line| open(line, judge));
        for (line, opened) in batch.iter().zip(opened) {
            if findings.len() >= MAX_FINDINGS || line.number > C::MOST_LINES {
                findings.push(too_long(line.number, C::MOST_LINES));
                return findings;
            }
            match opened {
                Ok((opened, found)) => findings.extend(into.take(opened, found, line.number)),
                Err(finding) => {
                    if line.ended {
                        into.skip(line.hash);
                    }
                    findings.push(PeopleFinding::of_line(line.number, finding));
                }
            }
        }
        if let Some(error) = error {
            findings.push(PeopleFinding::new(0, PeopleRule::Unreadable, error.to_string()));
            return findings;
        }
        if batch.is_empty() {
            return findings;
        }
    }
}

fn too_long(line: u64, most: u64) -> PeopleFinding {
    let what = format!("more than {most} lines or {MAX_FINDINGS} findings: the rest was not read");
    PeopleFinding::new(line, PeopleRule::TooLong, what)
}

type OpenedLine = (Box<Opened>, Vec<ChainFinding>);

fn open(line: &RawLine, judge: Judge<'_>) -> Result<OpenedLine, ChainFinding> {
    if !line.ended {
        let what = "the file ends within this line, which was not written whole";
        return Err(ChainFinding::new(Rule::TruncatedLine, what));
    }
    let opened = Opened::read_line(line)?;
    let found = judge(&opened);
    Ok((Box::new(opened), found))
}

/// What was read, only if nothing in it is broken. A clock that ran backwards is let by.
pub(super) fn accepted<T>((read, findings): (T, Vec<PeopleFinding>)) -> Result<T, Vec<PeopleFinding>> {
    if findings.iter().any(|finding| finding.rule.breaks()) {
        Err(findings)
    } else {
        Ok(read)
    }
}

/// What it is with one more line (without its LF), and every finding that breaks it where it may not stand.
pub(super) fn longer<C: Chained>(mut next: C, raw: &[u8], line: u64) -> Result<C, Vec<PeopleFinding>> {
    let opened = Opened::read(raw).map_err(|finding| vec![PeopleFinding::of_line(line, finding)])?;
    let mut findings = next.take(Box::new(opened), Vec::new(), line);
    findings.retain(|finding| finding.rule.breaks());
    accepted((next, findings))
}
