//! How rich the nitrous oxide and its petrol are together.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::table::Tables;

const FLOW: Range = Range::new("g/s", 0.1, 500.0, "kits of the trade");

/// Two flows to a mixture.
pub static SPEC: Spec = Spec {
    id: "mixture",
    revision: 1,
    title: "Mixture of nitrous oxide and fuel",
    equation: "ratio = m_N2O / m_fuel; stoichiometric = 2 · (c + h/4 − o/2) · M_N2O / M_fuel; richness = stoichiometric / ratio; power = m_fuel / bsfc",
    inputs: &[
        InputSpec::number(
            "nitrous_flow",
            "Nitrous flow",
            "m_N2O",
            "through the nitrous jet",
            FLOW,
            Need::Required,
        ),
        InputSpec::number(
            "fuel_flow",
            "Fuel flow",
            "m_fuel",
            "through the fuel jet",
            FLOW,
            Need::Required,
        ),
        InputSpec::choice(
            "fuel",
            "Fuel",
            "what burns",
            &["petrol", "iso-octane", "n-heptane", "toluene", "ethanol"],
            Need::Required,
        ),
        InputSpec::number(
            "bsfc",
            "Specific fuel consumption",
            "",
            "specific consumption, for the estimate of power",
            Range::new(
                "g/kWh",
                200.0,
                600.0,
                "below an engine's best of about 270 to 0.6 lb/hp·h of rich petrol, and 1.6 times that for ethanol",
            ),
            Need::Default("304 g/kWh"),
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "ratio",
            "Nitrous to fuel ratio",
            "",
            "mass of nitrous oxide for a mass of fuel",
            "1",
        ),
        OutputSpec::new(
            "stoichiometric",
            "Stoichiometric ratio",
            "",
            "the ratio that burns without a rest",
            "1",
        ),
        OutputSpec::new(
            "richness",
            "Equivalence ratio",
            "",
            "equivalence ratio: above 1 there is fuel left, below 1 oxygen",
            "1",
        ),
        OutputSpec::new(
            "added_power",
            "Added power, estimate",
            "",
            "estimate from the fuel alone",
            "kW",
        ),
    ],
    assumptions: &[
        "All oxygen of the nitrous oxide burns the fuel to carbon dioxide and water; the engine's own air and fuel are not in it.",
        "Petrol counts as CH1.87.",
        "304 g/kWh, which is 0.5 lb/hp·h, is tuning practice, no source: the power is an estimate, the dynamometer decides.",
    ],
    sources: &[
        Source::new(
            "IUPAC abridged atomic weights",
            "H 1.008, C 12.011, N 14.007, O 15.999",
            Mark::Memory,
        ),
        Source::new("a textbook of engines", "petrol as CH1.87", Mark::Memory),
        Source::new("0.5 lb/hp·h at full throttle", "tuning practice", Mark::Practice),
    ],
    example: &[
        ("nitrous_flow", "30 g/s"),
        ("fuel_flow", "5 g/s"),
        ("fuel", "petrol"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

const HYDROGEN_G_MOL: f64 = 1.008;
const CARBON_G_MOL: f64 = 12.011;
const OXYGEN_G_MOL: f64 = 15.999;
const NITROUS_OXIDE_G_MOL: f64 = 2.0 * 14.007 + OXYGEN_G_MOL;

/// What [`stoichiometric`] takes: the atoms in a molecule of fuel.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub carbon: f64,
    pub hydrogen: f64,
    pub oxygen: f64,
}

/// The mass of nitrous oxide that burns a mass of fuel without a rest.
///
/// stoichiometric = 2 · (c + h/4 − o/2) · M_N2O / M_fuel
///
/// # Inputs
/// Atoms of carbon, hydrogen and oxygen in a molecule of fuel.
///
/// # Result
/// kg of nitrous oxide for a kg of fuel.
///
/// # Assumptions
/// Complete combustion; each N2O gives one atom of oxygen.
///
/// # Source
/// IUPAC abridged atomic weights (from memory); rows computed in Python.
///
/// # Errors
/// None.
///
/// # Example
/// ```
/// use witnessmark::calc::mixture::{Inputs, stoichiometric};
/// let iso_octane = stoichiometric(Inputs { carbon: 8.0, hydrogen: 18.0, oxygen: 0.0 });
/// assert!((iso_octane - 9.6324).abs() < 5e-5);
/// ```
pub fn stoichiometric(inputs: Inputs) -> f64 {
    let oxygen_molecules = inputs.carbon + inputs.hydrogen / 4.0 - inputs.oxygen / 2.0;
    let fuel_g_mol =
        inputs.carbon * CARBON_G_MOL + inputs.hydrogen * HYDROGEN_G_MOL + inputs.oxygen * OXYGEN_G_MOL;
    2.0 * oxygen_molecules * NITROUS_OXIDE_G_MOL / fuel_g_mol
}

fn atoms(fuel: &str) -> Inputs {
    let (carbon, hydrogen, oxygen) = match fuel {
        "iso-octane" => (8.0, 18.0, 0.0),
        "n-heptane" => (7.0, 16.0, 0.0),
        "toluene" => (7.0, 8.0, 0.0),
        "ethanol" => (2.0, 6.0, 1.0),
        _ => (1.0, 1.87, 0.0),
    };
    Inputs {
        carbon,
        hydrogen,
        oxygen,
    }
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let fuel_kg_s = given.si("fuel_flow")?;
    let ratio = given.si("nitrous_flow")? / fuel_kg_s;
    let stoichiometric = stoichiometric(atoms(given.word("fuel").unwrap_or_default()));
    let richness = stoichiometric / ratio;
    Ok(Found::new()
        .si("ratio", ratio)
        .si("stoichiometric", stoichiometric)
        .si("richness", richness)
        .si("added_power", fuel_kg_s / given.si("bsfc")?)
        .note("The power is an estimate from an assumed consumption; the kit maker's jets and the dynamometer decide.")
        .note_if(richness < 1.0, "Lean: there is more oxygen than this fuel can burn, and it will burn the engine. Do not run these jets."))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused, run_typed};

    #[test]
    pub(in crate::calc) fn rows() {
        const PYTHON: &str = "IUPAC abridged atomic weights in Python";
        let fuel = |inputs, ratio| {
            number(
                inputs,
                "stoichiometric",
                (ratio, "1"),
                5.1e-5,
                Kind::Independent,
                PYTHON,
            )
        };
        let petrol = "nitrous_flow=30 g/s; fuel_flow=5 g/s; fuel=petrol";
        let demand = "nitrous_flow=20 g/s; fuel_flow=3.15 g/s; fuel=petrol; bsfc=304.14 g/kWh";
        let rows: &[Row] = &[
            fuel(petrol, 9.2961),
            fuel("nitrous_flow=30 g/s; fuel_flow=5 g/s; fuel=iso-octane", 9.6324),
            fuel("nitrous_flow=30 g/s; fuel_flow=5 g/s; fuel=n-heptane", 9.6631),
            fuel("nitrous_flow=30 g/s; fuel_flow=5 g/s; fuel=toluene", 8.5981),
            fuel("nitrous_flow=30 g/s; fuel_flow=5 g/s; fuel=ethanol", 5.7322),
            number(petrol, "ratio", (6.0, "1"), 1e-12, Kind::Independent, "30 over 5"),
            number(
                petrol,
                "richness",
                (9.2961 / 6.0, "1"),
                1e-5,
                Kind::Independent,
                PYTHON,
            ),
            number(
                demand,
                "added_power",
                (37.285, "kW"),
                5e-3,
                Kind::Independent,
                "bsfc · P = 3.1500 g/s in Python",
            ),
        ];
        check("mixture", rows);
    }

    /// Richness times ratio is the stoichiometric ratio; more fuel is richer and more power, in proportion.
    #[test]
    fn richness_goes_with_fuel() {
        let value = |fuel: f64, output| {
            let inputs = format!("nitrous_flow=30 g/s; fuel_flow={fuel} g/s; fuel=petrol");
            let outcome = run_typed("mixture", &inputs).unwrap();
            outcome
                .output(output)
                .and_then(crate::calc::Value::quantity)
                .unwrap()
                .value()
        };
        for fuel in [1.0, 2.5, 5.0, 7.0] {
            assert!(
                (value(fuel, "richness") * value(fuel, "ratio") / value(fuel, "stoichiometric") - 1.0).abs()
                    < 1e-12
            );
            for output in ["richness", "added_power"] {
                assert!(
                    (value(2.0 * fuel, output) / value(fuel, output) - 2.0).abs() < 1e-12,
                    "{output}"
                );
            }
        }
    }

    #[test]
    fn refusals() {
        refused(
            "mixture",
            &[
                (
                    "nitrous_flow=30 g/s; fuel_flow=5 g/s; fuel=diesel",
                    "`fuel`: found `diesel`, expected one of petrol, iso-octane",
                ),
                (
                    "nitrous_flow=30 g/s; fuel_flow=5 ml/min; fuel=petrol",
                    "`fuel_flow`: found 5 ml/min, expected a mass flow: g/s",
                ),
            ],
        );
    }
}
