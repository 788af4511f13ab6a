//! Units, their dimensions and how a value in one becomes a value in SI.
use std::fmt;

use super::QuantityError;
use super::text::normal_symbol;
use super::units::UNITS;
use crate::say;
use crate::words::Words;

/// What kind of thing a unit measures. Two quantities compare only within one dimension.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Dimension {
    Number,
    Length,
    Area,
    Volume,
    Mass,
    Time,
    Angle,
    Temperature,
    TemperatureDifference,
    Pressure,
    Force,
    Torque,
    Energy,
    Power,
    Voltage,
    Current,
    Charge,
    Resistance,
    ResistancePerLength,
    Inductance,
    Frequency,
    RotationalSpeed,
    Velocity,
    VolumeFlow,
    MassFlow,
    MassFlux,
    Density,
    Viscosity,
    LeakRate,
    FuelConsumption,
}

impl Dimension {
    /// The dimension in words, with its article: `a pressure`.
    pub fn name(self) -> &'static str {
        match self {
            Dimension::Number => "a plain number",
            Dimension::Length => "a length",
            Dimension::Area => "an area",
            Dimension::Volume => "a volume",
            Dimension::Mass => "a mass",
            Dimension::Time => "a time",
            Dimension::Angle => "an angle",
            Dimension::Temperature => "a temperature",
            Dimension::TemperatureDifference => "a temperature difference",
            Dimension::Pressure => "a pressure",
            Dimension::Force => "a force",
            Dimension::Torque => "a torque",
            Dimension::Energy => "an energy",
            Dimension::Power => "a power",
            Dimension::Voltage => "a voltage",
            Dimension::Current => "a current",
            Dimension::Charge => "a charge",
            Dimension::Resistance => "a resistance",
            Dimension::ResistancePerLength => "a resistance per length",
            Dimension::Inductance => "an inductance",
            Dimension::Frequency => "a frequency",
            Dimension::RotationalSpeed => "a rotational speed",
            Dimension::Velocity => "a velocity",
            Dimension::VolumeFlow => "a volume flow",
            Dimension::MassFlow => "a mass flow",
            Dimension::MassFlux => "a mass flux",
            Dimension::Density => "a density",
            Dimension::Viscosity => "a viscosity",
            Dimension::LeakRate => "a leak rate",
            Dimension::FuelConsumption => "a specific fuel consumption",
        }
    }

    /// The units of this dimension, in the order of the table.
    pub fn units(self) -> impl Iterator<Item = Unit> {
        Unit::all().filter(move |unit| unit.dimension() == self)
    }

    /// The dimension and its units in words: `a pressure: Pa, kPa, bar, psi`.
    pub fn with_units(self) -> String {
        self.with_units_in(&Words::english())
    }

    /// The same in a language; units are the same in every one.
    pub fn with_units_in(self, words: &Words) -> String {
        let symbols: Vec<&str> = self
            .units()
            .filter(|unit| !unit.is_plain())
            .map(Unit::symbol)
            .collect();
        match self {
            Dimension::Number => say!(
                words,
                "{dimension}, or one in {units}",
                dimension = words.say(self.name()),
                units = symbols.join(", ")
            ),
            _ => format!("{}: {}", words.say(self.name()), symbols.join(", ")),
        }
    }
}

/// How a value becomes its SI value.
#[derive(Clone, Copy, Debug)]
pub(super) enum Scale {
    /// SI = value × numerator / denominator: two exact integers convert without a rounding more.
    Linear(f64, f64),
    /// SI = (value + offset) × numerator / denominator.
    Offset(f64, f64, f64),
    /// The wire gauge number of ASTM B258: d = 0.005 in × 92^((36 − n)/39).
    Gauge,
}

/// One row of the table of units.
#[derive(Debug)]
pub(super) struct Row {
    pub symbol: &'static str,
    /// Other spellings, normalised as [`normal_symbol`] does: a space stands for any separator or none.
    pub spellings: &'static [&'static str],
    pub dimension: Dimension,
    pub scale: Scale,
}

/// A unit that the workshop uses; a small handle, equal only to itself.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Unit(usize);

impl Unit {
    /// The unit of a symbol or spelling: `mm²`, `mm2`, `degC`, `N m`, `cc/min`, `PSI`.
    ///
    /// Letter case is forgiven where no other unit can be meant: `PSI` is psi, but `mPa` is never MPa.
    pub fn find(symbol: &str) -> Option<Unit> {
        let exact = UNITS.iter().position(|row| row.symbol == symbol);
        if let Some(index) = exact {
            return Some(Unit(index));
        }
        let found = normal_symbol(symbol);
        Unit::position(|known| matches(&found, known)).or_else(|| Unit::find_in_any_case(&found))
    }

    fn find_in_any_case(found: &str) -> Option<Unit> {
        let lower = found.to_lowercase();
        Unit::position(|known| same_size(found, known) && matches(&lower, &known.to_lowercase()))
    }

    fn position(is_it: impl Fn(&str) -> bool) -> Option<Unit> {
        let named = |row: &Row| is_it(&normal_symbol(row.symbol)) || row.spellings.iter().any(|s| is_it(s));
        UNITS.iter().position(named).map(Unit)
    }

    /// Every unit, grouped by dimension.
    pub fn all() -> impl Iterator<Item = Unit> {
        (0..UNITS.len()).map(Unit)
    }

    fn row(self) -> &'static Row {
        &UNITS[self.0]
    }

    /// The symbol as it is printed: `°C`, `mm²`, `ml/min`; `1` for a plain number.
    pub fn symbol(self) -> &'static str {
        self.row().symbol
    }

    /// What the unit measures.
    pub fn dimension(self) -> Dimension {
        self.row().dimension
    }

    /// Whether this is the unit of a plain number, whose symbol is not printed behind its value.
    pub fn is_plain(self) -> bool {
        self.symbol() == "1"
    }

    /// A value in this unit, in SI.
    pub(super) fn to_si(self, value: f64) -> f64 {
        match self.row().scale {
            Scale::Linear(numerator, denominator) => value * numerator / denominator,
            Scale::Offset(offset, numerator, denominator) => (value + offset) * numerator / denominator,
            Scale::Gauge => gauge_area_m2(value),
        }
    }

    /// A value in SI, in this unit.
    pub(super) fn of_si(self, si: f64) -> f64 {
        match self.row().scale {
            Scale::Linear(numerator, denominator) => si * denominator / numerator,
            Scale::Offset(offset, numerator, denominator) => si * denominator / numerator - offset,
            Scale::Gauge => gauge_of_area_m2(si),
        }
    }

    /// A difference in this unit, in SI. A step between two gauge numbers has no size of its own, so a
    /// gauge counts as the area that it names.
    pub(super) fn difference_to_si(self, value: f64) -> f64 {
        match self.row().scale {
            Scale::Offset(_, numerator, denominator) => value * numerator / denominator,
            _ => self.to_si(value),
        }
    }

    /// Refuses a wire gauge that does not exist.
    pub(super) fn check(self, value: f64) -> Result<(), QuantityError> {
        match self.row().scale {
            Scale::Gauge if !(-3.0..=56.0).contains(&value) => Err(QuantityError::NoSuchGauge {
                found: value.to_string(),
            }),
            _ => Ok(()),
        }
    }

    /// Whether this is the wire gauge, whose numbers fall as the wire grows.
    pub fn is_gauge(self) -> bool {
        matches!(self.row().scale, Scale::Gauge)
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

impl fmt::Debug for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Unit({})", self.symbol())
    }
}

/// A known spelling may be written with its separators or without: `N m`, `Nm`.
fn matches(found: &str, known: &str) -> bool {
    found == known || (known.contains(' ') && found == known.replace(' ', ""))
}

/// A leading m and M differ by a factor of a thousand million, so their case is never forgiven.
fn same_size(found: &str, known: &str) -> bool {
    let prefix = |text: &str| text.chars().next().filter(|c| c.eq_ignore_ascii_case(&'m'));
    prefix(found) == prefix(known)
}

const INCH_M: f64 = 0.0254;

fn gauge_area_m2(gauge: f64) -> f64 {
    let diameter_m = 0.005 * INCH_M * 92_f64.powf((36.0 - gauge) / 39.0);
    std::f64::consts::PI * diameter_m * diameter_m / 4.0
}

fn gauge_of_area_m2(area_m2: f64) -> f64 {
    let diameter_m = (4.0 * area_m2 / std::f64::consts::PI).sqrt();
    36.0 - 39.0 * (diameter_m / (0.005 * INCH_M)).ln() / 92_f64.ln()
}
