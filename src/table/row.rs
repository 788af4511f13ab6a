//! The rows of the tables, typed.
use super::TableError;
use super::cell::{Cells, Origin};
use crate::quantity::Quantity;

/// A wire size and the worst conductor sold under it.
#[derive(Clone, PartialEq, Debug)]
pub struct Wire {
    /// The name of the size: a gauge number or a nominal area.
    pub gauge: Quantity,
    /// The least conductor area that is sold as this size.
    pub least_area: Quantity,
    /// The highest resistance per length at 20 °C.
    pub most_resistance: Quantity,
    pub origin: Origin,
}

impl Wire {
    pub(super) fn of(cells: &Cells) -> Result<Wire, TableError> {
        Ok(Wire {
            gauge: cells.quantity("gauge", "mm²")?,
            least_area: cells.quantity("least_area", "mm²")?,
            most_resistance: cells.quantity("most_resistance", "mΩ/m")?,
            origin: cells.origin()?,
        })
    }
}

/// What a wire may carry without end.
#[derive(Clone, PartialEq, Debug)]
pub struct Ampacity {
    pub gauge: Quantity,
    /// The temperature that the insulation stands without end.
    pub insulation: Quantity,
    pub run: Run,
    pub current: Quantity,
    pub origin: Origin,
}

/// How a wire of the ampacity table runs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Run {
    /// Alone, in 30 °C.
    Outside,
    /// Alone in an engine space of 50 °C.
    Engine,
    /// In a large aircraft harness at altitude, 70 °C.
    Harness,
}

impl Ampacity {
    const RUNS: &'static [(&'static str, Run)] = &[
        ("outside", Run::Outside),
        ("engine", Run::Engine),
        ("harness", Run::Harness),
    ];

    pub(super) fn of(cells: &Cells) -> Result<Ampacity, TableError> {
        Ok(Ampacity {
            gauge: cells.quantity("gauge", "mm²")?,
            insulation: cells.quantity("insulation", "°C")?,
            run: cells.word("run", Ampacity::RUNS)?,
            current: cells.quantity("current", "A")?,
            origin: cells.origin()?,
        })
    }
}

/// What is left of the ampacity where loaded wires lie together.
#[derive(Clone, PartialEq, Debug)]
pub struct Bundle {
    pub from: Quantity,
    /// None for the last row, which has no end.
    pub to: Option<Quantity>,
    pub factor: Quantity,
    pub origin: Origin,
}

impl Bundle {
    pub(super) fn of(cells: &Cells) -> Result<Bundle, TableError> {
        Ok(Bundle {
            from: cells.quantity("from", "1")?,
            to: cells.optional_quantity("to", "1")?,
            factor: cells.quantity("factor", "1")?,
            origin: cells.origin()?,
        })
    }
}

/// A blade fuse.
#[derive(Clone, PartialEq, Debug)]
pub struct Fuse {
    pub rating: Quantity,
    pub colour: String,
    pub origin: Origin,
}

impl Fuse {
    pub(super) fn of(cells: &Cells) -> Result<Fuse, TableError> {
        Ok(Fuse {
            rating: cells.quantity("rating", "A")?,
            colour: cells.text("colour")?.to_string(),
            origin: cells.origin()?,
        })
    }
}

/// When a fuse opens at a multiple of its rating.
#[derive(Clone, PartialEq, Debug)]
pub struct FuseTime {
    /// The body: `blade` or `maxi`.
    pub body: String,
    pub multiple: Quantity,
    /// It must not open before; none where no lower limit is known.
    pub least: Option<Quantity>,
    /// It must have opened by then; none where it must carry without end.
    pub most: Option<Quantity>,
    /// The greatest rating that the row is for; none where it is for all.
    pub up_to: Option<Quantity>,
    pub origin: Origin,
}

impl FuseTime {
    pub(super) fn of(cells: &Cells) -> Result<FuseTime, TableError> {
        Ok(FuseTime {
            body: cells.text("body")?.to_string(),
            multiple: cells.quantity("multiple", "1")?,
            least: cells.optional_quantity("least", "s")?,
            most: cells.optional_quantity("most", "s")?,
            up_to: cells.optional_quantity("up_to", "A")?,
            origin: cells.origin()?,
        })
    }
}

/// What is left of a rating at a temperature, for a fuse or for a plastic tube.
#[derive(Clone, PartialEq, Debug)]
pub struct Derating {
    pub temperature: Quantity,
    pub factor: Quantity,
    pub origin: Origin,
}

impl Derating {
    pub(super) fn of(cells: &Cells) -> Result<Derating, TableError> {
        Ok(Derating {
            temperature: cells.quantity("temperature", "°C")?,
            factor: cells.quantity("factor", "1")?,
            origin: cells.origin()?,
        })
    }
}

/// A hose clamp and the diameters it closes on.
#[derive(Clone, PartialEq, Debug)]
pub struct Clamp {
    pub kind: ClampKind,
    pub least: Quantity,
    pub most: Quantity,
    pub band: Quantity,
    pub torque_low: Quantity,
    pub torque_high: Quantity,
    pub origin: Origin,
}

/// The kinds of hose clamp.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ClampKind {
    /// A fuel-injection clamp: its band is rolled outward at both edges.
    RolledEdge,
    /// A worm drive, whose slots cut hose.
    Worm,
}

impl Clamp {
    const KINDS: &'static [(&'static str, ClampKind)] =
        &[("rolled-edge", ClampKind::RolledEdge), ("worm", ClampKind::Worm)];

    pub(super) fn of(cells: &Cells) -> Result<Clamp, TableError> {
        let (least, most) = cells.span(("least", "most"), "mm")?;
        let (torque_low, torque_high) = cells.span(("torque_low", "torque_high"), "N·m")?;
        let kind = cells.word("kind", Clamp::KINDS)?;
        let band = cells.quantity("band", "mm")?;
        Ok(Clamp {
            kind,
            least,
            most,
            band,
            torque_low,
            torque_high,
            origin: cells.origin()?,
        })
    }
}

/// A class of fuel hose.
#[derive(Clone, PartialEq, Debug)]
pub struct HoseClass {
    pub class: String,
    /// Whether the class is meant for a fuel-injection rail.
    pub injection: bool,
    /// The working pressure of the class.
    pub working: Quantity,
    pub coldest: Quantity,
    pub hottest: Quantity,
    pub used_for: String,
    pub origin: Origin,
}

impl HoseClass {
    pub(super) fn of(cells: &Cells) -> Result<HoseClass, TableError> {
        let (coldest, hottest) = cells.span(("coldest", "hottest"), "°C")?;
        Ok(HoseClass {
            class: cells.text("class")?.to_string(),
            injection: cells.word("injection", &[("yes", true), ("no", false)])?,
            working: cells.quantity("working", "psi")?,
            coldest,
            hottest,
            used_for: cells.text("used_for")?.to_string(),
            origin: cells.origin()?,
        })
    }
}

/// Torque and turn of a 37° flare joint.
#[derive(Clone, PartialEq, Debug)]
pub struct Flare {
    /// The dash number: sixteenths of an inch of tube outside diameter.
    pub dash: Quantity,
    /// `aluminium`, `steel` (tube nuts) or `hose` (a hose's swivel nut).
    pub material: String,
    pub torque_low: Quantity,
    pub torque_high: Quantity,
    /// Flats of the nut from the contact of the seats.
    pub flats_low: Option<Quantity>,
    pub flats_high: Option<Quantity>,
    pub origin: Origin,
}

impl Flare {
    pub(super) fn of(cells: &Cells) -> Result<Flare, TableError> {
        let (torque_low, torque_high) = cells.span(("torque_low", "torque_high"), "N·m")?;
        Ok(Flare {
            dash: cells.quantity("dash", "1")?,
            material: cells.text("material")?.to_string(),
            torque_low,
            torque_high,
            flats_low: cells.optional_quantity("flats_low", "1")?,
            flats_high: cells.optional_quantity("flats_high", "1")?,
            origin: cells.origin()?,
        })
    }
}

/// A taper pipe thread.
#[derive(Clone, PartialEq, Debug)]
pub struct PipeThread {
    pub size: String,
    /// Threads in an inch.
    pub threads_per_inch: Quantity,
    /// How far it goes in by hand.
    pub hand_tight: Quantity,
    /// Turns of the wrench past hand-tight.
    pub turns_low: Quantity,
    pub turns_high: Quantity,
    pub origin: Origin,
}

impl PipeThread {
    pub(super) fn of(cells: &Cells) -> Result<PipeThread, TableError> {
        let (turns_low, turns_high) = cells.span(("turns_low", "turns_high"), "1")?;
        Ok(PipeThread {
            size: cells.text("size")?.to_string(),
            threads_per_inch: cells.quantity("threads_per_inch", "1")?,
            hand_tight: cells.quantity("hand_tight", "mm")?,
            turns_low,
            turns_high,
            origin: cells.origin()?,
        })
    }
}

/// How much a nitrous-oxide bottle may hold.
#[derive(Clone, PartialEq, Debug)]
pub struct Filling {
    /// The bottle's test pressure, at least.
    pub test_pressure: Quantity,
    /// The greatest mass for the bottle's water capacity.
    pub ratio: Quantity,
    pub origin: Origin,
}

impl Filling {
    pub(super) fn of(cells: &Cells) -> Result<Filling, TableError> {
        Ok(Filling {
            test_pressure: cells.quantity("test_pressure", "bar")?,
            ratio: cells.quantity("ratio", "kg/L")?,
            origin: cells.origin()?,
        })
    }
}
