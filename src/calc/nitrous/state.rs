//! States off the saturation line: a compressed liquid, and what a closed vessel holds.
use super::helmholtz::{CRITICAL_K, CRITICAL_KG_M3, HIGHEST_PA, HOTTEST_K, Isotherm, TRIPLE_K};
use super::saturation::{self, Saturation};
use super::{StateError, within};
use crate::to_say;

const EQUATION: &str = to_say!("the range of the equation");

/// What a closed vessel holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Content {
    /// Liquid and vapour: the pressure is that of saturation, whatever the filling.
    TwoPhase,
    /// Liquid alone: the pressure rises steeply with warmth.
    Liquid,
    Vapour,
    /// Above the critical temperature.
    Supercritical,
}

impl Content {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Content::TwoPhase => "two-phase",
            Content::Liquid => "liquid",
            Content::Vapour => "vapour",
            Content::Supercritical => "supercritical",
        }
    }
}

/// A closed vessel at one temperature.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Vessel {
    pub pressure_pa: f64,
    pub content: Content,
    /// The liquid's share of the mass: 1 less the quality of vapour; none above the critical temperature.
    pub liquid_mass_share: Option<f64>,
    /// The liquid's share of the room; none above the critical temperature.
    pub liquid_volume_share: Option<f64>,
}

/// A rigid vessel filled with `fill_kg_m3`, at a temperature: along an isochore, two-phase and single-phase.
///
/// # Errors
/// Outside 182.33 K to 525 K, a density that is not above zero, or a pressure above 50 MPa.
pub fn vessel(temperature_k: f64, fill_kg_m3: f64) -> Result<Vessel, StateError> {
    if !within(temperature_k, TRIPLE_K, HOTTEST_K) {
        return Err(StateError::Temperature {
            found_k: temperature_k,
            lowest_k: TRIPLE_K,
            highest_k: HOTTEST_K,
            bounds: EQUATION,
        });
    }
    // Written so that a density which is not a number is refused as well.
    if !(fill_kg_m3 > 0.0 && fill_kg_m3 < 4.0 * CRITICAL_KG_M3) {
        return Err(StateError::Density {
            found_kg_m3: fill_kg_m3,
            bounds: to_say!("above nothing and below the frozen solid"),
        });
    }
    if temperature_k > CRITICAL_K {
        return single(temperature_k, fill_kg_m3, Content::Supercritical);
    }
    let line = saturation::at_temperature(temperature_k)?;
    if fill_kg_m3 >= line.liquid_kg_m3 {
        return single(temperature_k, fill_kg_m3, Content::Liquid);
    }
    if fill_kg_m3 <= line.vapour_kg_m3 {
        return single(temperature_k, fill_kg_m3, Content::Vapour);
    }
    Ok(two_phase(&line, fill_kg_m3))
}

fn single(temperature_k: f64, fill_kg_m3: f64, content: Content) -> Result<Vessel, StateError> {
    let pressure_pa = Isotherm::new(temperature_k).pressure_pa(fill_kg_m3);
    if !(pressure_pa > 0.0 && pressure_pa <= HIGHEST_PA) {
        return Err(StateError::Pressure {
            found_pa: pressure_pa,
            lowest_pa: 0.0,
            highest_pa: HIGHEST_PA,
            bounds: EQUATION,
        });
    }
    let share = match content {
        Content::Liquid => Some(1.0),
        Content::Vapour => Some(0.0),
        _ => None,
    };
    Ok(Vessel {
        pressure_pa,
        content,
        liquid_mass_share: share,
        liquid_volume_share: share,
    })
}

fn two_phase(line: &Saturation, fill_kg_m3: f64) -> Vessel {
    let share = (fill_kg_m3 - line.vapour_kg_m3) / (line.liquid_kg_m3 - line.vapour_kg_m3);
    Vessel {
        pressure_pa: line.pressure_pa,
        content: Content::TwoPhase,
        liquid_mass_share: Some(share * line.liquid_kg_m3 / fill_kg_m3),
        liquid_volume_share: Some(share),
    }
}

/// The temperature in K at which the liquid of a vessel fills all its room, where it does: ρ' (T) = fill.
///
/// None below the liquid's density at the critical temperature: such a filling boils dry or turns supercritical
/// instead. None either above the liquid's density at the triple point.
///
/// # Errors
/// Never within that range; it passes on what saturation refuses.
pub fn full_at_k(fill_kg_m3: f64) -> Result<Option<f64>, StateError> {
    let density = |kelvin: f64| saturation::at_temperature(kelvin).map(|line| line.liquid_kg_m3);
    let (mut cold, mut warm) = (TRIPLE_K, CRITICAL_K);
    if fill_kg_m3 < density(warm)? || fill_kg_m3 > density(cold)? {
        return Ok(None);
    }
    // The density falls steadily, and near its end too steeply for anything but halving.
    for _ in 0..60 {
        let middle = 0.5 * (cold + warm);
        if density(middle)? > fill_kg_m3 {
            cold = middle;
        } else {
            warm = middle;
        }
    }
    Ok(Some(0.5 * (cold + warm)))
}

/// The density in kg/m³ of a liquid pressed beyond saturation.
///
/// Newton's method from the saturated liquid, from whose side the pressure curves upward: the first step overshoots,
/// the others come back from one side.
///
/// # Errors
/// A temperature outside saturation's range, or a pressure below saturation or above 50 MPa.
pub fn liquid_kg_m3(temperature_k: f64, pressure_pa: f64) -> Result<f64, StateError> {
    let line = saturation::at_temperature(temperature_k)?;
    if !within(pressure_pa, line.pressure_pa, HIGHEST_PA) {
        return Err(StateError::Pressure {
            found_pa: pressure_pa,
            lowest_pa: line.pressure_pa,
            highest_pa: HIGHEST_PA,
            bounds: to_say!("from saturation at this temperature to the highest of the equation"),
        });
    }
    let isotherm = Isotherm::new(temperature_k);
    let unit_pa = isotherm.pressure_unit_pa();
    let mut delta = line.liquid_kg_m3 / CRITICAL_KG_M3;
    for _ in 0..100 {
        let residual = isotherm.residual(delta);
        let short = pressure_pa / unit_pa - delta * (1.0 + residual.d);
        // Near the critical point the isotherm is so flat that a whole step would leave the equation's densities.
        let step = (short / (1.0 + 2.0 * residual.d + residual.dd)).clamp(-0.2, 0.2);
        delta += step;
        // Near the critical point rounding alone makes steps greater than the first bound: there the pressure is met.
        if step.abs() <= 1e-13 * delta || short.abs() <= 1e-15 {
            return Ok(delta * CRITICAL_KG_M3);
        }
    }
    Err(StateError::NotConverged)
}
