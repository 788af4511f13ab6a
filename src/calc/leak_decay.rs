//! The leak of a closed, dry branch from the decay of its gas pressure.
use super::{CalcError, Calculator, Found, Given, InputSpec, Mark, Need, OutputSpec, Range, Source, Spec};
use crate::note;
use crate::table::Tables;

const PRESSURE: Range = Range::new(
    "kPa",
    0.0,
    1000.0,
    "low regulated nitrogen, never the pressure of a bottle",
);
const TEMPERATURE: Range = Range::new(
    "°C",
    -20.0,
    60.0,
    "a workshop's air, where nitrogen is an ideal gas to 1 %",
);

/// Two pressures and temperatures to a leak.
pub static SPEC: Spec = Spec {
    id: "leak-decay",
    revision: 1,
    title: "Leak rate from a pressure decay",
    equation: "Q = V/t · (p1 − p2 · T1/T2), absolute pressures and temperatures",
    inputs: &[
        InputSpec::number(
            "volume",
            "Gas volume",
            "V",
            "of the gas between the closed ends",
            Range::new("cm3", 1.0, 10_000.0, "branches of a vehicle's lines"),
            Need::Required,
        ),
        InputSpec::number(
            "start_pressure",
            "Start pressure",
            "p1",
            "when the time began",
            PRESSURE,
            Need::Required,
        ),
        InputSpec::number(
            "start_temperature",
            "Start temperature",
            "T1",
            "of the gas then",
            TEMPERATURE,
            Need::Required,
        ),
        InputSpec::number(
            "end_pressure",
            "End pressure",
            "p2",
            "when the time ended",
            PRESSURE,
            Need::Required,
        ),
        InputSpec::number(
            "end_temperature",
            "End temperature",
            "T2",
            "of the gas then",
            TEMPERATURE,
            Need::Required,
        ),
        InputSpec::number(
            "time",
            "Time between the readings",
            "t",
            "between the readings",
            Range::new("s", 10.0, 86_400.0, "a glance to a day"),
            Need::Required,
        ),
        InputSpec::choice(
            "reference",
            "Pressure reference",
            "whether the gauge reads from the air or from nothing",
            &["gauge", "absolute"],
            Need::Required,
        ),
        InputSpec::number(
            "ambient_pressure",
            "Air pressure",
            "p_0",
            "of the air, added to gauge readings",
            Range::new("kPa", 60.0, 110.0, "from a mountain pass to a high at sea"),
            Need::Default("101.325 kPa"),
        ),
    ],
    outputs: &[
        OutputSpec::new(
            "leak",
            "Leak rate",
            "Q",
            "of gas at the start's temperature",
            "Pa·m³/s",
        ),
        OutputSpec::new(
            "std_cm3_s",
            "Leak rate, standard",
            "",
            "the same in cubic centimetres of one atmosphere, at the start's temperature",
            "std cm³/s",
        ),
        OutputSpec::new(
            "corrected_drop",
            "Corrected pressure drop",
            "",
            "of the pressure, had the temperature stayed",
            "kPa",
        ),
        OutputSpec::new(
            "thermal_share",
            "Thermal share",
            "",
            "the temperature's part in what moved the pressure",
            "1",
        ),
    ],
    assumptions: &[
        "A dry branch under nitrogen, closed at both ends, of fixed volume: never a rail full of petrol, never air near petrol.",
        "An ideal gas, and one temperature throughout. 1 K moves 400 kPa by 1.4 kPa: let it settle.",
        "The gas is warm or cold as its wall: measure there.",
        "Where both changes are nothing, the thermal share is 0.",
    ],
    sources: &[
        Source::new(
            "40 CFR 1065.644",
            "vacuum-decay leak rate, its equation and example inputs (ecfr.io)",
            Mark::Seen,
        ),
        Source::new("ASTM E2930", "form of the pressure-decay leak test", Mark::Memory),
    ],
    example: &[
        ("volume", "250 cm3"),
        ("start_pressure", "400 kPa"),
        ("start_temperature", "20 °C"),
        ("end_pressure", "398 kPa"),
        ("end_temperature", "19 °C"),
        ("time", "10 min"),
        ("reference", "absolute"),
    ],
};

pub(super) const CALCULATOR: Calculator = Calculator { spec: &SPEC, work };

/// What [`leak_decay`] takes: absolute pressures and temperatures.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Inputs {
    pub volume_m3: f64,
    pub start_pa: f64,
    pub start_k: f64,
    pub end_pa: f64,
    pub end_k: f64,
    pub time_s: f64,
}

/// What [`leak_decay`] finds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Leak {
    /// In Pa·m³/s at the start's temperature.
    pub leak_pa_m3_s: f64,
    pub corrected_drop_pa: f64,
    /// From 0 to 1.
    pub thermal_share: f64,
}

/// The leak behind a pressure decay.
///
/// Q = V/t · (p1 − p2 · T1/T2)
///
/// # Inputs
/// Volume in m³ (1e-6 to 0.01), absolute pressures in Pa, absolute temperatures in K, time in s (10 to 86 400).
///
/// # Result
/// Pa·m³/s at T1, the drop in Pa had the temperature stayed, and the temperature's share of all that moved the
/// pressure, as |p2 · T1/T2 − p2| against its sum with the size of the corrected drop.
///
/// # Assumptions
/// An ideal gas of one temperature in a fixed volume.
///
/// # Source
/// 40 CFR 1065.644 (equation and example inputs); ASTM E2930 form (from memory).
///
/// # Errors
/// None; the ranges are checked where the inputs enter.
///
/// # Example
/// ```
/// use witnessmark::calc::leak_decay::{Inputs, leak_decay};
/// let found = leak_decay(Inputs {
///     volume_m3: 250e-6, start_pa: 400e3, start_k: 293.15, end_pa: 398e3, end_k: 293.15, time_s: 600.0,
/// });
/// assert!((found.leak_pa_m3_s - 8.333333e-4).abs() < 5e-10);
/// ```
pub fn leak_decay(inputs: Inputs) -> Leak {
    let end_at_start_pa = inputs.end_pa * inputs.start_k / inputs.end_k;
    let corrected_drop_pa = inputs.start_pa - end_at_start_pa;
    let thermal_pa = (end_at_start_pa - inputs.end_pa).abs();
    let moved_pa = thermal_pa + corrected_drop_pa.abs();
    Leak {
        leak_pa_m3_s: inputs.volume_m3 / inputs.time_s * corrected_drop_pa,
        corrected_drop_pa,
        thermal_share: if moved_pa > 0.0 {
            thermal_pa / moved_pa
        } else {
            0.0
        },
    }
}

fn work(given: &Given, _: &Tables) -> Result<Found, CalcError> {
    let gauge = given.is("reference", "gauge");
    let air_pa = if gauge { given.si("ambient_pressure")? } else { 0.0 };
    let inputs = Inputs {
        volume_m3: given.si("volume")?,
        start_pa: given.si("start_pressure")? + air_pa,
        start_k: given.si("start_temperature")?,
        end_pa: given.si("end_pressure")? + air_pa,
        end_k: given.si("end_temperature")?,
        time_s: given.si("time")?,
    };
    let found = leak_decay(inputs);
    Ok(Found::new()
        .si("leak", found.leak_pa_m3_s)
        .si("std_cm3_s", found.leak_pa_m3_s)
        .si("corrected_drop", found.corrected_drop_pa)
        .si("thermal_share", found.thermal_share)
        .note("For a dry branch under nitrogen. A standard cubic centimetre is counted at one atmosphere and the start's temperature.")
        .note_if(found.corrected_drop_pa < 0.0, "The pressure rose more than the warmth explains: the branch had not settled, or gas came in. Measure again.")
        .note_if(found.thermal_share > 0.5, "More than half of what moved the pressure was temperature: wait until it is steady and measure again.")
        .note_if(gauge, note!("The air is counted as {pressure} kPa.", pressure = air_pa / 1e3))
        .idle_if(true, "ambient_pressure"))
}

#[cfg(test)]
pub(super) mod tests {
    use crate::calc::check::{Kind, Row, check, number, refused};

    const PYTHON: &str = "the equation in Python, its inputs in K";
    const CFR: &str =
        "40 CFR 1065.644 example inputs, turned from vacuum to pressure, 2.9657e-4 mol/s times R·T in Python";

    #[test]
    pub(in crate::calc) fn rows() {
        let branch = |rest: &str| -> &'static str {
            Box::leak(format!("volume=250 cm3; start_pressure=400 kPa; start_temperature=20 °C; time=600 s; reference=absolute; {rest}").into_boxed_str())
        };
        let steady = branch("end_pressure=398 kPa; end_temperature=20 °C");
        let cooled = branch("end_pressure=398 kPa; end_temperature=19 °C");
        let warmed = branch("end_pressure=401 kPa; end_temperature=22 °C");
        let gauge = "volume=0.25 L; start_pressure=298.675 kPa; start_temperature=68 °F; end_pressure=296.675 kPa; \
                     end_temperature=20 °C; time=10 min; reference=gauge";
        let vacuum = "volume=2 L; start_pressure=50.6 kPa; start_temperature=20 °C; end_pressure=25.3 kPa; \
                      end_temperature=20 °C; time=70 s; reference=absolute";
        let leak = |inputs, value, within| {
            number(
                inputs,
                "leak",
                (value, "Pa·m³/s"),
                within,
                Kind::Independent,
                PYTHON,
            )
        };
        let rows: &[Row] = &[
            leak(steady, 8.333333e-4, 5e-10),
            leak(cooled, 2.657026e-4, 5e-10),
            leak(warmed, 7.155260e-4, 5e-10),
            leak(gauge, 8.333333e-4, 5e-10),
            number(
                steady,
                "std_cm3_s",
                (8.224361e-3, "std cm³/s"),
                5e-9,
                Kind::Independent,
                PYTHON,
            ),
            number(
                cooled,
                "std_cm3_s",
                (2.622280e-3, "std cm³/s"),
                5e-9,
                Kind::Independent,
                PYTHON,
            ),
            number(
                cooled,
                "corrected_drop",
                (0.63769, "kPa"),
                1e-5,
                Kind::Independent,
                PYTHON,
            ),
            number(
                cooled,
                "thermal_share",
                (0.68, "1"),
                5e-3,
                Kind::Independent,
                PYTHON,
            ),
            number(
                steady,
                "thermal_share",
                (0.0, "1"),
                1e-12,
                Kind::Property,
                "the temperature stayed",
            ),
            number(
                vacuum,
                "leak",
                (7.228571e-1, "Pa·m³/s"),
                5e-8,
                Kind::Independent,
                CFR,
            ),
            number(
                vacuum,
                "leak",
                (2.9657e-4 * 8.314472 * 293.15, "Pa·m³/s"),
                2e-5,
                Kind::Published,
                CFR,
            ),
        ];
        check("leak-decay", rows);
    }

    /// Nothing leaks where pressure and temperature keep their ratio.
    #[test]
    fn warmth_alone_is_no_leak() {
        let inputs = super::Inputs {
            volume_m3: 1e-3,
            start_pa: 4e5,
            start_k: 290.0,
            end_pa: 4e5 * 300.0 / 290.0,
            end_k: 300.0,
            time_s: 60.0,
        };
        let found = super::leak_decay(inputs);
        assert!(
            found.leak_pa_m3_s.abs() < 1e-12 && (found.thermal_share - 1.0).abs() < 1e-12,
            "{found:?}"
        );
        // dp/p = dT/T in Python: 1 K moves 400 kPa at 293.15 K by 1.3645 kPa.
        let kelvin = super::Inputs {
            start_k: 293.15,
            end_k: 294.15,
            end_pa: 4e5 + 1364.5,
            ..inputs
        };
        let drop_pa = super::leak_decay(kelvin).corrected_drop_pa;
        assert!(drop_pa.abs() < 0.05, "1 K leaves {drop_pa} Pa");
    }

    #[test]
    fn refusals() {
        refused(
            "leak-decay",
            &[
                (
                    "volume=250 cm3; start_pressure=60 bar; start_temperature=20; end_pressure=4 bar; end_temperature=20; time=600; reference=gauge",
                    "`start_pressure`: found 60 bar, valid from 0 kPa to 1000 kPa (low regulated nitrogen",
                ),
                (
                    "volume=250 cm3; start_pressure=4 bar; start_temperature=20; end_pressure=4 bar; end_temperature=20; time=600",
                    "`leak-decay` needs `reference`",
                ),
            ],
        );
    }
}
