//! The keys of the shared files and of a table.

use super::{Keys, Naming, SLUGS, Shape, keys, may, must, ordered};

/// The signal words, the gravest first.
pub const WORDS: [&str; 4] = ["danger", "warning", "caution", "notice"];
/// The signs of hazards.
pub const SIGNS: [&str; 13] = [
    "flammable",
    "oxidiser",
    "cold",
    "pressure",
    "electric",
    "hot",
    "suffocation",
    "explosion",
    "battery",
    "eyes",
    "hands",
    "moving",
    "general",
];

/// `hazards.yaml`
pub static HAZARDS: Keys = keys(
    "a shared file",
    &[must(
        "hazards",
        Shape::Named(Naming::Slug, &Shape::Map(&HAZARD), 0),
        "The hazards, by the ids that steps name.",
    )],
);
pub static HAZARD: Keys = keys(
    "a hazard",
    &[
        must(
            "word",
            Shape::OneOf(&WORDS),
            "The signal word: danger will kill or badly hurt, warning could, caution could hurt a little, notice harms things only.",
        ),
        must("sign", Shape::OneOf(&SIGNS), "The sign that is shown beside it."),
        must("what", Shape::Sentence, "What the hazard is."),
        must("happens", Shape::Sentence, "What happens to people or things."),
        must(
            "avoid",
            Shape::List(&Shape::Sentence, true),
            "How to avoid it, one order each.",
        ),
        may(
            "needs",
            SLUGS,
            "Tools without which nobody works beside it: ids of `tools.yaml`, which a step or its procedure must name.",
        ),
    ],
);

/// `tools.yaml`
pub static TOOLS: Keys = keys(
    "a shared file",
    &[must(
        "tools",
        Shape::Named(Naming::Slug, &Shape::Map(&TOOL), 0),
        "The tools, by the ids that steps name.",
    )],
);
pub static TOOL: Keys = keys(
    "a tool",
    &[
        must("name", Shape::Sentence, "What the tool is called."),
        may(
            "throughout",
            Shape::Yes,
            "Worn, read or in reach the whole time, so that no single step needs to name it.",
        ),
    ],
);

/// `instruments.yaml` of the content.
pub static INSTRUMENTS: Keys = keys(
    "a shared file",
    &[must(
        "instruments",
        Shape::Named(Naming::Slug, &Shape::Map(&INSTRUMENT), 0),
        "The kinds of instruments, by the ids that readings name.",
    )],
);
pub static INSTRUMENT: Keys = keys(
    "an instrument",
    &[
        must("name", Shape::Sentence, "What such an instrument is called."),
        must("measures", Shape::Dimension, "What it measures: one dimension."),
        may(
            "resolution",
            Shape::Quantity,
            "The finest step that such an instrument shows; bands are held against it.",
        ),
        may(
            "uncertainty",
            Shape::Uncertainty,
            "The best expanded uncertainty that such an instrument has, beside `resolution`.",
        ),
    ],
);

/// `glossary.yaml`
pub static GLOSSARY: Keys = keys(
    "a shared file",
    &[must(
        "terms",
        Shape::Named(Naming::Any, &Shape::Sentence, 0),
        "Words and their meanings, shown where they stand in a step.",
    )],
);

/// A file under `tables/`.
pub static TABLE: Keys = ordered(
    "a table",
    &[
        must(
            "table",
            Shape::Slug,
            "The slug, equal to the file's name without `.yaml`.",
        ),
        must(
            "columns",
            Shape::Named(Naming::Any, &Shape::Anything, 0),
            "The columns, each with its meaning.",
        ),
        must(
            "rows",
            Shape::List(&Shape::Named(Naming::Any, &Shape::Scalar, 0), false),
            "The rows: a value for each column.",
        ),
    ],
);
