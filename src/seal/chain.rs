//! Numbers, previous hashes and times along a file of lines, one line in memory at a time.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::digest::{Digest, digest};
use super::envelope::Envelope;
use super::finding::{ChainFinding, Rule};
use super::instant::format_at;

/// The last line of a chain: its number, and the SHA-256 of its bytes without LF.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// The entry's number.
    pub n: u64,
    /// The line's hash.
    pub hash: Digest,
}

impl Head {
    /// The head after writing line number `n`, given its bytes with or without their LF.
    pub fn of(n: u64, line: &[u8]) -> Head {
        Head {
            n,
            hash: digest(line.strip_suffix(b"\n").unwrap_or(line)),
        }
    }
}

/// What the next entry must carry to follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// The next entry's number.
    pub n: u64,
    /// The hash of the line before it.
    pub prev: Digest,
}

impl Link {
    /// What the first entry of a chain carries.
    pub const FIRST: Link = Link {
        n: 0,
        prev: Digest::ZERO,
    };

    /// What the entry after `head` carries; after nothing, the first.
    pub fn after(head: Option<Head>) -> Link {
        head.map_or(Link::FIRST, |head| Link {
            n: head.n.saturating_add(1),
            prev: head.hash,
        })
    }
}

/// A chain as far as it was read.
#[derive(Debug, Clone, Default)]
pub struct Chain {
    head: Option<Head>,
    latest: Option<DateTime<FixedOffset>>,
    unread: bool,
}

impl Chain {
    /// A chain of which nothing was read yet.
    pub fn new() -> Chain {
        Chain::default()
    }

    /// The last line that was read.
    pub fn head(&self) -> Option<Head> {
        self.head
    }

    /// What the next entry must carry.
    pub fn link(&self) -> Link {
        Link::after(self.head)
    }

    /// The latest time of all entries read.
    pub fn latest(&self) -> Option<DateTime<FixedOffset>> {
        self.latest
    }

    /// Takes the next line: its entry and the hash of its bytes. Gives what does not follow.
    ///
    /// After a fault the chain goes on from the line as it stands, so that one fault is told once.
    pub fn step<B>(&mut self, entry: &Envelope<B>, hash: Digest) -> Vec<ChainFinding> {
        let link = self.link();
        let mut findings = Vec::new();
        if !self.unread || entry.n < link.n {
            findings.extend(check_number(link.n, entry.n));
        }
        if entry.prev != link.prev {
            findings.push(ChainFinding::new(Rule::BrokenChain, broken(link, entry.prev)));
        }
        findings.extend(self.latest.and_then(|latest| check_time(latest, entry.at)));
        self.head = Some(Head { n: entry.n, hash });
        self.latest = Some(self.latest.map_or(entry.at, |latest| latest.max(entry.at)));
        self.unread = false;
        findings
    }

    /// Passes over a line whose entry cannot be read, so that the next one is still held to its hash.
    pub fn skip(&mut self, hash: Digest) {
        self.head = Some(Head {
            n: self.link().n,
            hash,
        });
        self.unread = true;
    }
}

fn check_number(expected: u64, found: u64) -> Option<ChainFinding> {
    let (rule, why) = match found.cmp(&expected) {
        std::cmp::Ordering::Equal => return None,
        std::cmp::Ordering::Greater => (Rule::NumberGap, "lines are missing before it"),
        std::cmp::Ordering::Less => (Rule::NumberRepeat, "that number was used before"),
    };
    Some(ChainFinding::new(
        rule,
        format!("the entry's number is {found}, {expected} was due: {why}"),
    ))
}

fn broken(link: Link, found: Digest) -> String {
    match link.n {
        0 => format!("`prev` is {found}, but the first entry carries 64 zeros"),
        _ => format!(
            "`prev` is {found}, but the line before has the hash {}",
            link.prev
        ),
    }
}

fn check_time(latest: DateTime<FixedOffset>, at: DateTime<FixedOffset>) -> Option<ChainFinding> {
    let text = || {
        format!(
            "the time {} is before {}, which stands earlier",
            format_at(&at),
            format_at(&latest)
        )
    };
    (at < latest).then(|| ChainFinding::new(Rule::TimeBackwards, text()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seal::instant::parse_at;

    fn entry(n: u64, prev: Digest, minute: u32) -> Envelope {
        let at = parse_at(&format!("2026-03-14T09:{minute:02}:00+01:00")).expect("a time");
        let by = "ines.varga".parse().expect("an id");
        Envelope::new(Link { n, prev }, at, by, "note", None, serde_json::Map::new())
    }

    fn rules(findings: &[ChainFinding]) -> Vec<Rule> {
        findings.iter().map(|finding| finding.rule).collect()
    }

    /// Number, index of the line that `prev` names, minute.
    type Row = (u64, usize, u32);

    /// Steps through entries given as rows.
    fn walk(rows: &[Row]) -> Vec<Vec<Rule>> {
        let hashes: Vec<Digest> = std::iter::once(Digest::ZERO)
            .chain((1_u8..20).map(|i| digest(&[i])))
            .collect();
        let mut chain = Chain::new();
        let steps = rows.iter().enumerate();
        steps
            .map(|(i, row)| rules(&chain.step(&entry(row.0, hashes[row.1], row.2), hashes[i + 1])))
            .collect()
    }

    #[test]
    fn a_whole_chain_has_no_findings() {
        assert!(walk(&[(0, 0, 1), (1, 1, 1), (2, 2, 5)]).concat().is_empty());
    }

    #[test]
    fn each_fault_is_told_once_and_named() {
        let cases: [(&str, &[Row], &[Rule]); 6] = [
            ("first not 0", &[(1, 0, 1), (2, 1, 1)], &[Rule::NumberGap]),
            ("first with a hash", &[(0, 3, 1), (1, 1, 1)], &[Rule::BrokenChain]),
            (
                "dropped line",
                &[(0, 0, 1), (2, 5, 1), (3, 2, 1)],
                &[Rule::NumberGap, Rule::BrokenChain],
            ),
            (
                "copied line",
                &[(0, 0, 1), (1, 1, 1), (1, 1, 1)],
                &[Rule::NumberRepeat, Rule::BrokenChain],
            ),
            (
                "altered line",
                &[(0, 0, 1), (1, 9, 1), (2, 2, 1)],
                &[Rule::BrokenChain],
            ),
            (
                "clock",
                &[(0, 0, 9), (1, 1, 3), (2, 2, 9)],
                &[Rule::TimeBackwards],
            ),
        ];
        for (name, rows, expected) in cases {
            assert_eq!(walk(rows).concat(), expected, "{name}");
        }
    }

    /// After a clock that jumped ahead once, every later time before that jump is told.
    #[test]
    fn times_are_held_to_the_latest_seen() {
        assert_eq!(
            walk(&[(0, 0, 50), (1, 1, 3), (2, 2, 4)]).concat(),
            [Rule::TimeBackwards; 2]
        );
    }

    #[test]
    fn the_line_after_an_unreadable_one_is_held_to_its_hash() {
        let mut chain = Chain::new();
        assert!(chain.step(&entry(0, Digest::ZERO, 1), digest(b"a")).is_empty());
        chain.skip(digest(b"unreadable"));
        assert!(
            chain
                .step(&entry(2, digest(b"unreadable"), 1), digest(b"c"))
                .is_empty()
        );
        chain.skip(digest(b"again"));
        assert_eq!(
            rules(&chain.step(&entry(4, digest(b"c"), 1), digest(b"d"))),
            [Rule::BrokenChain]
        );
    }

    #[test]
    fn a_head_is_the_same_with_and_without_lf() {
        assert_eq!(Head::of(3, b"{}\n"), Head::of(3, b"{}"));
        assert_eq!(
            Link::after(Some(Head::of(3, b"{}"))),
            Link {
                n: 4,
                prev: digest(b"{}")
            }
        );
        assert_eq!(Link::after(None), Link::FIRST);
    }
}
