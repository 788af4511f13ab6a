//! Converts a quantity to another unit of its dimension.
use super::{
    CalcError, Calculator, Found, Given, InputKind, InputSpec, Mark, Need, OutputSpec, Source, Spec,
};
use crate::note;
use crate::quantity::{Quantity, QuantityError, Unit};
use crate::table::Tables;

/// Only a wire gauge rests on it.
const GAUGE_SOURCE: Source = super::copper::B258;

/// Units of measure and their factors.
pub static SPEC: Spec = Spec {
    id: "convert",
    revision: 1,
    title: "Convert a quantity to another unit",
    equation: "value in the new unit = value in SI / factor of the new unit (with its zero for a temperature)",
    inputs: &[
        InputSpec {
            name: "value",
            label: "Value",
            symbol: "x",
            about: "the quantity, with its unit",
            kind: InputKind::AnyQuantity,
            need: Need::Required,
        },
        InputSpec {
            name: "to",
            label: "Wanted unit",
            symbol: "u",
            about: "the unit wanted",
            kind: InputKind::UnitSymbol,
            need: Need::Required,
        },
    ],
    outputs: &[OutputSpec {
        name: "value",
        label: "Converted value",
        symbol: "y",
        about: "the quantity in the unit wanted",
        kind: super::OutputKind::InWantedUnit,
    }],
    assumptions: &[
        "Gauge stays gauge and absolute stays absolute: a conversion never adds the pressure of the air.",
        "The wire gauge converts as the area of a solid round wire.",
    ],
    sources: &[
        Source::new(
            "pint 0.25.3",
            "its default registry, which carries the factors of NIST SP 811 appendix B",
            Mark::Computed,
        ),
        GAUGE_SOURCE,
    ],
    example: &[("value", "43.5 psi"), ("to", "bar")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`convert`] takes.
#[derive(Clone, Copy, Debug)]
pub struct Inputs {
    pub value: Quantity,
    pub to: Unit,
}

/// The quantity in the unit wanted.
///
/// y = (x · factor of x's unit) / factor of the unit wanted; temperatures with their zeros, the wire gauge
/// by the area of its solid wire.
///
/// # Inputs
/// Any quantity, and any unit of its dimension.
///
/// # Result
/// The same quantity; in its own unit unchanged to the bit.
///
/// # Assumptions
/// Gauge stays gauge, absolute stays absolute.
///
/// # Source
/// NIST SP 811 appendix B (from memory), computed with pint 0.25.3.
///
/// # Errors
/// `WrongDimension` where the unit measures something else.
///
/// # Example
/// ```
/// use witnessmark::calc::convert::{Inputs, convert};
/// use witnessmark::quantity::{Quantity, Unit};
/// let to = Unit::find("bar").unwrap();
/// let found = convert(Inputs { value: Quantity::parse("43.5 psi", None).unwrap(), to }).unwrap();
/// assert!((found.value() - 2.999219).abs() < 5e-7);
/// ```
pub fn convert(inputs: Inputs) -> Result<Quantity, QuantityError> {
    inputs.value.to(inputs.to)
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let to = given.word("to").and_then(Unit::find);
    let to = to.ok_or_else(|| given.refuse("to", "expected the symbol of a unit"))?;
    let inputs = Inputs {
        value: given.quantity("value")?,
        to,
    };
    let found = convert(inputs).map_err(|error| match error {
        QuantityError::WrongDimension { .. } => {
            let dimension = inputs.value.dimension();
            let units: Vec<&str> = dimension.units().map(Unit::symbol).collect();
            given.refuse(
                "to",
                note!(
                    "expected a unit of {dimension}: {units}",
                    dimension = dimension.name(),
                    units = units.join(", ")
                ),
            )
        }
        source => CalcError::NotAQuantity {
            input: "value",
            source,
        },
    })?;
    let gauge = inputs.value.unit().is_gauge() || to.is_gauge();
    Ok(Found::new()
        .quantity("value", found)
        .idle_if(!gauge, GAUGE_SOURCE.key))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, check, number, refused};

    /// pint 0.25.3, each to the last digit kept.
    const PINT: &str = "pint 0.25.3";

    #[test]
    pub(in crate::calc) fn rows() {
        let row = |inputs, value, unit, within| {
            number(inputs, "value", (value, unit), within, Kind::Independent, PINT)
        };
        check(
            "convert",
            &[
                row("value=43.5psi; to=bar", 2.999219, "bar", 5e-7),
                row("value=3,0 bar; to=psi", 43.511321, "psi", 5e-7),
                row("value=1 lb/(hp h); to=g/kWh", 608.2774, "g/kWh", 5e-5),
                row("value=1 hp; to=W", 745.699872, "W", 5e-7),
                row("value=1 in-lb; to=N·m", 0.112984829, "N·m", 5e-10),
            ],
        );
    }

    #[test]
    fn refusals() {
        refused(
            "convert",
            &[
                (
                    "value=3 V; to=bar",
                    "`to`: found bar, expected a unit of a voltage: V, mV",
                ),
                (
                    "value=3 bar; to=furlong",
                    "`to`: found `furlong`, expected the symbol of a unit",
                ),
                ("value=3 bar", "`convert` needs `to`: the unit wanted"),
                ("value=x; to=bar", "`value`: found `x`, expected a number"),
                (
                    "value=3 bar; into=bar",
                    "`convert` has no input `into`; it has value, to",
                ),
            ],
        );
    }
}
