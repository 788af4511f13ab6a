//! Lines to a ledger: each is judged by itself on whichever core is free, and taken in its order.

use std::io::BufRead;

use super::chain::{self, Chained};
use super::finding::PeopleFinding;
use super::ledger::{Ledger, LedgerEntry, malformed};
use crate::seal::{ChainFinding, Digest, Namespace, Opened, Rule, Signers, check_line};

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
    let seal = |opened: &Opened| match extent {
        Extent::Own => Vec::new(),
        Extent::Whole | Extent::Extract => check_line(opened, signers, Namespace::ShopLedger),
    };
    let mut reading = Reading {
        ledger: Ledger::new(),
        extent,
        last: None,
    };
    let mut findings = chain::read(source, &mut reading, &seal);
    if let Some((number, opened)) = reading.last {
        let found = check_line(&opened, signers, Namespace::ShopLedger).into_iter();
        findings.extend(found.map(|finding| PeopleFinding::of_line(number, finding)));
    }
    (reading.ledger, findings)
}

/// A ledger that is being read.
struct Reading {
    ledger: Ledger,
    extent: Extent,
    /// The last line that could be read, where its signature is still to be checked.
    last: Option<(u64, Box<Opened>)>,
}

impl Chained for Reading {
    /// Two for each job.
    const MOST_LINES: u64 = 1_000_000;

    fn take(&mut self, opened: Box<Opened>, seal: Vec<ChainFinding>, line: u64) -> Vec<PeopleFinding> {
        let of_line = |finding| PeopleFinding::of_line(line, finding);
        let steps = self.ledger.chain.step(&opened.entry, opened.hash).into_iter();
        // Lines cut out of a ledger have gaps between them, but still run forwards.
        let kept = |finding: &ChainFinding| {
            self.extent != Extent::Extract || matches!(finding.rule, Rule::NumberRepeat | Rule::TimeBackwards)
        };
        let mut findings: Vec<_> = steps.filter(kept).map(of_line).collect();
        if seal.is_empty() {
            let said = LedgerEntry::parse(&opened.entry).map_err(malformed);
            let fits = said.and_then(|said| self.ledger.fits(&said).map(|()| said));
            match fits {
                Ok(said) => self.ledger.enter(&opened.entry, said),
                Err((rule, what)) => findings.push(PeopleFinding::new(line, rule, what)),
            }
        }
        findings.extend(seal.into_iter().map(of_line));
        if self.extent == Extent::Own {
            self.last = Some((line, opened));
        }
        findings
    }

    fn skip(&mut self, hash: Digest) {
        self.ledger.chain.skip(hash);
    }
}
