//! The keys of a step and of what stands in it.

use super::band::{OUTPUT_BAND, READING_BAND};
use super::{Entry, Keys, Naming, SLUGS, STEPS, Shape, TEXTS, keys, may, must, ordered};

/// The longest text that a reading or a card field may ask for, in characters.
pub const LONGEST_TEXT: u32 = 500;
/// Who releases a hold point.
pub const RELEASES: [&str; 1] = ["supervisor"];

pub static STEP: Keys = ordered(
    "a step",
    &[
        must(
            "id",
            Shape::Slug,
            "The name of the step, unique in the procedure.",
        ),
        may(
            "when",
            Shape::Condition,
            "The step applies only then; conditions ask the job card alone.",
        ),
        may(
            "hazards",
            SLUGS,
            "Ids of `hazards.yaml`; those not in `before` are acknowledged before the command is shown.",
        ),
        must(
            "do",
            Shape::Text,
            "The command: one act, one sentence of at most 25 words that begins with a verb.",
        ),
        must("why", Shape::Text, "The reason."),
        must("right", Shape::Text, "What it looks like when it is right."),
        must("wrong", Shape::Text, "What goes wrong, and how it shows."),
        may(
            "tools",
            SLUGS,
            "Ids of `tools.yaml`; each stands in `tools` of `before` too.",
        ),
        may(
            "picture",
            Shape::Picture,
            "A file under `media/`, an SVG in the colours of the drawing language, or what is shown of a circuit or a layout.",
        ),
        may(
            "callouts",
            TEXTS,
            "What the numbers in the picture stand for, from 1; left out for a diagram, its own labels do.",
        ),
        may(
            "read",
            Shape::Named(Naming::Name, &Shape::Map(&READING), 0),
            "Readings, by names that are unique in the procedure.",
        ),
        may(
            "work_out",
            Shape::Named(Naming::Name, &Shape::Map(&WORK_OUT), 0),
            "Figures worked out here, by names that are unique in the procedure.",
        ),
        may(
            "acts",
            SLUGS,
            "What the step does that a job guards: `admits-petrol`, `connects-battery`, `opens-bottle` and others.",
        ),
        may(
            "temporary",
            Shape::Slug,
            "The name of a state that this step leaves and that a later step restores.",
        ),
        may(
            "restores",
            Shape::Slug,
            "The name of the state that this step restores.",
        ),
        may(
            "reopens",
            STEPS,
            "Steps that a rework here undoes, besides this one.",
        ),
        may(
            "hold",
            Shape::Map(&POINT),
            "A hold point: work stops until a supervisor releases it.",
        ),
        may(
            "witness",
            Shape::Map(&POINT),
            "A witness point: the supervisor is called, and work may go on.",
        ),
        may(
            "question",
            Shape::Map(&QUESTION),
            "A question that practice runs ask at this step.",
        ),
    ],
);

pub static POINT: Keys = keys(
    "a hold or witness point",
    &[
        must("by", Shape::OneOf(&RELEASES), "Who releases or attends it."),
        must(
            "covers",
            Shape::Covers,
            "The steps that it is about: a list, or `everything-so-far` in this procedure.",
        ),
        must("says", Shape::Text, "What the supervisor looks at."),
    ],
);

pub static QUESTION: Keys = keys(
    "a question",
    &[
        must("ask", Shape::Sentence, "The question."),
        must(
            "answers",
            Shape::List(&Shape::Map(&ANSWER), true),
            "The answers to choose from, exactly one of them right.",
        ),
    ],
);

pub static ANSWER: Keys = keys(
    "an answer",
    &[
        must("says", Shape::Sentence, "The answer."),
        must("right", Shape::YesNo, "Whether it is the right one."),
        must(
            "because",
            Shape::Sentence,
            "The reason why it is right or wrong, shown once it is chosen.",
        ),
    ],
);

/// The kinds of a reading.
pub const KINDS: [&str; 5] = ["unit", "yes_no", "choice", "text", "photo"];

pub static READING: Keys = Keys {
    exactly_one: &[&KINDS, &["band", "unjudged"]],
    ..keys(
        "a reading",
        &[
            must(
                "label",
                Shape::Text,
                "What the reading is called on the screen and on the record.",
            ),
            may(
                "unit",
                Shape::Unit,
                "The reading is a number in this unit; it may be typed in any other of its kind.",
            ),
            may("yes_no", Shape::Yes, "The reading is yes or no."),
            may(
                "choice",
                Shape::Named(Naming::Choice, &Shape::Sentence, 2),
                "The reading is one of these, each with the text that is shown.",
            ),
            may(
                "text",
                Shape::Count(LONGEST_TEXT),
                "The reading is a text of at most so many characters.",
            ),
            may(
                "photo",
                Shape::Yes,
                "The reading is a photograph, kept with the record; beside `unjudged`, since no band can judge it.",
            ),
            may(
                "with",
                Shape::Slug,
                "The kind of instrument, an id of `instruments.yaml`; beside `unit` alone.",
            ),
            may(
                "plausible",
                Shape::Map(&RANGE),
                "Outside this range a number is taken for a slip and asked again; left out, the range of its kind of quantity.",
            ),
            may("band", Shape::Map(&READING_BAND), "What the reading must lie in."),
            may(
                "unjudged",
                Shape::Sentence,
                "The reason why no band can judge it.",
            ),
        ],
    )
};

pub static RANGE: Keys = keys(
    "a range",
    &[
        must("from", Shape::Quantity, "The lowest value."),
        must("to", Shape::Quantity, "The highest value."),
    ],
);

pub const CALC: Entry = may(
    "calc",
    Shape::Calculator,
    "The id of a calculator; `witnessmark calc` lists them.",
);
pub const WITH: Entry = may(
    "with",
    Shape::Inputs,
    "The inputs of the calculator: quantities, choices and references.",
);
pub const CIRCUIT: Entry = may(
    "circuit",
    Shape::Slug,
    "The circuit that is asked, by its slug, in place of a calculator.",
);
pub const CLOSED: Entry = may("closed", SLUGS, "The switches that are on; all others are off.");
pub const OUT: Entry = may("out", SLUGS, "The parts that are taken out.");
pub const HELD: Entry = may("held", SLUGS, "The relays that were pulled in just before.");
/// What stands under each name of `find`.
static ASKS: Shape = Shape::Map(&FOUND);
pub const FIND: Entry = may(
    "find",
    Shape::Named(Naming::Name, &ASKS, 1),
    "What is asked of the circuit, by names.",
);

/// The two ways to work a figure out.
pub const METHODS: [&str; 2] = ["calc", "circuit"];

pub static WORK_OUT: Keys = Keys {
    exactly_one: &[&METHODS],
    ..keys(
        "a work-out",
        &[
            must("label", Shape::Text, "What the figure is called."),
            CALC,
            WITH,
            CIRCUIT,
            CLOSED,
            OUT,
            HELD,
            FIND,
            may(
                "band",
                Shape::Map(&OUTPUT_BAND),
                "What one of its outputs must lie in.",
            ),
        ],
    )
};

/// What a circuit may be asked.
pub const ASKED: [&str; 5] = ["volts", "amps", "contact_amps", "ohms", "pulled"];

pub static FOUND: Keys = Keys {
    exactly_one: &[&ASKED],
    ..keys(
        "what is asked",
        &[
            may(
                "volts",
                Shape::Nodes,
                "The voltage of a node against ground, or of a list of two: red over black.",
            ),
            may(
                "amps",
                Shape::Slug,
                "The current through a part, from its first end to its second.",
            ),
            may(
                "contact_amps",
                Shape::Slug,
                "The current through a relay's contact, from 30 outwards.",
            ),
            may(
                "ohms",
                Shape::Slug,
                "What an ohmmeter shows; the source that stands for it.",
            ),
            may("pulled", Shape::Slug, "Whether a relay is pulled in, yes or no."),
            may(
                "label",
                Shape::Sentence,
                "What the answer is called where a band rests on it; its name where this is left out.",
            ),
        ],
    )
};
