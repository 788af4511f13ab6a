//! What a hose loses to friction and fittings.
use super::jet_flow::DENSITY;
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::table::Tables;

/// Flow and bore to a pressure drop.
pub static SPEC: Spec = Spec {
    id: "hose-drop",
    revision: 1,
    title: "Pressure drop of a fuel hose",
    equation: "Δp = (f · L/d + K) · ρ · v²/2; laminar f = 64/Re, else 1/√f = −2 · log10(ε/(3.7 · d) + 2.51/(Re · √f))",
    inputs: &[
        InputSpec::number(
            "flow",
            "Flow",
            "V",
            "through the hose",
            Range::new("l/h", 0.1, 1000.0, "fuel systems of cars"),
            Need::Required,
        ),
        InputSpec::number(
            "bore",
            "Inside diameter",
            "d",
            "inside diameter",
            Range::new("mm", 1.0, 25.0, "fuel hoses of cars"),
            Need::Required,
        ),
        InputSpec::number(
            "length",
            "Hose length",
            "L",
            "of the hose",
            Range::new("m", 0.01, 20.0, "lengths of a car's fuel lines"),
            Need::Required,
        ),
        DENSITY,
        InputSpec::number(
            "viscosity",
            "Viscosity",
            "μ",
            "dynamic; petrol has about 0.4 to 0.6 mPa·s at 20 °C (from memory)",
            Range::new("mPa·s", 0.1, 10.0, "petrols and alcohols, warm to cold"),
            Need::Required,
        ),
        InputSpec::number(
            "roughness",
            "Wall roughness",
            "ε",
            "of the bore's wall",
            Range::new("µm", 0.0, 500.0, "smooth plastic to corrugated rubber"),
            Need::Required,
        ),
        InputSpec::number(
            "losses",
            "Loss coefficients",
            "K",
            "the sum of the loss coefficients of bends and fittings",
            Range::new("1", 0.0, 200.0, "a handful of fittings"),
            Need::Required,
        ),
    ],
    outputs: &[
        OutputSpec::new("drop", "Pressure drop", "Δp", "from one end to the other", "kPa"),
        OutputSpec::new("reynolds", "Reynolds number", "Re", "Reynolds number", "1"),
        OutputSpec::new("velocity", "Mean velocity", "v", "mean, in the bore", "m/s"),
        OutputSpec::words(
            "regime",
            "Flow regime",
            "laminar, transitional or turbulent",
            &["laminar", "transitional", "turbulent"],
        ),
    ],
    assumptions: &[
        "Steady flow of one liquid in a straight, full, round bore; both ends at one height.",
        "From Re 2300 to 4000 nobody can say which law holds: the turbulent one, which loses more, is used and flagged.",
        "The Colebrook equation is solved until it no longer changes.",
    ],
    sources: &[
        Source::new(
            "Darcy-Weisbach and Colebrook",
            "as in fluids 1.3.1",
            Mark::Computed,
        ),
        Source::new("Moody chart", "relative roughness to 0.05", Mark::Memory),
    ],
    example: &[
        ("flow", "150 l/h"),
        ("bore", "8 mm"),
        ("length", "1 m"),
        ("density", "745 kg/m3"),
        ("viscosity", "0.5 mPa s"),
        ("roughness", "1.5 µm"),
        ("losses", "0"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// Below it the flow is laminar.
const LAMINAR_ENDS: f64 = 2300.0;
/// Above it the flow is turbulent.
const TURBULENT_BEGINS: f64 = 4000.0;
/// The roughest wall of the Moody chart, relative to the bore.
const ROUGHEST: f64 = 0.05;

/// What [`hose_drop`] takes.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub flow_m3_s: f64,
    pub bore_m: f64,
    pub length_m: f64,
    pub density_kg_m3: f64,
    pub viscosity_pa_s: f64,
    pub roughness_m: f64,
    /// Sum of loss coefficients.
    pub losses: f64,
}

/// What [`hose_drop`] finds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Drop {
    pub drop_pa: f64,
    pub reynolds: f64,
    pub velocity_m_s: f64,
}

/// Drop, Reynolds number and velocity of the flow in a hose.
///
/// Δp = (f · L/d + K) · ρ · v²/2, Re = ρ · v · d / μ
///
/// # Inputs
/// Flow in m³/s, bore and length in m, density in kg/m³ (600 to 1100), viscosity in Pa·s (1e-4 to 0.01),
/// roughness in m (at most 5 % of the bore), loss coefficients (0 to 200).
///
/// # Result
/// Pa, the Reynolds number, m/s.
///
/// # Assumptions
/// Laminar to Re 2300; above it Colebrook, the greater of the two laws in the transitional span.
///
/// # Source
/// Darcy-Weisbach with the Darcy (not Fanning) factor; rows computed with fluids 1.3.1.
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::hose_drop::{Inputs, hose_drop};
/// let found = hose_drop(Inputs {
///     flow_m3_s: 150.0 / 3.6e6, bore_m: 8e-3, length_m: 1.0, density_kg_m3: 745.0,
///     viscosity_pa_s: 5e-4, roughness_m: 1.5e-6, losses: 0.0,
/// });
/// assert!((found.drop_pa - 1000.4).abs() < 0.05);
/// ```
pub fn hose_drop(inputs: Inputs) -> Drop {
    let area_m2 = std::f64::consts::PI * inputs.bore_m * inputs.bore_m / 4.0;
    let velocity_m_s = inputs.flow_m3_s / area_m2;
    let reynolds = inputs.density_kg_m3 * velocity_m_s * inputs.bore_m / inputs.viscosity_pa_s;
    let factor = friction_factor(reynolds, inputs.roughness_m / inputs.bore_m);
    let head_pa = inputs.density_kg_m3 * velocity_m_s * velocity_m_s / 2.0;
    let drop_pa = (factor * inputs.length_m / inputs.bore_m + inputs.losses) * head_pa;
    Drop {
        drop_pa,
        reynolds,
        velocity_m_s,
    }
}

/// The Darcy friction factor: 64/Re to Re 2300, above it the Colebrook equation.
///
/// Newton's method on x = 1/√f, whose equation x + 2·log10(ε/3.7 + 2.51·x/Re) = 0 rises steadily and bends
/// one way, so that it converges from any start above zero.
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds <= LAMINAR_ENDS {
        return 64.0 / reynolds;
    }
    let mut x = 7.0;
    for _ in 0..50 {
        let inside = relative_roughness / 3.7 + 2.51 * x / reynolds;
        let residual = x + 2.0 * inside.log10();
        let slope = 1.0 + 2.0 * 2.51 / (reynolds * inside * std::f64::consts::LN_10);
        let step = residual / slope;
        x -= step;
        if step.abs() <= 1e-15 * x {
            break;
        }
    }
    1.0 / (x * x)
}

fn regime(reynolds: f64) -> &'static str {
    if reynolds <= LAMINAR_ENDS {
        "laminar"
    } else if reynolds < TURBULENT_BEGINS {
        "transitional"
    } else {
        "turbulent"
    }
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let inputs = Inputs {
        flow_m3_s: given.si("flow")?,
        bore_m: given.si("bore")?,
        length_m: given.si("length")?,
        density_kg_m3: given.si("density")?,
        viscosity_pa_s: given.si("viscosity")?,
        roughness_m: given.si("roughness")?,
        losses: given.si("losses")?,
    };
    if inputs.roughness_m > ROUGHEST * inputs.bore_m {
        return Err(given.refuse(
            "roughness",
            "expected no more than 5 % of the bore, where the Colebrook equation ends",
        ));
    }
    let found = hose_drop(inputs);
    let regime = regime(found.reynolds);
    Ok(Found::new()
        .si("drop", found.drop_pa)
        .si("reynolds", found.reynolds)
        .si("velocity", found.velocity_m_s)
        .text("regime", regime)
        .note_if(
            regime == "transitional",
            note!("Re {number} lies between 2300 and 4000, where the flow may be either: the greater, turbulent drop is given.", number = format!("{:.0}", found.reynolds)),
        ))
}

#[cfg(test)]
pub(super) mod tests {
    use super::friction_factor;
    use crate::calc::check::{Expected::Text, Kind, Row, check, exact, number, refused};

    const FLUIDS: &str = "fluids 1.3.1, exact Colebrook";

    #[test]
    fn friction_factor_as_fluids_computes_it() {
        let rows = [
            (4000.0, 0.0, 0.03990701),
            (1e4, 1e-4, 0.03103721),
            (1e5, 1e-4, 0.01851387),
            (1e5, 1e-3, 0.02217454),
            (1e6, 1e-5, 0.01186954),
            (1e7, 1e-2, 0.03790983),
        ];
        for (reynolds, roughness, expected) in rows {
            let found = friction_factor(reynolds, roughness);
            assert!(
                (found - expected).abs() <= 5.01e-9,
                "Re {reynolds}, ε/d {roughness}: {found} ({FLUIDS})"
            );
        }
    }

    /// The equation itself: with the factor put in, both sides agree far within 1e-8.
    #[test]
    fn friction_factor_satisfies_colebrook() {
        for exponent in 0..60 {
            let reynolds = 2301.0 * 10_f64.powf(f64::from(exponent) / 10.0);
            for roughness in [0.0, 1e-6, 1e-4, 1e-2, 0.05] {
                let root = friction_factor(reynolds, roughness).sqrt();
                let right = -2.0 * (roughness / 3.7 + 2.51 / (reynolds * root)).log10();
                assert!(
                    (1.0 / root - right).abs() <= 1e-12 / root,
                    "Re {reynolds}, ε/d {roughness}"
                );
            }
        }
        assert_eq!(friction_factor(1000.0, 0.0), 0.064);
    }

    #[test]
    pub(in crate::calc) fn rows() {
        let petrol = |inputs: &str| -> &'static str {
            Box::leak(format!("density=745 kg/m3; viscosity=0.5 mPa s; losses=0; {inputs}").into_boxed_str())
        };
        let per_metre = |inputs, kpa| number(inputs, "drop", (kpa, "kPa"), 5e-5, Kind::Independent, FLUIDS);
        let eight = petrol("flow=150 l/h; bore=8 mm; length=1 m; roughness=1.5 µm");
        let slow = petrol("flow=40 l/h; bore=8 mm; length=1 m; roughness=1.5 um");
        let rows: &[Row] = &[
            per_metre(eight, 1.0004),
            number(eight, "reynolds", (9880.87, "1"), 5e-3, Kind::Independent, FLUIDS),
            number(
                eight,
                "velocity",
                (0.82893, "m/s"),
                5e-6,
                Kind::Independent,
                FLUIDS,
            ),
            exact(eight, "regime", Text("turbulent"), Kind::Independent, FLUIDS),
            per_metre(
                petrol("flow=150 l/h; bore=6 mm; length=100 cm; roughness=1.5"),
                3.9341,
            ),
            per_metre(
                petrol("flow=1000 ml/min; bore=4.7 mm; length=1 m; roughness=1.5 µm"),
                2.5447,
            ),
            per_metre(
                petrol("flow=250 l/h; bore=8 mm; length=1 m; roughness=10 µm"),
                2.6207,
            ),
            per_metre(slow, 0.1034),
            exact(slow, "regime", Text("transitional"), Kind::Independent, FLUIDS),
            exact(
                petrol("flow=30 l/h; bore=8 mm; length=1 m; roughness=0"),
                "regime",
                Text("laminar"),
                Kind::Property,
                "Re 1976",
            ),
        ];
        check("hose-drop", rows);
    }

    #[test]
    pub(in crate::calc) fn fittings_lose_their_share_of_the_velocity_head() {
        let inputs =
            "flow=150 l/h; bore=8 mm; length=1 m; roughness=1.5 µm; density=745; viscosity=0.5; losses=10";
        let expected_kpa = 1.0004 + 10.0 * 745.0 * 0.82893_f64.powi(2) / 2e3;
        check(
            "hose-drop",
            &[number(
                inputs,
                "drop",
                (expected_kpa, "kPa"),
                1e-4,
                Kind::Property,
                "K · ρ · v²/2 on top",
            )],
        );
    }

    #[test]
    fn transitional_flow_is_said() {
        let outcome = crate::calc::check::run_typed(
            "hose-drop",
            "flow=40 l/h; bore=8 mm; length=1 m; roughness=1.5 µm; density=745; viscosity=0.5; losses=0",
        );
        let notes = outcome.unwrap().notes_in(&crate::words::Words::english());
        assert!(
            notes[0].starts_with("Re 2635 lies between 2300 and 4000"),
            "{notes:?}"
        );
    }

    #[test]
    fn refusals() {
        refused(
            "hose-drop",
            &[
                (
                    "flow=40 l/h; bore=8 mm; length=1 m; roughness=450 µm; density=745; viscosity=0.5; losses=0",
                    "`roughness`: found 450 µm, expected no more than 5 % of the bore",
                ),
                (
                    "flow=0 l/h; bore=8 mm; length=1 m; roughness=0; density=745; viscosity=0.5; losses=0",
                    "`flow`: found 0 l/h, valid from 0.1 l/h to 1000 l/h",
                ),
            ],
        );
    }
}
