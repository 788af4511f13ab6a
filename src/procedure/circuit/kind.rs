//! The kinds of part: how each is written, its ends and its figures.

use crate::quantity::Dimension;

/// A kind of part, by the key that names a part of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartKind {
    Source,
    Wire,
    Fuse,
    Switch,
    Relay,
    Solenoid,
    Lamp,
    Diode,
    Meter,
}

/// A figure that a part has, and what it measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Slot {
    pub name: &'static str,
    pub dimension: Dimension,
}

const fn slot(name: &'static str, dimension: Dimension) -> Slot {
    Slot { name, dimension }
}

const OHM: Dimension = Dimension::Resistance;
const VOLT: Dimension = Dimension::Voltage;

/// A wire is given by its resistance, or by these three.
pub const COPPER: [Slot; 3] = [
    slot("gauge", Dimension::Area),
    slot("length", Dimension::Length),
    slot("temperature", Dimension::Temperature),
];
/// The resistance of a wire.
pub const OF_WIRE: Slot = slot("resistance", OHM);

impl PartKind {
    pub const ALL: [PartKind; 9] = [
        Self::Source,
        Self::Wire,
        Self::Fuse,
        Self::Switch,
        Self::Relay,
        Self::Solenoid,
        Self::Lamp,
        Self::Diode,
        Self::Meter,
    ];

    /// The key that names the part.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Source => "source",
            Self::Wire => "wire",
            Self::Fuse => "fuse",
            Self::Switch => "switch",
            Self::Relay => "relay",
            Self::Solenoid => "solenoid",
            Self::Lamp => "lamp",
            Self::Diode => "diode",
            Self::Meter => "meter",
        }
    }

    /// With its article.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Source => "a source",
            Self::Wire => "a wire",
            Self::Fuse => "a fuse",
            Self::Switch => "a switch",
            Self::Relay => "a relay",
            Self::Solenoid => "a solenoid",
            Self::Lamp => "a lamp",
            Self::Diode => "a diode",
            Self::Meter => "a voltmeter",
        }
    }

    /// The ends that must be joined, from the first, where a current counts as going in, to the second.
    #[must_use]
    pub fn ends(self) -> &'static [&'static str] {
        match self {
            Self::Source => &["plus", "minus"],
            Self::Meter => &["red", "black"],
            Self::Relay => &["t86", "t85", "t30", "t87"],
            _ => &["from", "to"],
        }
    }

    /// The ends that may be left out.
    #[must_use]
    pub fn loose_ends(self) -> &'static [&'static str] {
        if self == Self::Relay { &["t87a"] } else { &[] }
    }

    /// The figures that must be there; of a wire, either [`OF_WIRE`] or [`COPPER`].
    #[must_use]
    pub fn figures(self) -> Vec<Slot> {
        match self {
            Self::Source => vec![slot("volts", VOLT), slot("internal", OHM)],
            Self::Wire => Vec::new(),
            Self::Fuse => vec![slot("rating", Dimension::Current), slot("resistance", OHM)],
            Self::Switch => vec![slot("contact", OHM)],
            Self::Relay => vec![
                slot("coil", OHM),
                slot("pull_in", VOLT),
                slot("release", VOLT),
                slot("contact", OHM),
            ],
            Self::Solenoid | Self::Lamp => vec![slot("resistance", OHM)],
            Self::Diode => vec![slot("drop", VOLT), slot("slope", OHM)],
            Self::Meter => vec![slot("input", OHM)],
        }
    }
}
