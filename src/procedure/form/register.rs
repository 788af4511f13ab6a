//! The keys of a shop's register of instruments.

use super::step::RANGE;
use super::{Keys, Naming, Shape, keys, may, must};

/// `instruments.yaml` in a shop's folder.
pub static REGISTER: Keys = keys(
    "the register",
    &[must(
        "register",
        Shape::List(&Shape::Map(&INSTRUMENT), false),
        "The shop's instruments.",
    )],
);
pub static INSTRUMENT: Keys = keys(
    "an instrument",
    &[
        must(
            "id",
            Shape::Slug,
            "The name by which readings remember it, unique in the register.",
        ),
        must(
            "kind",
            Shape::Slug,
            "Its kind, an id of `instruments.yaml` of the content.",
        ),
        must("name", Shape::Sentence, "What it is called."),
        must("serial", Shape::Sentence, "Its serial number."),
        must("range", Shape::Map(&RANGE), "The values that it can show."),
        must("resolution", Shape::Quantity, "The finest step that it shows."),
        may(
            "uncertainty",
            Shape::Uncertainty,
            "The expanded uncertainty of its calibration certificate.",
        ),
        may(
            "certificate",
            Shape::Sentence,
            "A photograph of the certificate in `certificates/` of the shop's folder.",
        ),
        must(
            "calibrated",
            Shape::Date,
            "The day of its calibration, as year-month-day.",
        ),
        must("due", Shape::Date, "The day on which the calibration lapses."),
        may(
            "meter",
            Shape::Map(&METER),
            "How it is asked for its values, if it can be.",
        ),
    ],
);
pub static METER: Keys = keys(
    "a meter",
    &[
        must(
            "at",
            Shape::Sentence,
            "Where it is reached, such as `tcp://192.0.2.7:5025`.",
        ),
        must(
            "asks",
            Shape::Named(Naming::Any, &Shape::Sentence, 1),
            "What it is asked, by the unit in which it answers.",
        ),
    ],
);
