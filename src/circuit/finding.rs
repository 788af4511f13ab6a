//! What is wrong with a circuit, or worth knowing of its state, in a sentence.
use crate::calc::CalcError;
use crate::calc::fuse_time::{Inputs, Span, fuse_time};
use crate::table::{TableError, Tables};

/// The first group refuses a netlist, a setting or an answer; the second stands beside a solution.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum Finding {
    #[error("`{part}`: {figure} is {found}, valid {range}")]
    OutOfRange {
        part: String,
        figure: &'static str,
        found: String,
        range: String,
    },
    #[error("`{part}`: release voltage {release_v} V is not below pull-in voltage {pull_in_v} V")]
    ReleaseAbovePullIn {
        part: String,
        release_v: f64,
        pull_in_v: f64,
    },
    #[error("`{part}`: {source}")]
    Wire { part: String, source: CalcError },
    #[error("a part or node has an empty name near `{part}`")]
    EmptyName { part: String },
    #[error("two parts are named `{part}`")]
    SameName { part: String },
    #[error("`{part}` has both ends at `{node}`")]
    SameEnds { part: String, node: String },
    #[error("no part is joined to ground, `{ground}`")]
    NothingGrounded { ground: String },
    #[error("there are {found} nodes, at most {most}")]
    TooManyNodes { found: usize, most: usize },
    #[error("there is no part `{found}`; there are {}", legal.join(", "))]
    UnknownPart { found: String, legal: Vec<String> },
    #[error("`{part}` cannot be {what}; only {expected} can")]
    Unfit {
        part: String,
        what: &'static str,
        expected: &'static str,
    },
    #[error("these relays never come to rest: {}", relays.join(", "))]
    Chatter { relays: Vec<String> },
    #[error("no state of these diodes agrees with itself: {}", diodes.join(", "))]
    Undecided { diodes: Vec<String> },
    /// Within the limits of the figures a relay may do one thing or the other.
    #[error(
        "the relay `{relay}` is in doubt: its coil has {least_v:.2} V to {most_v:.2} V, and it {does} at {from_v} V to {to_v} V"
    )]
    Unsure {
        relay: String,
        least_v: f64,
        most_v: f64,
        does: &'static str,
        from_v: f64,
        to_v: f64,
    },
    #[error("these diodes conduct or block, depending on the tolerances: {}", diodes.join(", "))]
    Turns { diodes: Vec<String> },
    #[error("{found} figures are uncertain by themselves, at most {most} can be gone through")]
    TooManyCorners { found: usize, most: usize },
    #[error("the ends of a circuit's figures belong to different circuits")]
    Unlike,

    #[error("`{node}` is joined to ground by nothing and has no voltage")]
    Floating { node: String },
    /// Less than half the source's own voltage is left at its terminals: the rest of the circuit resists
    /// less than the source itself.
    #[error("`{source_part}` is shorted: {current_a:.1} A leave {terminal_v:.2} V at its terminals")]
    ShortedSource {
        source_part: String,
        current_a: f64,
        terminal_v: f64,
    },
    #[error("`{fuse}` carries {current_a:.2} A, more than its rating of {rating_a} A")]
    Overload {
        fuse: String,
        current_a: f64,
        rating_a: f64,
    },
    /// The coil stands between release and pull-in: the relay keeps the state it was in.
    #[error("`{relay}` has {coil_v:.2} V at its coil, which holds it but does not pull it in")]
    HoldsOnly { relay: String, coil_v: f64 },
}

impl Finding {
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
