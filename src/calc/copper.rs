//! Copper: its resistivity, its rise with temperature, and the area behind a wire size.
use super::{CalcError, Given, InputKind, InputSpec, Mark, Need, Range, Source};
use crate::to_say;

/// Annealed copper of 100 % IACS at 20 °C, in Ω·m (IEC 60028, from memory; ohm tables that were read agree).
pub const RESISTIVITY_OHM_M: f64 = 1.7241e-8;
/// The rise of its resistance per kelvin, referred to 20 °C (IEC 60028, from memory).
pub const COEFFICIENT_PER_K: f64 = 0.00393;

pub(super) const B258: Source = Source::new("ASTM B258", "d = 0.005 in × 92^((36 − n)/39)", Mark::Memory);
pub(super) const IACS: Source = Source::new(
    "IEC 60028",
    "1.7241e-8 Ω·m at 20 °C, 0.00393 per kelvin",
    Mark::Memory,
);
pub(super) const STRANDED: Source = Source::new(
    "AC 43.13-1B",
    "table 11-9, highest resistance of stranded tinned wire",
    Mark::Seen,
);

/// What a size without a row of stranded wire must be told.
pub(super) const NO_STRANDED_ROW: &str = to_say!(
    "No table here has stranded wire of this size: it may have up to 27 % more resistance than solid copper."
);

/// The wire sizes that the workshop's tables hold.
pub(super) const GAUGE: InputSpec = InputSpec::new(
    "gauge",
    "Wire size",
    "A",
    "the wire's size, a gauge number or its area",
    InputKind::Number(Range::new(
        "AWG",
        24.0,
        -3.0,
        "ASTM B258 sizes from signal wire to battery cable",
    )),
    Need::Required,
);

/// The temperatures between which the linear coefficient serves.
pub(super) const CONDUCTOR_TEMPERATURE: Range = Range::new(
    "°C",
    -40.0,
    200.0,
    "ISO 19642 wire classes A to F, -40 °C to 200 °C",
);

/// What a resistance at 20 °C is multiplied by at `temperature_c`.
pub fn temperature_factor(temperature_c: f64) -> f64 {
    1.0 + COEFFICIENT_PER_K * (temperature_c - 20.0)
}

/// The resistance in Ω of solid copper, `area_m2` thick and `length_m` long, at `temperature_c`.
pub fn resistance_ohm(area_m2: f64, length_m: f64, temperature_c: f64) -> f64 {
    RESISTIVITY_OHM_M * length_m / area_m2 * temperature_factor(temperature_c)
}

/// The size given, in m²; a gauge must be a whole number, since no other is sold.
pub(super) fn area_m2(given: &Given) -> Result<f64, CalcError> {
    let gauge = given.quantity("gauge")?;
    if gauge.unit().is_gauge() && gauge.value().fract() != 0.0 {
        return Err(given.refuse("gauge", "expected a whole gauge number"));
    }
    Ok(gauge.si())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Computed in Python from the linear coefficient; the inferred-zero form (234.5 + T)/254.5 of
    /// AC 43.13-1B paragraph 11-66 agrees within 7e-5.
    #[test]
    fn resistance_rises_with_temperature() {
        let rows = [
            (-20.0, 0.84280),
            (0.0, 0.92140),
            (20.0, 1.0),
            (60.0, 1.15720),
            (80.0, 1.23580),
            (105.0, 1.33405),
        ];
        for (temperature_c, expected) in rows {
            let found = temperature_factor(temperature_c);
            assert!((found - expected).abs() <= 5.1e-6, "{temperature_c} °C: {found}");
            let inferred_zero = (234.5 + temperature_c) / 254.5;
            assert!(
                (found - inferred_zero).abs() < 7e-5,
                "{temperature_c} °C: {found} and {inferred_zero}"
            );
        }
    }
}
