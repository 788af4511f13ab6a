//! The keys of a circuit and of its parts.

use super::drawing::DRAWING;
use super::{Entry, Keys, Naming, Shape, keys, may, must, ordered};

/// A file under `circuits/`.
pub static CIRCUIT: Keys = ordered(
    "a circuit",
    &[
        must(
            "circuit",
            Shape::Slug,
            "The slug, equal to the file's name without `.yaml`.",
        ),
        must("title", Shape::Sentence, "What the circuit is called."),
        must(
            "revision",
            Shape::Revision,
            "Counts 1, 2 and so on; raise it with every change that people should know of.",
        ),
        must("ground", Shape::Slug, "The node that volts are measured against."),
        may(
            "given",
            Shape::Named(Naming::Name, &Shape::Map(&GIVEN), 0),
            "What is given, by names that parts use as figures.",
        ),
        must(
            "parts",
            Shape::List(&Shape::AnyMap(&PARTS), false),
            "The parts; the key that names a part says its kind.",
        ),
        may(
            "drawing",
            Shape::Map(&DRAWING),
            "How the circuit is drawn where a step shows it.",
        ),
    ],
);

pub static GIVEN: Keys = keys(
    "a given",
    &[
        must("label", Shape::Sentence, "What is given."),
        must("is", Shape::Amount, "Its value: a quantity, or a reference."),
        may(
            "within",
            Shape::Quantity,
            "How far it may lie from that: a quantity, or a percentage.",
        ),
        may("from", Shape::Quantity, "The least that it may be, beside `to`."),
        may("to", Shape::Quantity, "The most that it may be, beside `from`."),
        may("when", Shape::Condition, "It is given only then."),
    ],
);

const fn node(name: &'static str, about: &'static str) -> Entry {
    must(name, Shape::Slug, about)
}

const fn figure(name: &'static str, about: &'static str) -> Entry {
    must(name, Shape::PartFigure, about)
}

const WHEN: Entry = may("when", Shape::Condition, "The part is there only then.");
const FROM: Entry = node("from", "The node of its first end.");
const TO: Entry = node("to", "The node of its second end.");
const RESISTANCE: Entry = figure("resistance", "Its resistance.");
const CONTACT: Entry = figure("contact", "The resistance of its closed contact.");

pub static SOURCE: Keys = keys(
    "a source",
    &[
        node("source", "The name of the source."),
        node("plus", "The node of its plus."),
        node("minus", "The node of its minus."),
        figure("volts", "Its voltage without a load."),
        figure("internal", "Its inner resistance."),
        WHEN,
    ],
);
pub static WIRE: Keys = keys(
    "a wire",
    &[
        node("wire", "The name of the wire."),
        FROM,
        TO,
        may(
            "gauge",
            Shape::PartFigure,
            "Its conductor, beside `length` and `temperature`.",
        ),
        may("length", Shape::PartFigure, "Its length one way."),
        may("temperature", Shape::PartFigure, "The temperature of its copper."),
        may(
            "resistance",
            Shape::PartFigure,
            "Its resistance, in place of gauge, length and temperature.",
        ),
        WHEN,
    ],
);
pub static FUSE: Keys = keys(
    "a fuse",
    &[
        node("fuse", "The name of the fuse."),
        FROM,
        TO,
        figure("rating", "The current printed on it."),
        RESISTANCE,
        WHEN,
    ],
);
pub static SWITCH: Keys = keys(
    "a switch",
    &[node("switch", "The name of the switch."), FROM, TO, CONTACT, WHEN],
);
pub static RELAY: Keys = keys(
    "a relay",
    &[
        node("relay", "The name of the relay."),
        node("t86", "The node of its coil's terminal 86."),
        node("t85", "The node of its coil's terminal 85."),
        node("t30", "The node of its contact's terminal 30."),
        node("t87", "The node of terminal 87, closed when it is pulled in."),
        may(
            "t87a",
            Shape::Slug,
            "The node of terminal 87a, closed at rest; left out where it is insulated.",
        ),
        figure("coil", "The resistance of its coil."),
        figure("pull_in", "The coil voltage at which it surely pulls in."),
        figure("release", "The coil voltage at which it lets go."),
        CONTACT,
        WHEN,
    ],
);
pub static SOLENOID: Keys = keys(
    "a solenoid",
    &[
        node("solenoid", "The name of the solenoid."),
        FROM,
        TO,
        RESISTANCE,
        WHEN,
    ],
);
pub static LAMP: Keys = keys(
    "a lamp",
    &[node("lamp", "The name of the lamp."), FROM, TO, RESISTANCE, WHEN],
);
pub static DIODE: Keys = keys(
    "a diode",
    &[
        node("diode", "The name of the diode."),
        node("from", "The node of its anode."),
        node("to", "The node of its cathode, the marked side."),
        figure("drop", "The voltage that it takes when it conducts."),
        figure("slope", "Its resistance when it conducts."),
        WHEN,
    ],
);
pub static METER: Keys = keys(
    "a voltmeter",
    &[
        node("meter", "The name of the voltmeter."),
        node("red", "The node of its red probe."),
        node("black", "The node of its black probe."),
        figure("input", "Its inner resistance."),
        WHEN,
    ],
);

/// Every kind of part, in the order of `PartKind::ALL`.
pub static PARTS: [&Keys; 9] = [
    &SOURCE, &WIRE, &FUSE, &SWITCH, &RELAY, &SOLENOID, &LAMP, &DIODE, &METER,
];
