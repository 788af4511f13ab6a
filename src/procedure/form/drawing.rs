//! The keys of how a circuit is drawn, and of what a step's diagram shows of one.

use super::{Keys, Naming, SLUGS, Shape, may, must, ordered};
use crate::procedure::drawing::{Sign, Towards};

/// Columns and rows of the grid that parts are seated on.
pub const MOST_CELLS: u8 = 12;
/// The signs that may stand beside a part or a node.
pub const SIGNS: [&str; Sign::ALL.len()] = words(&Sign::ALL);
/// Where a part's second end may point.
pub const TOWARDS: [&str; Towards::ALL.len()] = words(&Towards::ALL);

pub const fn words<T, const MANY: usize>(known: &[(&'static str, T); MANY]) -> [&'static str; MANY] {
    let mut words = [""; MANY];
    let mut at = 0;
    while at < MANY {
        words[at] = known[at].0;
        at += 1;
    }
    words
}

/// A step's `picture` that is no file.
pub static DIAGRAM: Keys = ordered(
    "a diagram",
    &[
        must("circuit", Shape::Slug, "The circuit that is drawn, by its slug."),
        may(
            "view",
            Shape::Slug,
            "One of the circuit's views; left out, all of the circuit is drawn.",
        ),
        may(
            "closed",
            SLUGS,
            "The closed switches, and what is live is drawn thick; left out, all is at rest and nothing is told to be live.",
        ),
        may("out", SLUGS, "The parts that are taken out."),
        may("red", SLUGS, "The nodes of red probes, numbered first."),
        may("black", SLUGS, "The nodes of black probes, numbered next."),
        may(
            "clamp",
            SLUGS,
            "The wires with a clamp meter round them, numbered next.",
        ),
        may("highlight", SLUGS, "The parts that are worked on, numbered next."),
        may(
            "at",
            SLUGS,
            "The nodes that a number leads to, such as a relay's terminal, numbered last.",
        ),
    ],
);

/// A circuit's `drawing`.
pub static DRAWING: Keys = ordered(
    "how a circuit is drawn",
    &[
        may(
            "parts",
            LOOKS,
            "What parts are called and their signs, by the parts' names.",
        ),
        may(
            "nodes",
            LOOKS,
            "What nodes are called and their signs, by the nodes' names.",
        ),
        may(
            "views",
            Shape::Named(Naming::Slug, &VIEW, 0),
            "The views, by the names that steps give; each lists the parts and nodes that it draws, with their seats.",
        ),
    ],
);

const LOOKS: Shape = Shape::Named(Naming::Slug, &Shape::Map(&LOOK), 0);
/// Parts and nodes with their seats.
pub const VIEW: Shape = Shape::Named(Naming::Slug, &Shape::Seat, 0);

pub static LOOK: Keys = ordered(
    "how a part or a node is drawn",
    &[
        may("label", Shape::Sentence, "What it is called in the drawing."),
        may(
            "sign",
            Shape::OneOf(&SIGNS),
            "A small sign beside it: what works it, or what flows through it.",
        ),
    ],
);
