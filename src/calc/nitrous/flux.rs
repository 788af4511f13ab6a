//! The flow of liquid nitrous oxide through a short bore: three models of its mass flux.
//!
//! As a liquid that does not boil (SPI), as liquid and vapour in equilibrium all the way (HEM), and Dyer's mean of
//! the two. Fluxes are in kg/(m²·s) and for a discharge coefficient of 1.
use super::helmholtz::{CRITICAL_K, Isotherm, Phase, TRIPLE_K};
use super::saturation::{self, Pair};
use super::{StateError, state};

/// The first step down the saturation line in search of the greatest flux, in K.
const STRIDE_K: f64 = 5.0;
/// The temperature in the throat is found to this; at a maximum the flux then misses less than one part in 1e9.
const THROAT_WITHIN_K: f64 = 1e-4;

/// Liquid at rest before the bore.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Upstream {
    pub temperature_k: f64,
    pub pressure_pa: f64,
    /// Of saturation at this temperature.
    pub saturation_pa: f64,
    pub liquid: Phase,
    /// Where the liquid, expanded at constant entropy, meets the saturation line.
    meets: Pair,
}

/// The greatest equilibrium flux, and where in the expansion it stands.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Critical {
    pub flux_kg_m2_s: f64,
    /// In the throat. No lower pressure behind the bore passes more.
    pub pressure_pa: f64,
    pub temperature_k: f64,
    /// Whether it stands on the saturation line itself, where the flux has a kink.
    pub at_saturation: bool,
}

/// What the equilibrium part of Dyer's mean does once the flow is choked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum WhenChoked {
    /// It stays at its greatest, as a choked flow does.
    Held,
    /// It follows its curve down again, as in the printed form of the model; this needs a back pressure above that
    /// of the triple point.
    Falling,
}

impl Upstream {
    /// Liquid at saturation.
    ///
    /// # Errors
    /// A temperature outside saturation's range.
    pub fn saturated(temperature_k: f64) -> Result<Upstream, StateError> {
        let meets = Pair::at_temperature(temperature_k)?;
        Ok(Upstream {
            temperature_k,
            pressure_pa: meets.pressure_pa,
            saturation_pa: meets.pressure_pa,
            liquid: meets.liquid,
            meets,
        })
    }

    /// Liquid at a pressure at or above saturation.
    ///
    /// # Errors
    /// A temperature outside saturation's range, a pressure below saturation or above 50 MPa.
    pub fn pressed(temperature_k: f64, pressure_pa: f64) -> Result<Upstream, StateError> {
        let density_kg_m3 = state::liquid_kg_m3(temperature_k, pressure_pa)?;
        let liquid = Isotherm::new(temperature_k).phase(density_kg_m3);
        Ok(Upstream {
            temperature_k,
            pressure_pa,
            saturation_pa: saturation::at_temperature(temperature_k)?.pressure_pa,
            liquid,
            meets: meeting(temperature_k, liquid.entropy_j_kg_k)?,
        })
    }

    /// The pressure at which the expanding liquid begins to boil.
    pub fn boils_pa(&self) -> f64 {
        self.meets.pressure_pa
    }

    /// SPI, the single-phase incompressible flux: √(2·ρ₁·(p₁ − p₂)).
    pub fn incompressible(&self, back_pa: f64) -> f64 {
        (2.0 * self.liquid.density_kg_m3 * (self.pressure_pa - back_pa).max(0.0)).sqrt()
    }

    /// HEM, the homogeneous equilibrium flux to `back_pa`, not held at its greatest: ρ₂·√(2·(h₁ − h₂)), s₂ = s₁.
    ///
    /// # Errors
    /// A back pressure below that of the triple point.
    pub fn equilibrium(&self, back_pa: f64) -> Result<f64, StateError> {
        if back_pa >= self.pressure_pa {
            return Ok(0.0);
        }
        if back_pa >= self.boils_pa() {
            let phase = self.expanded_liquid(back_pa)?;
            return Ok(flux(
                self.speed_squared(phase.enthalpy_j_kg),
                1.0 / phase.density_kg_m3,
            ));
        }
        let pair = Pair::at_temperature(saturation::at_pressure(back_pa)?.temperature_k)?;
        let throat = Throat::of(self, &pair);
        Ok(flux(throat.speed_squared, throat.volume))
    }

    /// The greatest equilibrium flux over every pressure behind the bore.
    ///
    /// While the liquid does not boil, the flux only rises as the pressure falls, since liquid nitrous oxide stays
    /// slower than its own sound up to the saturation line. On that line the speed of sound falls at once, so the
    /// line itself is the first candidate; beyond it the greatest is where d(ln G)/dT = 0 along the isentrope.
    ///
    /// # Errors
    /// Where the flux still rises at the triple point.
    pub fn critical(&self) -> Result<Critical, StateError> {
        let line = Throat::of(self, &self.meets);
        if line.rise <= 0.0 {
            return Ok(line.critical(true));
        }
        let (mut warm, mut stride_k) = (line, STRIDE_K);
        while warm.temperature_k > TRIPLE_K {
            let cold = Throat::at(self, (warm.temperature_k - stride_k).max(TRIPLE_K))?;
            if cold.rise <= 0.0 {
                return self.between(warm, cold);
            }
            warm = cold;
            stride_k *= 1.5;
        }
        Err(StateError::Temperature {
            found_k: self.temperature_k,
            lowest_k: TRIPLE_K,
            highest_k: CRITICAL_K,
            bounds: "and so near its lower end that the flow would choke below the triple point",
        })
    }

    /// The root of the rise between two throats, by false position with the stale end's weight halved (Illinois).
    fn between(&self, mut warm: Throat, mut cold: Throat) -> Result<Critical, StateError> {
        let (mut warm_rise, mut cold_rise) = (warm.rise, cold.rise);
        let mut last = f64::INFINITY;
        for _ in 0..100 {
            let share = warm_rise / (warm_rise - cold_rise);
            let kelvin = warm.temperature_k + share * (cold.temperature_k - warm.temperature_k);
            let middle = Throat::at(self, kelvin)?;
            if (kelvin - last).abs() <= THROAT_WITHIN_K {
                return Ok(middle.critical(false));
            }
            last = kelvin;
            if middle.rise > 0.0 {
                (warm, warm_rise, cold_rise) = (middle, middle.rise, 0.5 * cold_rise);
            } else {
                (cold, cold_rise, warm_rise) = (middle, middle.rise, 0.5 * warm_rise);
            }
        }
        Err(StateError::NotConverged)
    }

    /// Dyer's mean: (κ·SPI + HEM)/(1 + κ) with κ = √((p₁ − p₂)/(p_sat − p₂)); SPI alone at or above saturation.
    ///
    /// # Errors
    /// As [`Upstream::critical`], and as [`Upstream::equilibrium`] where the flow is not choked or its equilibrium
    /// part is left falling.
    pub fn dyer(&self, back_pa: f64, when_choked: WhenChoked) -> Result<f64, StateError> {
        let incompressible = self.incompressible(back_pa);
        if back_pa >= self.saturation_pa {
            return Ok(incompressible);
        }
        let equilibrium = match when_choked {
            WhenChoked::Held => self.held(back_pa)?,
            WhenChoked::Falling => self.equilibrium(back_pa)?,
        };
        let kappa = ((self.pressure_pa - back_pa) / (self.saturation_pa - back_pa)).sqrt();
        Ok((kappa * incompressible + equilibrium) / (1.0 + kappa))
    }

    /// The equilibrium flux to `back_pa`, held at its greatest once it is choked.
    ///
    /// # Errors
    /// As [`Upstream::critical`] and [`Upstream::equilibrium`].
    pub fn held(&self, back_pa: f64) -> Result<f64, StateError> {
        let critical = self.critical()?;
        if back_pa <= critical.pressure_pa {
            return Ok(critical.flux_kg_m2_s);
        }
        self.equilibrium(back_pa)
    }

    fn speed_squared(&self, enthalpy_j_kg: f64) -> f64 {
        2.0 * (self.liquid.enthalpy_j_kg - enthalpy_j_kg).max(0.0)
    }

    /// The liquid at `pressure_pa` and the entropy it began with, by Newton's method on temperature and density.
    fn expanded_liquid(&self, pressure_pa: f64) -> Result<Phase, StateError> {
        let (mut kelvin, mut density) = (self.temperature_k, self.liquid.density_kg_m3);
        for _ in 0..50 {
            let phase = Isotherm::new(kelvin).phase(density);
            let (p_t, p_d) = (phase.pressure_by_temperature, phase.pressure_by_density);
            let (s_t, s_d) = (phase.heat_capacity_j_kg_k / kelvin, -p_t / (density * density));
            let (p, s) = (
                pressure_pa - phase.pressure_pa,
                self.liquid.entropy_j_kg_k - phase.entropy_j_kg_k,
            );
            let determinant = p_t * s_d - p_d * s_t;
            let (kelvins, densities) = (
                (p * s_d - p_d * s) / determinant,
                (p_t * s - p * s_t) / determinant,
            );
            kelvin += kelvins.clamp(-5.0, 5.0);
            density += densities.clamp(-50.0, 50.0);
            if kelvins.abs() <= 1e-10 * kelvin && densities.abs() <= 1e-10 * density {
                return Ok(Isotherm::new(kelvin).phase(density));
            }
        }
        Err(StateError::NotConverged)
    }
}

fn flux(speed_squared: f64, volume_m3_kg: f64) -> f64 {
    speed_squared.sqrt() / volume_m3_kg
}

/// Where a liquid of this entropy, at `warmest_k` or colder, is saturated: Newton's method along the line.
fn meeting(warmest_k: f64, entropy_j_kg_k: f64) -> Result<Pair, StateError> {
    let mut kelvin = warmest_k;
    for _ in 0..50 {
        let pair = Pair::at_temperature(kelvin)?;
        let step_k = (entropy_j_kg_k - pair.liquid.entropy_j_kg_k) / pair.liquid_slope().entropy;
        if step_k.abs() <= 1e-9 {
            return Ok(pair);
        }
        kelvin = (kelvin + step_k).min(warmest_k);
    }
    Err(StateError::NotConverged)
}

/// Liquid and vapour in the bore, at the entropy that the liquid began with.
#[derive(Clone, Copy, Debug)]
struct Throat {
    temperature_k: f64,
    pressure_pa: f64,
    volume: f64,
    speed_squared: f64,
    /// Above zero where the flux still rises as the temperature falls: v²·dp/dT + w²·dv/dT, which is
    /// −v·w²·d(ln G)/dT since dh = v·dp.
    rise: f64,
}

impl Throat {
    fn at(upstream: &Upstream, temperature_k: f64) -> Result<Throat, StateError> {
        Ok(Throat::of(upstream, &Pair::at_temperature(temperature_k)?))
    }

    fn of(upstream: &Upstream, pair: &Pair) -> Throat {
        let (liquid, vapour) = (pair.liquid_slope(), pair.vapour_slope());
        let (volume_l, volume_v) = (1.0 / pair.liquid.density_kg_m3, 1.0 / pair.vapour.density_kg_m3);
        let entropy_gap = pair.vapour.entropy_j_kg_k - pair.liquid.entropy_j_kg_k;
        let quality = (upstream.liquid.entropy_j_kg_k - pair.liquid.entropy_j_kg_k) / entropy_gap;
        let mean = |in_liquid: f64, in_vapour: f64| in_liquid + quality * (in_vapour - in_liquid);
        let quality_slope = -mean(liquid.entropy, vapour.entropy) / entropy_gap;
        let volume = mean(volume_l, volume_v);
        let volume_slope = mean(liquid.volume, vapour.volume) + quality_slope * (volume_v - volume_l);
        let enthalpy = mean(pair.liquid.enthalpy_j_kg, pair.vapour.enthalpy_j_kg);
        let speed_squared = upstream.speed_squared(enthalpy);
        Throat {
            temperature_k: pair.temperature_k,
            pressure_pa: pair.pressure_pa,
            volume,
            speed_squared,
            rise: volume * volume * pair.pressure_slope() + speed_squared * volume_slope,
        }
    }

    fn critical(&self, at_saturation: bool) -> Critical {
        Critical {
            flux_kg_m2_s: flux(self.speed_squared, self.volume),
            pressure_pa: self.pressure_pa,
            temperature_k: self.temperature_k,
            at_saturation,
        }
    }
}
