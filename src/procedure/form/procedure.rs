//! The keys of a procedure.

use super::{Keys, SLUGS, Shape, TEXTS, may, must, ordered, step};

/// A file under `procedures/`.
pub static PROCEDURE: Keys = ordered(
    "a procedure",
    &[
        must(
            "procedure",
            Shape::Slug,
            "The slug, equal to the file's name without `.yaml`.",
        ),
        must(
            "title",
            Shape::Sentence,
            "What the procedure is called on the screen and on the certificate.",
        ),
        must(
            "revision",
            Shape::Revision,
            "Counts 1, 2 and so on; raise it with every change that people should know of.",
        ),
        must(
            "before",
            Shape::Map(&BEFORE),
            "What must be so before the first step; the apprentice affirms it.",
        ),
        must(
            "steps",
            Shape::List(&Shape::Map(&step::STEP), true),
            "The steps, in the order of work.",
        ),
        must(
            "close_out",
            TEXTS,
            "What is so when the procedure is done, one sentence each.",
        ),
    ],
);

/// What stands before the first step.
pub static BEFORE: Keys = ordered(
    "`before`",
    &[
        may("conditions", TEXTS, "What must be so, one sentence each."),
        may("people", TEXTS, "Who is needed, one sentence each."),
        may(
            "tools",
            SLUGS,
            "Every tool that a step or a hazard needs: ids of `tools.yaml`.",
        ),
        may(
            "hazards",
            SLUGS,
            "Hazards of the whole procedure, acknowledged once: ids of `hazards.yaml`.",
        ),
    ],
);
