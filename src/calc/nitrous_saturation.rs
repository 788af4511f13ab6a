//! Nitrous oxide where liquid and vapour stand together: its temperature, pressure and densities.
use super::nitrous::{LEMMON_SPAN, STANDARD_AIR_PA, StateError, saturation};
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::table::Tables;

/// Temperatures at which there are liquid and vapour.
pub(super) const SATURATED: Range = Range::new(
    "°C",
    -90.82,
    36.37,
    "triple point to critical point of Lemmon and Span 2006",
);
pub(super) const AMBIENT: InputSpec = InputSpec::number(
    "ambient_pressure",
    "Air pressure",
    "p_0",
    "of the air, which a gauge reads from",
    Range::new("kPa", 60.0, 110.0, "from a mountain pass to a high at sea"),
    Need::Default("101.325 kPa"),
);
/// The pressure in a bottle, as far as it can mean saturation.
pub(super) const PRESSURE: InputSpec = InputSpec::number(
    "pressure",
    "Absolute pressure",
    "p",
    "absolute; instead of the temperature",
    Range::new(
        "kPa",
        87.84,
        7244.7,
        "triple point to critical point; above it a bottle is liquid-full or has no liquid, and its pressure tells no temperature",
    ),
    Need::Optional,
);
/// A bottle's gauge, as far as it can mean saturation.
pub(super) const GAUGE: InputSpec = InputSpec::number(
    "pressure_gauge",
    "Gauge pressure",
    "p_g",
    "as the gauge reads it; instead of the temperature",
    Range::new(
        "kPa",
        -13.48,
        7143.3,
        "triple point to critical point; above it a bottle is liquid-full or has no liquid, and its gauge tells no temperature",
    ),
    Need::Optional,
);

/// A temperature or a pressure to saturation.
pub static SPEC: Spec = Spec {
    id: "nitrous-saturation",
    revision: 1,
    title: "Saturation of nitrous oxide",
    equation: "p(T, ρ') = p(T, ρ''), g(T, ρ') = g(T, ρ''), with p and g from the Helmholtz energy α(δ, τ)",
    inputs: &[
        InputSpec::number(
            "temperature",
            "Temperature",
            "T",
            "of liquid and vapour; give this, or `pressure`, or `pressure_gauge`",
            SATURATED,
            Need::Optional,
        ),
        PRESSURE,
        GAUGE,
        AMBIENT,
    ],
    outputs: &[
        OutputSpec::new("temperature", "Temperature", "T", "of both phases", "°C"),
        OutputSpec::new("pressure", "Pressure", "p", "of both phases, absolute", "kPa"),
        OutputSpec::new(
            "pressure_abs",
            "Absolute pressure",
            "p",
            "the same, under its full name",
            "kPa",
        ),
        OutputSpec::new(
            "pressure_gauge",
            "Gauge pressure",
            "p_g",
            "what a gauge reads",
            "kPa",
        ),
        OutputSpec::new("liquid_density", "Liquid density", "ρ'", "of the liquid", "kg/m³"),
        OutputSpec::new(
            "vapour_density",
            "Vapour density",
            "ρ''",
            "of the vapour",
            "kg/m³",
        ),
    ],
    assumptions: &[
        "Pure nitrous oxide, liquid and vapour at one temperature and at rest.",
        "While any liquid is left under vapour the pressure tells the temperature, and says nothing of how much is left.",
        "A gauge above the saturation pressure of the bottle's own temperature means liquid-full, not warm.",
    ],
    sources: &[
        LEMMON_SPAN,
        Source::new(
            "NIST Chemistry WebBook",
            "fluid properties, saturation of nitrous oxide",
            Mark::SecondHand,
        ),
        Source::new("CoolProp 8.0.0", "HEOS backend, the check rows", Mark::Computed),
    ],
    example: &[("temperature", "20 °C")],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// Saturation of nitrous oxide at a temperature.
///
/// p(T, ρ') = p(T, ρ''), g(T, ρ') = g(T, ρ'')
///
/// # Inputs
/// Temperature in K (182.33 to 309.52).
///
/// # Result
/// Pressure in Pa, densities of liquid and vapour in kg/m³.
///
/// # Assumptions
/// Pure nitrous oxide in equilibrium.
///
/// # Source
/// Lemmon and Span 2006; rows computed with CoolProp 8.0.0.
///
/// # Errors
/// Outside the range of temperatures.
///
/// # Example
/// ```
/// let found = witnessmark::calc::nitrous_saturation::saturation(293.15).unwrap();
/// assert!((found.pressure_pa - 5_052_509.0).abs() < 1.0);
/// ```
pub fn saturation(temperature_k: f64) -> Result<saturation::Saturation, StateError> {
    saturation::at_temperature(temperature_k)
}

/// The one of the three that was given, and what saturates there.
fn found(given: &Given, air_pa: f64) -> Result<saturation::Saturation, CalcError> {
    let first = given.one_of(["temperature", "pressure", "pressure_gauge"])?;
    let value = given.si(first)?;
    let saturated = match first {
        "temperature" => saturation(value),
        "pressure" => saturation::at_pressure(value),
        _ => saturation::at_pressure(value + air_pa),
    };
    saturated.map_err(|error| error.refuse(given, first))
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let air_pa = given.si("ambient_pressure")?;
    let found = found(given, air_pa)?;
    Ok(Found::new()
        .si("temperature", found.temperature_k)
        .si("pressure", found.pressure_pa)
        .si("pressure_abs", found.pressure_pa)
        .si("pressure_gauge", found.pressure_pa - air_pa)
        .si("liquid_density", found.liquid_kg_m3)
        .si("vapour_density", found.vapour_kg_m3)
        .note("A gauge above the saturation pressure of the bottle's own temperature means liquid-full, not warm: keep away, cool it, weigh it.")
        .note_if(air_pa != STANDARD_AIR_PA, note!("The air is counted as {pressure} kPa.", pressure = air_pa / 1e3)))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused, run_typed};

    const COOLPROP: &str = "CoolProp 8.0.0 HEOS, tests/vectors/nitrous/vectors.csv";
    const NIST: &str = "NIST Chemistry WebBook, saturation of nitrous oxide (second-hand)";

    #[test]
    pub(in crate::calc) fn rows() {
        let computed = |inputs, output, value, unit| {
            number(
                inputs,
                output,
                (value, unit),
                1e-6 * f64::abs(value),
                Kind::Independent,
                COOLPROP,
            )
        };
        let printed = |inputs, output, value, unit, half| {
            number(inputs, output, (value, unit), half, Kind::Published, NIST)
        };
        let rows: &[Row] = &[
            computed("temperature=20 °C", "pressure", 5052.50906, "kPa"),
            computed("temperature=68 °F", "pressure_abs", 5052.50906, "kPa"),
            computed("temperature=20 °C", "pressure_gauge", 5052.50906 - 101.325, "kPa"),
            computed("temperature=20 °C", "liquid_density", 785.10402, "kg/m³"),
            computed("temperature=20 °C", "vapour_density", 157.98557, "kg/m³"),
            computed("pressure=5052.50906 kPa", "temperature", 20.0, "°C"),
            computed("pressure_gauge=4951.18406 kPa", "temperature", 20.0, "°C"),
            printed("pressure=700 psi", "temperature", 17.992, "°C", 5e-4),
            printed("pressure=700 psi", "liquid_density", 800.01, "kg/m³", 5.1e-3),
            printed("pressure=700 psi", "vapour_density", 147.77, "kg/m³", 5.1e-3),
            printed("pressure=30 psi", "temperature", -75.566, "°C", 5e-4),
            number(
                "temperature=-90.82 °C",
                "pressure",
                (87.8374, "kPa"),
                1e-4,
                Kind::Independent,
                "CoolProp 8.0.0, triple point",
            ),
            number(
                "temperature=36.37 °C",
                "pressure",
                (7244.708, "kPa"),
                1e-3,
                Kind::Independent,
                "CoolProp 8.0.0, p(309.52 K, ρc)",
            ),
        ];
        check("nitrous-saturation", rows);
    }

    /// Warmer is always higher, thinner liquid, denser vapour; and the pressure leads back to the temperature.
    #[test]
    fn rises_and_leads_back() {
        let value = |inputs: &str, output| {
            let outcome =
                run_typed("nitrous-saturation", inputs).unwrap_or_else(|error| panic!("{inputs}: {error}"));
            outcome
                .output(output)
                .and_then(crate::calc::Value::quantity)
                .unwrap()
                .value()
        };
        let mut last = (0.0, f64::INFINITY, 0.0);
        for celsius in -90..=36 {
            let inputs = format!("temperature={celsius} °C");
            let now = (
                value(&inputs, "pressure"),
                value(&inputs, "liquid_density"),
                value(&inputs, "vapour_density"),
            );
            assert!(now.0 > last.0 && now.1 < last.1 && now.2 > last.2, "{inputs}");
            let back = value(&format!("pressure={} kPa", now.0), "temperature");
            assert!(
                (back - f64::from(celsius)).abs() < 1e-7,
                "{inputs} leads back to {back} °C"
            );
            last = now;
        }
    }

    #[test]
    fn refusals() {
        refused(
            "nitrous-saturation",
            &[
                (
                    "temperature=36.38 °C",
                    "`temperature`: found 36.38 °C, valid from -90.82 °C to 36.37 °C (triple point",
                ),
                ("temperature=-90.83 °C", "`temperature`: found -90.83 °C, valid"),
                (
                    "pressure=75 bar",
                    "`pressure`: found 75 bar, valid from 87.84 kPa to 7244.7 kPa",
                ),
                ("pressure_gauge=80 bar", "`pressure_gauge`: found 80 bar, valid"),
                (
                    "temperature=20 °C; pressure=50 bar",
                    "`pressure`: found 50 bar, beside a temperature",
                ),
                (
                    "pressure_gauge=-13.4 kPa; ambient_pressure=90 kPa",
                    "`pressure_gauge`: found -13.4 kPa, 76600 Pa lies outside",
                ),
                ("", "`nitrous-saturation` needs `temperature`"),
            ],
        );
    }
}
