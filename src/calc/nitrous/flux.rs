//! The flow of liquid nitrous oxide through a short bore: three models of its mass flux.
//!
//! As a liquid that does not boil (SPI), as liquid and vapour in equilibrium all the way (HEM), and Dyer's mean of
//! the two. Fluxes are in kg/(m²·s) and for a discharge coefficient of 1.
use super::helmholtz::{CRITICAL_K, Isotherm, Phase, TRIPLE_K};
use super::saturation::{self, Pair};
use super::{StateError, state};
use crate::to_say;

/// The first step down the saturation line in search of the greatest flux, in K.
const STRIDE_K: f64 = 5.0;
/// The temperature in the throat is found to this; at a maximum the flux then misses about one part in 1e8.
const THROAT_WITHIN_K: f64 = 1e-3;

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
    /// line itself is the first candidate; beyond it the greatest is where the mixture reaches its own speed of sound.
    ///
    /// # Errors
    /// Where the flux still rises at the triple point.
    pub fn critical(&self) -> Result<Critical, StateError> {
        let line = Throat::of(self, &self.meets);
        if line.room <= 0.0 {
            return Ok(line.critical(true));
        }
        let mut warm = line;
        let mut stride_k = STRIDE_K;
        while warm.temperature_k > TRIPLE_K {
            let cold = Throat::at(self, (warm.temperature_k - stride_k).max(TRIPLE_K))?;
            if cold.room <= 0.0 {
                return self.between(warm, cold);
            }
            // Straight on to where the room would end, and a little beyond, so that the next pair encloses it.
            let ends_k = cold.room * (warm.temperature_k - cold.temperature_k) / (warm.room - cold.room);
            stride_k = if ends_k > 0.0 {
                (1.2 * ends_k + 0.2).min(4.0 * stride_k)
            } else {
                2.0 * stride_k
            };
            warm = cold;
        }
        Err(StateError::Temperature {
            found_k: self.temperature_k,
            lowest_k: TRIPLE_K,
            highest_k: CRITICAL_K,
            bounds: to_say!("and so near its lower end that the flow would choke below the triple point"),
        })
    }

    /// The end of the room between two throats, by false position with the stale end's weight halved (Illinois).
    fn between(&self, mut warm: Throat, mut cold: Throat) -> Result<Critical, StateError> {
        let (mut warm_room, mut cold_room) = (warm.room, cold.room);
        let (mut last, mut moved_warm) = (f64::INFINITY, None);
        for _ in 0..100 {
            let share = warm_room / (warm_room - cold_room);
            let kelvin = warm.temperature_k + share * (cold.temperature_k - warm.temperature_k);
            let middle = Throat::at(self, kelvin)?;
            if (kelvin - last).abs() <= THROAT_WITHIN_K || middle.room == 0.0 {
                return Ok(middle.critical(false));
            }
            let on_warm_side = middle.room > 0.0;
            let stale = if moved_warm == Some(on_warm_side) {
                0.5
            } else {
                1.0
            };
            if on_warm_side {
                (warm, warm_room, cold_room) = (middle, middle.room, stale * cold_room);
            } else {
                (cold, cold_room, warm_room) = (middle, middle.room, stale * warm_room);
            }
            (last, moved_warm) = (kelvin, Some(on_warm_side));
        }
        Err(StateError::NotConverged)
    }

    /// Dyer's mean: (κ·SPI + HEM)/(1 + κ) with κ = √((p₁ − p₂)/(p_sat − p₂)); SPI alone at or above saturation.
    ///
    /// # Errors
    /// A back pressure above that before the bore; as [`Upstream::critical`], and as [`Upstream::equilibrium`]
    /// where the flow is not choked or its equilibrium part is left falling.
    pub fn dyer(&self, back_pa: f64, when_choked: WhenChoked) -> Result<f64, StateError> {
        self.admit(back_pa)?;
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
    /// A back pressure above that before the bore; as [`Upstream::critical`] and [`Upstream::equilibrium`].
    pub fn held(&self, back_pa: f64) -> Result<f64, StateError> {
        self.admit(back_pa)?;
        let critical = self.critical()?;
        if back_pa <= critical.pressure_pa {
            return Ok(critical.flux_kg_m2_s);
        }
        self.equilibrium(back_pa)
    }

    /// Refuses a pressure behind the bore that is none, or is not below the one before it.
    fn admit(&self, back_pa: f64) -> Result<(), StateError> {
        if (0.0..=self.pressure_pa).contains(&back_pa) {
            return Ok(());
        }
        Err(StateError::Pressure {
            found_pa: back_pa,
            lowest_pa: 0.0,
            highest_pa: self.pressure_pa,
            bounds: to_say!("from a vacuum to the pressure before the bore"),
        })
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
    /// What is left up to the speed of sound of the mixture, 1 − w²/c²: above zero the flux still rises as the
    /// pressure falls. c² = −v²·dp/dv along the isentrope.
    room: f64,
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
            room: 1.0 + speed_squared * volume_slope / (volume * volume * pair.pressure_slope()),
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
