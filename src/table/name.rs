//! The tables and their columns.
use super::TableError;

/// A table by its name in `content/tables/`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Table {
    Wire,
    Ampacity,
    Bundle,
    Fuse,
    FuseTime,
    FuseDerating,
    Clamp,
    HoseClass,
    TubeDerating,
    Flare,
    PipeThread,
    Filling,
}

/// A column and what stands in it.
type Column = (&'static str, &'static str);

const SOURCE: Column = ("source", "where the row stands: document, table, page");
const MARK: Column = ("mark", "seen, second-hand, memory, computed or practice");
const GAUGE: Column = ("gauge", "the name of the size: a gauge number or a nominal area");
const TEMPERATURE: Column = ("temperature", "a temperature");
const FACTOR: Column = ("factor", "what is left of the rating, as a plain number");

const WIRE: &[Column] = &[
    GAUGE,
    ("least_area", "the least conductor area sold as this size"),
    ("most_resistance", "the highest resistance per length at 20 °C"),
    SOURCE,
    MARK,
];
const AMPACITY: &[Column] = &[
    GAUGE,
    ("insulation", "the temperature that the insulation stands"),
    ("run", "outside, engine or harness"),
    ("current", "what it may carry without end"),
    SOURCE,
    MARK,
];
const BUNDLE: &[Column] = &[
    ("from", "loaded wires lying together, at least"),
    ("to", "and at most; empty in the last row"),
    FACTOR,
    SOURCE,
    MARK,
];
const FUSE: &[Column] = &[("rating", "a current"), ("colour", "of the body"), SOURCE, MARK];
const FUSE_TIME: &[Column] = &[
    ("body", "blade or maxi"),
    ("multiple", "the current as a multiple of the rating"),
    ("least", "it must not open before; empty where not known"),
    ("most", "it must have opened by then; empty where it must hold"),
    ("up_to", "the greatest rating that the row is for; empty for all"),
    SOURCE,
    MARK,
];
const DERATING: &[Column] = &[TEMPERATURE, FACTOR, SOURCE, MARK];
const CLAMP: &[Column] = &[
    ("kind", "rolled-edge or worm"),
    ("least", "the least diameter"),
    ("most", "the greatest diameter"),
    ("band", "the width of the band"),
    ("torque_low", "of the screw"),
    ("torque_high", "of the screw"),
    SOURCE,
    MARK,
];
const HOSE_CLASS: &[Column] = &[
    ("class", "as printed behind the number of the standard"),
    ("injection", "yes or no"),
    ("working", "the working pressure of the class"),
    ("coldest", "a temperature"),
    ("hottest", "a temperature"),
    ("used_for", "in words"),
    SOURCE,
    MARK,
];
const FLARE: &[Column] = &[
    ("dash", "sixteenths of an inch of tube outside diameter"),
    ("material", "aluminium, steel or hose"),
    ("torque_low", "lubricated"),
    ("torque_high", "lubricated"),
    ("flats_low", "flats from the contact of the seats; may be empty"),
    ("flats_high", "flats from the contact of the seats; may be empty"),
    SOURCE,
    MARK,
];
const FILLING: &[Column] = &[
    ("test_pressure", "stamped on the bottle, at least"),
    ("ratio", "the greatest mass for the bottle's water capacity"),
    SOURCE,
    MARK,
];
const PIPE_THREAD: &[Column] = &[
    ("size", "the nominal size, as a fraction"),
    ("threads_per_inch", "a plain number"),
    ("hand_tight", "the length engaged by hand"),
    ("turns_low", "turns of the wrench past hand-tight"),
    ("turns_high", "turns of the wrench past hand-tight"),
    SOURCE,
    MARK,
];

impl Table {
    /// Every table.
    pub const ALL: &'static [Table] = &[
        Table::Wire,
        Table::Ampacity,
        Table::Bundle,
        Table::Fuse,
        Table::FuseTime,
        Table::FuseDerating,
        Table::Clamp,
        Table::HoseClass,
        Table::TubeDerating,
        Table::Flare,
        Table::PipeThread,
        Table::Filling,
    ];

    /// The names of the tables, in the order of [`Table::ALL`].
    pub const NAMES: &'static [&'static str] = &[
        "wire",
        "ampacity",
        "bundle",
        "fuse",
        "fuse-time",
        "fuse-derating",
        "clamp",
        "hose-class",
        "tube-derating",
        "flare",
        "pipe-thread",
        "filling",
    ];

    /// The table of this name.
    ///
    /// # Errors
    /// `UnknownTable` with the legal names.
    pub fn find(name: &str) -> Result<Table, TableError> {
        let unknown = || TableError::UnknownTable {
            found: name.to_string(),
            legal: Table::NAMES.to_vec(),
        };
        let index = Table::NAMES
            .iter()
            .position(|known| *known == name)
            .ok_or_else(unknown)?;
        Ok(Table::ALL[index])
    }

    /// The name in `content/tables/`.
    pub fn name(self) -> &'static str {
        Table::NAMES[self as usize]
    }

    /// Each column and what stands in it.
    pub fn columns(self) -> &'static [Column] {
        match self {
            Table::Wire => WIRE,
            Table::Ampacity => AMPACITY,
            Table::Bundle => BUNDLE,
            Table::Fuse => FUSE,
            Table::FuseTime => FUSE_TIME,
            Table::FuseDerating | Table::TubeDerating => DERATING,
            Table::Clamp => CLAMP,
            Table::HoseClass => HOSE_CLASS,
            Table::Flare => FLARE,
            Table::Filling => FILLING,
            Table::PipeThread => PIPE_THREAD,
        }
    }
}
