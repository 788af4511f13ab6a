//! What is wrong with a circuit, or worth knowing of its state, in a sentence.
use crate::calc::CalcError;
use crate::calc::Note;
use crate::calc::fuse_time::{Inputs, Span, fuse_time};
use crate::note;
use crate::say;
use crate::table::{TableError, Tables};
use crate::words::Words;
use std::fmt;

/// The first group refuses a netlist, a setting or an answer; the second stands beside a solution.
#[derive(Clone, PartialEq, Debug)]
pub enum Finding {
    OutOfRange {
        part: String,
        figure: &'static str,
        found: String,
        least: String,
        most: String,
    },
    ReleaseAbovePullIn {
        part: String,
        release_v: f64,
        pull_in_v: f64,
    },
    Wire {
        part: String,
        source: CalcError,
    },
    EmptyName {
        part: String,
    },
    SameName {
        part: String,
    },
    SameEnds {
        part: String,
        node: String,
    },
    NothingGrounded {
        ground: String,
    },
    TooManyNodes {
        found: usize,
        most: usize,
    },
    UnknownPart {
        found: String,
        legal: Vec<String>,
    },
    Unfit {
        part: String,
        what: &'static str,
        expected: &'static str,
    },
    Chatter {
        relays: Vec<String>,
    },
    Undecided {
        diodes: Vec<String>,
    },
    /// Within the limits of the figures a relay may do one thing or the other.
    Unsure {
        relay: String,
        least_v: f64,
        most_v: f64,
        does: &'static str,
        from_v: f64,
        to_v: f64,
    },
    Turns {
        diodes: Vec<String>,
    },
    TooManyCorners {
        found: usize,
        most: usize,
    },
    /// The ends of a circuit's figures make different circuits.
    Unlike,

    Floating {
        node: String,
    },
    /// Less than half the source's own voltage is left at its terminals: the rest of the circuit resists
    /// less than the source itself.
    ShortedSource {
        source_part: String,
        current_a: f64,
        terminal_v: f64,
    },
    Overload {
        fuse: String,
        current_a: f64,
        rating_a: f64,
    },
    /// The coil stands between release and pull-in: the relay keeps the state it was in.
    HoldsOnly {
        relay: String,
        coil_v: f64,
    },
}

impl Finding {
    /// The sentence in a language.
    #[must_use]
    pub fn say(&self, words: &Words) -> String {
        match self {
            Self::OutOfRange {
                part,
                figure,
                found,
                least,
                most,
            } => say!(
                words,
                "`{part}`: {figure} is {found}, valid from {least} to {most}",
                part = part,
                figure = words.say(figure),
                found = found,
                least = least,
                most = most
            ),
            Self::ReleaseAbovePullIn {
                part,
                release_v,
                pull_in_v,
            } => say!(
                words,
                "`{part}`: release voltage {release} V is not below pull-in voltage {pull_in} V",
                part = part,
                release = release_v,
                pull_in = pull_in_v
            ),
            Self::Wire { part, source } => format!("`{part}`: {}", source.say(words)),
            Self::Floating { .. }
            | Self::ShortedSource { .. }
            | Self::Overload { .. }
            | Self::HoldsOnly { .. } => self.note().say(words).trim_end_matches('.').to_owned(),
            _ => self.say_doubt(words),
        }
    }

    /// Why there is no one answer.
    fn say_doubt(&self, words: &Words) -> String {
        let list = |names: &[String]| names.join(", ");
        match self {
            Self::Chatter { relays } => say!(
                words,
                "these relays never come to rest: {relays}",
                relays = list(relays)
            ),
            Self::Undecided { diodes } => say!(
                words,
                "no state of these diodes agrees with itself: {diodes}",
                diodes = list(diodes)
            ),
            Self::Unsure {
                relay,
                least_v,
                most_v,
                does,
                from_v,
                to_v,
            } => say!(
                words,
                "the relay `{relay}` is in doubt: its coil has {least} V to {most} V, and it {does} at {from} V to {to} V",
                relay = relay,
                least = format!("{least_v:.2}"),
                most = format!("{most_v:.2}"),
                does = words.say(does),
                from = from_v,
                to = to_v
            ),
            Self::Turns { diodes } => say!(
                words,
                "these diodes conduct or block, depending on the tolerances: {diodes}",
                diodes = list(diodes)
            ),
            _ => self.authored(),
        }
    }

    /// What only the author of a circuit meets.
    fn authored(&self) -> String {
        match self {
            Self::EmptyName { part } => format!("a part or node has an empty name near `{part}`"),
            Self::SameName { part } => format!("two parts are named `{part}`"),
            Self::SameEnds { part, node } => format!("`{part}` has both ends at `{node}`"),
            Self::NothingGrounded { ground } => format!("no part is joined to ground, `{ground}`"),
            Self::TooManyNodes { found, most } => format!("there are {found} nodes, at most {most}"),
            Self::UnknownPart { found, legal } => {
                format!("there is no part `{found}`; there are {}", legal.join(", "))
            }
            Self::Unfit { part, what, expected } => format!("`{part}` cannot be {what}; only {expected} can"),
            Self::TooManyCorners { found, most } => {
                format!("{found} figures are uncertain by themselves, at most {most} can be gone through")
            }
            _ => "the ends of a circuit's figures belong to different circuits".to_owned(),
        }
    }

    /// What stands beside a solution, as a note; what refuses one is never among it.
    #[must_use]
    pub fn note(&self) -> Note {
        match self {
            Self::Floating { node } => note!(
                "`{node}` is joined to ground by nothing and has no voltage.",
                node = node
            ),
            Self::ShortedSource {
                source_part,
                current_a,
                terminal_v,
            } => note!(
                "`{part}` is shorted: {current} A leave {left} V at its terminals.",
                part = source_part,
                current = format!("{current_a:.1}"),
                left = format!("{terminal_v:.2}")
            ),
            Self::Overload {
                fuse,
                current_a,
                rating_a,
            } => note!(
                "`{fuse}` carries {current} A, more than its rating of {rating} A.",
                fuse = fuse,
                current = format!("{current_a:.2}"),
                rating = rating_a
            ),
            Self::HoldsOnly { relay, coil_v } => note!(
                "`{relay}` has {volts} V at its coil, which holds it but does not pull it in.",
                relay = relay,
                volts = format!("{coil_v:.2}")
            ),
            other => note!("{finding}.", finding = other),
        }
    }

    /// When an overloaded fuse opens, by the time-current band of its `body` (`blade`, `maxi`): advice, never
    /// an acceptance limit. None for another finding, and where the current is beyond the last row.
    ///
    /// # Errors
    /// `NoRow` where the tables know no such body.
    pub fn opens(&self, body: &str, tables: &Tables) -> Result<Option<Span>, TableError> {
        let Finding::Overload {
            current_a, rating_a, ..
        } = self
        else {
            return Ok(None);
        };
        let inputs = Inputs {
            rating_a: *rating_a,
            current_a: *current_a,
            body,
        };
        fuse_time(inputs, tables)
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.say(&Words::english()))
    }
}

impl std::error::Error for Finding {}
