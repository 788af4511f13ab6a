//! The keys of a job.

use super::band::{AROUND, AT_LEAST, AT_MOST, EQUALS, LIMITS, NO_CONCESSION, ONE_OF, WITHIN};
use super::step::{CALC, CIRCUIT, CLOSED, FIND, HELD, LONGEST_TEXT, METHODS, OUT, WITH};
use super::{Keys, Naming, Shape, keys, may, must, ordered};

/// A file under `jobs/`.
pub static JOB: Keys = ordered(
    "a job",
    &[
        must(
            "job",
            Shape::Slug,
            "The slug, equal to the file's name without `.yaml`.",
        ),
        must("title", Shape::Sentence, "What the job is called."),
        must(
            "revision",
            Shape::Revision,
            "Counts 1, 2 and so on; raise it with every change that people should know of.",
        ),
        must("about", Shape::Sentence, "One paragraph on what the job is."),
        must(
            "caution",
            Shape::Sentence,
            "Shown on the first page, in the job and on the certificate.",
        ),
        must(
            "card",
            Shape::List(&Shape::Map(&GROUP), false),
            "What is asked about this car and its parts, in groups.",
        ),
        may(
            "figures",
            Shape::Named(Naming::Name, &Shape::Map(&FIGURE), 0),
            "Figures of the whole job, worked out from the card.",
        ),
        may(
            "checks",
            Shape::List(&Shape::Map(&CHECK), false),
            "What must fit before the card is accepted.",
        ),
        may(
            "guards",
            Shape::List(&Shape::Map(&GUARD), false),
            "Acts that wait for a released hold point.",
        ),
        must(
            "procedures",
            Shape::List(&Shape::Map(&PLAYED), true),
            "The procedures, in the order of work.",
        ),
    ],
);

pub static GROUP: Keys = keys(
    "a group of the card",
    &[
        must(
            "group",
            Shape::Name,
            "The name of the group, the first part of `card.group.field`.",
        ),
        must("title", Shape::Sentence, "The heading of the group."),
        must(
            "ask",
            Shape::List(&Shape::Map(&FIELD), false),
            "The fields of the group.",
        ),
    ],
);

/// The kinds of a card field.
pub const KINDS: [&str; 4] = ["text", "choice", "quantity", "yes_no"];

pub static FIELD: Keys = Keys {
    exactly_one: &[&KINDS],
    ..keys(
        "a card field",
        &[
            must(
                "id",
                Shape::Name,
                "The name of the field, the last part of `card.group.field`.",
            ),
            must("label", Shape::Text, "What is asked."),
            may("when", Shape::Condition, "The field is asked only then."),
            may(
                "text",
                Shape::Count(LONGEST_TEXT),
                "The answer is a text of at most so many characters.",
            ),
            may(
                "choice",
                Shape::Named(Naming::Choice, &Shape::Sentence, 2),
                "The answer is one of these, each with the text that is shown.",
            ),
            may(
                "quantity",
                Shape::Unit,
                "The answer is a number in this unit; `from` and `to` bound it.",
            ),
            may("from", Shape::Quantity, "The lowest answer, beside `quantity`."),
            may("to", Shape::Quantity, "The highest answer, beside `quantity`."),
            may("yes_no", Shape::Yes, "The answer is yes or no."),
            may("help", Shape::Text, "Where to find the answer, or what is usual."),
            may(
                "refuse",
                Shape::Named(Naming::Any, &Shape::Sentence, 0),
                "Choices that the work forbids, each with its reason.",
            ),
            may(
                "personal",
                Shape::YesNo,
                "Whether it is the customer's own: only a salted commitment enters the record.",
            ),
            may(
                "example",
                Shape::Scalar,
                "What an example car answers, as it is typed; `witnessmark preview` shows the steps on that car.",
            ),
        ],
    )
};

pub static FIGURE: Keys = Keys {
    exactly_one: &[&METHODS],
    ..keys(
        "a figure",
        &[
            must("label", Shape::Text, "What the figure is called."),
            may("when", Shape::Condition, "The figure is worked out only then."),
            CALC,
            WITH,
            CIRCUIT,
            CLOSED,
            OUT,
            HELD,
            FIND,
        ],
    )
};

pub static CHECK: Keys = Keys {
    at_least_one: &LIMITS,
    ..keys(
        "a check",
        &[
            must("id", Shape::Slug, "The name of the check."),
            may("when", Shape::Condition, "The check is made only then."),
            must(
                "of",
                Shape::Reference,
                "What is judged: a field of the card or a figure.",
            ),
            AT_LEAST,
            AT_MOST,
            AROUND,
            WITHIN,
            EQUALS,
            ONE_OF,
            may(
                "advice",
                Shape::YesNo,
                "Whether a failure only shows, and the card is accepted all the same.",
            ),
            must("says", Shape::Text, "Shown when it fails."),
            may("fits", Shape::Text, "Shown when it holds."),
            may("because", Shape::Text, "The reason, one sentence."),
            NO_CONCESSION,
        ],
    )
};

pub static GUARD: Keys = keys(
    "a guard",
    &[
        must(
            "act",
            Shape::Slug,
            "The act that waits, as steps name it under `acts`.",
        ),
        must(
            "after",
            Shape::StepRef,
            "The step whose hold point must stand released, as `procedure.step`.",
        ),
        must(
            "because",
            Shape::Sentence,
            "The reason, shown where the act waits.",
        ),
    ],
);

pub static PLAYED: Keys = keys(
    "a line of `procedures`",
    &[
        must("procedure", Shape::Slug, "The slug of the procedure."),
        may("when", Shape::Condition, "The procedure is played only then."),
    ],
);
