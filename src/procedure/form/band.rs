//! The keys of a band, of an amount, and of an uncertainty.

use super::{Entry, Keys, Shape, keys, may, must};

/// The keys that set a limit.
pub const LIMITS: [&str; 6] = ["at_least", "at_most", "around", "within", "equals", "one_of"];

pub const AT_LEAST: Entry = may(
    "at_least",
    Shape::Amounts,
    "The lowest value; of a list the strictest counts.",
);
pub const AT_MOST: Entry = may(
    "at_most",
    Shape::Amounts,
    "The highest value; of a list the strictest counts.",
);
pub const AROUND: Entry = may("around", Shape::Amount, "The middle, beside `within`.");
pub const WITHIN: Entry = may(
    "within",
    Shape::Quantity,
    "How far from the middle it may lie: a quantity, or a percentage of it.",
);
pub const EQUALS: Entry = may(
    "equals",
    Shape::Word,
    "The one right answer: `yes`, `no`, a choice, or a reference to a choice of the card.",
);
pub const ONE_OF: Entry = may("one_of", Shape::List(&Shape::Scalar, false), "The right choices.");
pub const NO_CONCESSION: Entry = may(
    "no_concession",
    Shape::Sentence,
    "The reason why no supervisor may accept a failure here.",
);
const BECAUSE: Entry = may("because", Shape::Text, "One sentence, shown when it fails.");

pub static READING_BAND: Keys = Keys {
    at_least_one: &LIMITS,
    ..keys(
        "a band",
        &[
            AT_LEAST,
            AT_MOST,
            AROUND,
            WITHIN,
            EQUALS,
            ONE_OF,
            BECAUSE,
            NO_CONCESSION,
        ],
    )
};

pub static OUTPUT_BAND: Keys = Keys {
    at_least_one: &LIMITS,
    ..keys(
        "a band of a work-out",
        &[
            must("of", Shape::Name, "The output that is judged."),
            AT_LEAST,
            AT_MOST,
            AROUND,
            WITHIN,
            EQUALS,
            ONE_OF,
            BECAUSE,
            NO_CONCESSION,
        ],
    )
};

/// The changes that an amount may make to what it refers to.
pub const SHIFTS: [&str; 3] = ["plus", "minus", "times"];

pub static SHIFTED: Keys = Keys {
    exactly_one: &[&SHIFTS],
    ..keys(
        "a shifted amount",
        &[
            must("of", Shape::Reference, "What is shifted."),
            may("plus", Shape::Quantity, "What is added."),
            may("minus", Shape::Quantity, "What is taken off."),
            may(
                "times",
                Shape::Factor,
                "What it is multiplied by, a plain number above 0.",
            ),
        ],
    )
};

pub static UNCERTAINTY: Keys = Keys {
    at_least_one: &["of_reading", "plus"],
    ..keys(
        "an uncertainty",
        &[
            may(
                "of_reading",
                Shape::Quantity,
                "The share of the reading, such as `0.5 %`.",
            ),
            may("plus", Shape::Quantity, "What is always there besides."),
            may("k", Shape::Factor, "The coverage factor, where it is not 2."),
        ],
    )
};
