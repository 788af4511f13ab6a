//! Liquid and vapour in equilibrium: equal pressure and equal Gibbs energy at one temperature.
use super::helmholtz::{CRITICAL_K, CRITICAL_KG_M3, Isotherm, Phase, TRIPLE_K};
use super::{StateError, start, within};
use crate::to_say;

/// The pressures in Pa between which liquid and vapour meet: at the triple point and at the critical temperature.
pub const LOWEST_PA: f64 = 87_837.439_225_8;
/// See [`LOWEST_PA`].
pub const CRITICAL_PA: f64 = 7_244_707.992_062;
const BOUNDS: &str = to_say!("from the triple point to the critical point");

/// Steps after which the search gives up; it needs one, or a few within a degree of the critical point.
const MOST_STEPS: usize = 12;
/// The search converges quadratically: a step of s leaves an error near s²·P''/2P', so that a square below this
/// part of the slope P' leaves the densities true to about 1e-12·P''/2, whatever the slope.
const LAST_SQUARE: f64 = 1e-12;
/// A step in temperature this small leaves an error near s²·p''/2p', about 1e-8 K.
const LAST_STEP_K: f64 = 1e-3;

/// Liquid and vapour in equilibrium.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Saturation {
    pub temperature_k: f64,
    pub pressure_pa: f64,
    pub liquid_kg_m3: f64,
    pub vapour_kg_m3: f64,
}

/// The same with every property of both phases.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Pair {
    pub temperature_k: f64,
    pub pressure_pa: f64,
    pub liquid: Phase,
    pub vapour: Phase,
}

/// How a saturated phase changes per kelvin along the saturation line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Slope {
    /// Of the specific volume, in m³/(kg·K).
    pub volume: f64,
    /// Of the specific entropy, in J/(kg·K²).
    pub entropy: f64,
}

/// Saturation at a temperature.
///
/// # Errors
/// Outside 182.33 K to 309.52 K.
pub fn at_temperature(temperature_k: f64) -> Result<Saturation, StateError> {
    solve(&isotherm(temperature_k)?)
}

/// Saturation at an absolute pressure.
///
/// Newton's method on ln p(T), whose slope is Clapeyron's.
///
/// # Errors
/// Outside the pressures of the triple point and of the critical temperature.
pub fn at_pressure(pressure_pa: f64) -> Result<Saturation, StateError> {
    if !within(pressure_pa, LOWEST_PA * (1.0 - 1e-9), CRITICAL_PA * (1.0 + 1e-9)) {
        return Err(StateError::Pressure {
            found_pa: pressure_pa,
            lowest_pa: LOWEST_PA,
            highest_pa: CRITICAL_PA,
            bounds: BOUNDS,
        });
    }
    let mut temperature_k = start::temperature_k(pressure_pa);
    for _ in 0..MOST_STEPS {
        temperature_k = temperature_k.clamp(TRIPLE_K, CRITICAL_K);
        let pair = Pair::at_temperature(temperature_k)?;
        let step_k = (pressure_pa - pair.pressure_pa) / pair.pressure_slope();
        temperature_k += step_k;
        if step_k.abs() <= LAST_STEP_K {
            return at_temperature(temperature_k.clamp(TRIPLE_K, CRITICAL_K));
        }
    }
    Err(StateError::NotConverged)
}

fn isotherm(temperature_k: f64) -> Result<Isotherm, StateError> {
    if within(temperature_k, TRIPLE_K, CRITICAL_K) {
        return Ok(Isotherm::new(temperature_k));
    }
    Err(StateError::Temperature {
        found_k: temperature_k,
        lowest_k: TRIPLE_K,
        highest_k: CRITICAL_K,
        bounds: BOUNDS,
    })
}

/// Newton's method on both equalities at once. With P = δ(1 + δαʳδ) and J = ln δ + αʳ + δαʳδ the slope of J is
/// that of P over δ, so one division solves for the step of both phases, and P + P'·dδ is the pressure to the
/// next order.
fn solve(isotherm: &Isotherm) -> Result<Saturation, StateError> {
    let (mut liquid, mut vapour) = start::densities(isotherm.temperature_k());
    for _ in 0..MOST_STEPS {
        let (in_liquid, in_vapour) = (isotherm.residual(liquid), isotherm.residual(vapour));
        let unequal_pressure = vapour * (1.0 + in_vapour.d) - liquid * (1.0 + in_liquid.d);
        let unequal_gibbs =
            (vapour / liquid).ln() + (in_vapour.a + in_vapour.d) - (in_liquid.a + in_liquid.d);
        let liquid_rise = (unequal_gibbs - unequal_pressure / vapour) / (1.0 / liquid - 1.0 / vapour);
        let vapour_rise = liquid_rise - unequal_pressure;
        let pressure = vapour * (1.0 + in_vapour.d) + vapour_rise;
        let (liquid_slope, vapour_slope) = (in_liquid.slope(), in_vapour.slope());
        let (liquid_step, vapour_step) = (liquid_rise / liquid_slope, vapour_rise / vapour_slope);
        liquid += liquid_step;
        vapour += vapour_step;
        if done(liquid_step / liquid, liquid_slope) && done(vapour_step / vapour, vapour_slope) {
            return Ok(Saturation {
                temperature_k: isotherm.temperature_k(),
                pressure_pa: pressure * isotherm.pressure_unit_pa(),
                liquid_kg_m3: liquid * CRITICAL_KG_M3,
                vapour_kg_m3: vapour * CRITICAL_KG_M3,
            });
        }
    }
    Err(StateError::NotConverged)
}

/// Whether a relative step was the last that was needed, at the slope P' it was taken on.
fn done(step: f64, slope: f64) -> bool {
    step * step <= LAST_SQUARE * slope
}

impl Pair {
    /// Both phases at a temperature.
    ///
    /// # Errors
    /// As [`at_temperature`].
    pub fn at_temperature(temperature_k: f64) -> Result<Pair, StateError> {
        let isotherm = isotherm(temperature_k)?;
        let found = solve(&isotherm)?;
        let heat = isotherm.heat();
        Ok(Pair {
            temperature_k,
            pressure_pa: found.pressure_pa,
            liquid: isotherm.phase_with(&heat, found.liquid_kg_m3),
            vapour: isotherm.phase_with(&heat, found.vapour_kg_m3),
        })
    }

    /// dp/dT along the saturation line in Pa/K, by Clapeyron.
    pub fn pressure_slope(&self) -> f64 {
        let entropy = self.vapour.entropy_j_kg_k - self.liquid.entropy_j_kg_k;
        entropy / (1.0 / self.vapour.density_kg_m3 - 1.0 / self.liquid.density_kg_m3)
    }

    /// How the liquid changes along the saturation line.
    pub fn liquid_slope(&self) -> Slope {
        slope(&self.liquid, self.temperature_k, self.pressure_slope())
    }

    /// How the vapour changes along the saturation line.
    pub fn vapour_slope(&self) -> Slope {
        slope(&self.vapour, self.temperature_k, self.pressure_slope())
    }
}

fn slope(phase: &Phase, temperature_k: f64, pressure_slope: f64) -> Slope {
    let density = phase.density_kg_m3;
    let by_volume = -density * density * phase.pressure_by_density;
    let volume = (pressure_slope - phase.pressure_by_temperature) / by_volume;
    Slope {
        volume,
        entropy: phase.heat_capacity_j_kg_k / temperature_k + phase.pressure_by_temperature * volume,
    }
}

#[cfg(test)]
mod tests {
    use super::at_temperature;

    /// ESDU 91022, another fit to measurements, its coefficients as several public programs carry them
    /// (second-hand): pressure in kPa, liquid and vapour in kg/m³.
    fn esdu(kelvin: f64) -> [f64; 3] {
        let (reduced, x) = (kelvin / 309.57, 1.0 - kelvin / 309.57);
        let y = 1.0 / reduced - 1.0;
        let third = |base: f64, thirds: i32| base.powf(f64::from(thirds) / 3.0);
        let pressure = -6.71893 * x + 1.35966 * x.powf(1.5) - 1.3779 * x.powf(2.5) - 4.051 * x.powi(5);
        let liquid = 1.72328 * third(x, 1) - 0.83950 * third(x, 2) + 0.51060 * x - 0.10412 * third(x, 4);
        let vapour = -1.00900 * third(y, 1) - 6.28792 * third(y, 2) + 7.50332 * y - 7.90463 * third(y, 4)
            + 0.629427 * third(y, 5);
        [
            7251.0 * (pressure / reduced).exp(),
            452.0 * liquid.exp(),
            452.0 * vapour.exp(),
        ]
    }

    /// The two sources differ by what measurements leave open: 0.2 % of pressure, 0.3 % of liquid density, and of
    /// vapour density 1 % to 20 °C, growing to 3 % at 35 °C.
    #[test]
    fn another_correlation_agrees() {
        for celsius in -20..=35 {
            let kelvin = f64::from(celsius) + 273.15;
            let found = at_temperature(kelvin).unwrap();
            let vapour_off = if celsius <= 20 { 0.01 } else { 0.031 };
            let ours = [
                (found.pressure_pa / 1e3, 0.0021),
                (found.liquid_kg_m3, 0.0028),
                (found.vapour_kg_m3, vapour_off),
            ];
            for ((value, within), other) in ours.into_iter().zip(esdu(kelvin)) {
                assert!(
                    (other / value - 1.0).abs() <= within,
                    "{celsius} °C: {value}, ESDU 91022 gives {other}"
                );
            }
        }
    }
}
