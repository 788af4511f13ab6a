//! The keys of a layout and of its parts, and of what a step's diagram shows of one.

use super::drawing::VIEW;
use super::{Keys, Naming, SLUGS, Shape, keys, may, must, ordered};
use crate::procedure::layout::FittingKind;

/// The kinds of parts that a layout may have.
pub const KINDS: [&str; FittingKind::ALL.len()] = super::drawing::words(&FittingKind::ALL);

/// A file under `layouts/`.
pub static LAYOUT: Keys = ordered(
    "a layout",
    &[
        must(
            "layout",
            Shape::Slug,
            "The slug, equal to the file's name without `.yaml`.",
        ),
        must("title", Shape::Sentence, "What the layout is called."),
        must(
            "revision",
            Shape::Revision,
            "Counts 1, 2 and so on; raise it with every change that people should know of.",
        ),
        must(
            "parts",
            Shape::Named(Naming::Slug, &Shape::Map(&FITTING), 0),
            "The parts, by the names that views and steps give.",
        ),
        may(
            "views",
            Shape::Named(Naming::Slug, &VIEW, 0),
            "The views, by the names that steps give; each lists the parts that it draws, with their seats.",
        ),
    ],
);

/// Which ends it has, its kind says.
pub static FITTING: Keys = keys(
    "a part of a layout",
    &[
        must(
            "kind",
            Shape::OneOf(&KINDS),
            "What it is, which says how it is drawn.",
        ),
        may("from", Shape::Slug, "The node that it is fed from."),
        may("to", Shape::Slug, "The node that it feeds."),
        may("branch", Shape::Slug, "The node of a tap's branch."),
        may("spare", Shape::Slug, "The node of a tap's spare ports."),
        may("back", Shape::Slug, "The node of what flows back into a tank."),
        may(
            "reference",
            Shape::Slug,
            "The node of the pressure that a regulator follows.",
        ),
        may(
            "label",
            Shape::Text,
            "What it is called where a number points at it; may show values in braces.",
        ),
        may(
            "shows",
            Shape::Reference,
            "A value that stands beside it in the drawing.",
        ),
        may(
            "test",
            Shape::Yes,
            "It is fitted for a test alone: it is there only in a view that seats it.",
        ),
        may("when", Shape::Condition, "The part is there only then."),
    ],
);

/// A step's `picture` that shows a layout.
pub static SETUP: Keys = ordered(
    "a diagram of a layout",
    &[
        must("layout", Shape::Slug, "The layout that is drawn, by its slug."),
        may(
            "view",
            Shape::Slug,
            "One of the layout's views; left out, all of it is drawn but what is for tests.",
        ),
        may(
            "open",
            SLUGS,
            "The open valves and solenoids; all others are shut.",
        ),
        may("out", SLUGS, "The parts that are taken off."),
        may(
            "pressure",
            SLUGS,
            "The parts that pressure comes from, and what is under pressure is drawn thick; left out, nothing is told of pressure.",
        ),
        may(
            "highlight",
            SLUGS,
            "The parts that are worked on, in the order of the numbers.",
        ),
    ],
);
