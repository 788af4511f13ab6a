//! The fuel that an engine asks for, and the part that added power adds.
use super::jet_flow::DENSITY;
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::table::Tables;

/// Power to a flow.
pub static SPEC: Spec = Spec {
    id: "fuel-demand",
    revision: 1,
    title: "Fuel demand of an engine with added power",
    equation: "flow = bsfc · (P_base + P_added) / ρ; added = bsfc · P_added / ρ",
    inputs: &[
        InputSpec::number(
            "base_power",
            "Base power",
            "P_base",
            "without nitrous",
            Range::new("kW", 1.0, 1000.0, "petrol engines of cars"),
            Need::Required,
        ),
        InputSpec::number(
            "added_power",
            "Added power",
            "P_added",
            "what the kit is jetted for",
            Range::new("kW", 0.0, 500.0, "kits of the trade"),
            Need::Required,
        ),
        InputSpec::number(
            "bsfc",
            "Specific fuel consumption",
            "b",
            "specific consumption at full throttle, rich",
            Range::new(
                "g/kWh",
                200.0,
                600.0,
                "below an engine's best of about 270 to 0.6 lb/hp·h of rich petrol, and 1.6 times that for ethanol",
            ),
            Need::Required,
        ),
        DENSITY,
    ],
    outputs: &[
        OutputSpec::new(
            "flow",
            "Fuel flow of the engine",
            "",
            "of the whole engine, for pump and line",
            "l/h",
        ),
        OutputSpec::new(
            "added_flow",
            "Added fuel flow",
            "",
            "for the added power alone, for the jet",
            "ml/min",
        ),
    ],
    assumptions: &[
        "One specific consumption for base and added power.",
        "0.5 lb/hp·h at full throttle is tuning practice, no source; a textbook's best is about 270 g/kWh (from memory).",
    ],
    sources: &[
        Source::new(
            "definition of specific consumption",
            "mass of fuel for an amount of work",
            Mark::Computed,
        ),
        Source::new("0.5 to 0.6 lb/hp·h when rich", "tuning practice", Mark::Practice),
        Source::new(
            "an engine-figures page",
            "270 to 320 g/kWh for petrol engines (meetcalculator.com)",
            Mark::Seen,
        ),
    ],
    example: &[
        ("base_power", "90 kW"),
        ("added_power", "50 hp"),
        ("bsfc", "0.5 lb/hp h"),
        ("density", "745 kg/m3"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`fuel_flow_m3_s`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub power_w: f64,
    pub bsfc_kg_j: f64,
    pub density_kg_m3: f64,
}

/// The fuel flow for a power, in m³/s.
///
/// flow = bsfc · P / ρ
///
/// # Inputs
/// Power in W, specific consumption in kg/J (1 g/kWh is 1/3.6e9 kg/J), density in kg/m³ (600 to 1100).
///
/// # Result
/// m³/s.
///
/// # Assumptions
/// The consumption is that of the working point.
///
/// # Source
/// The definition of specific consumption; rows computed in Python.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::fuel_demand::{Inputs, fuel_flow_m3_s};
/// let inputs = Inputs { power_w: 37_285.0, bsfc_kg_j: 304.14 / 3.6e9, density_kg_m3: 745.0 };
/// assert!((fuel_flow_m3_s(inputs) * 3.6e6 - 15.2213).abs() < 5e-4);
/// ```
pub fn fuel_flow_m3_s(inputs: Inputs) -> f64 {
    inputs.bsfc_kg_j * inputs.power_w / inputs.density_kg_m3
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let (base_w, added_w) = (given.si("base_power")?, given.si("added_power")?);
    let (bsfc_kg_j, density_kg_m3) = (given.si("bsfc")?, given.si("density")?);
    let flow_m3_s = |power_w| {
        fuel_flow_m3_s(Inputs {
            power_w,
            bsfc_kg_j,
            density_kg_m3,
        })
    };
    Ok(Found::new()
        .si("flow", flow_m3_s(base_w + added_w))
        .si("added_flow", flow_m3_s(added_w))
        .note("An estimate from a consumption that is assumed: the jet maker's chart and the dynamometer come first."))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    const PYTHON: &str = "bsfc · P / ρ in Python";

    #[test]
    pub(in crate::calc) fn rows() {
        let added = |inputs, litres_h: f64| {
            number(
                inputs,
                "added_flow",
                (litres_h * 1000.0 / 60.0, "ml/min"),
                1e-2,
                Kind::Independent,
                PYTHON,
            )
        };
        let rows: &[Row] = &[
            added(
                "base_power=90 kW; added_power=37.285 kW; bsfc=304.14 g/kWh; density=745",
                15.2213,
            ),
            added(
                "base_power=90 kW; added_power=37.285 kW; bsfc=270; density=745 kg/m3",
                13.5127,
            ),
            added(
                "base_power=90 kW; added_power=74.57 kW; bsfc=334.55 g/kWh; density=0.745 kg/L",
                33.4864,
            ),
            added(
                "base_power=90 kW; added_power=50 hp; bsfc=0.5 lb/hp h; density=745 kg/m3",
                15.2213,
            ),
            number(
                "base_power=37.285 kW; added_power=37.285 kW; bsfc=304.14 g/kWh; density=745",
                "flow",
                (30.4426, "l/h"),
                5e-4,
                Kind::Independent,
                PYTHON,
            ),
        ];
        check("fuel-demand", rows);
    }

    #[test]
    fn refusals() {
        refused(
            "fuel-demand",
            &[
                (
                    "base_power=90 kW; added_power=50 kW; bsfc=0.5; density=745",
                    "`bsfc`: found 0.5 g/kWh, valid from 200 g/kWh",
                ),
                (
                    "base_power=90 kW; added_power=50 A; bsfc=300; density=745",
                    "`added_power`: found 50 A, expected a power: W",
                ),
            ],
        );
    }
}
