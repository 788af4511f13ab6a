//! The Helmholtz energy of nitrous oxide as Lemmon and Span (2006) give it, and the properties that follow from it.
//!
//! α(δ, τ) = α⁰ + αʳ with δ = ρ/ρc and τ = Tc/T, where
//! α⁰ = ln δ + 2.5 ln τ + a1 + a2 τ + Σ vₖ ln(1 − exp(−uₖ/T)) and
//! αʳ = Σ nᵢ τ^tᵢ δ^dᵢ exp(−δ^lᵢ), the exponential left out where l = 0.

/// Critical temperature in K.
pub const CRITICAL_K: f64 = 309.52;
/// Triple-point temperature in K, the lowest of the equation.
pub const TRIPLE_K: f64 = 182.33;
/// The highest temperature of the equation in K.
pub const HOTTEST_K: f64 = 525.0;
/// The highest pressure of the equation in Pa.
pub const HIGHEST_PA: f64 = 50e6;
/// Molar mass in kg/mol.
pub const MOLAR_MASS_KG_MOL: f64 = 0.044_012_8;
/// Critical density in kg/m³: 10.27 mol/dm³.
pub const CRITICAL_KG_M3: f64 = 10_270.0 * MOLAR_MASS_KG_MOL;
/// Gas constant in J/(kg·K): the molar one of the equation, 8.314472 J/(mol·K).
pub const GAS_CONSTANT_J_KG_K: f64 = 8.314_472 / MOLAR_MASS_KG_MOL;

/// One term n · τ^t · δ^d · exp(−δ^l); `eighths` is 8 t, since every exponent is a whole number of eighths.
struct Term {
    n: f64,
    eighths: u8,
    shape: usize,
}

const fn term(n: f64, eighths: u8, shape: usize) -> Term {
    Term { n, eighths, shape }
}

/// The dozen terms share nine shapes of density, so that the temperature is folded in once for both phases.
const SHAPES: [(usize, usize); 9] = [
    (1, 0),
    (3, 0),
    (7, 0),
    (1, 1),
    (2, 1),
    (5, 1),
    (1, 2),
    (4, 2),
    (2, 3),
];

const TERMS: [Term; 12] = [
    term(0.880_45, 2, 0),
    term(-2.423_5, 10, 0),
    term(0.382_37, 12, 0),
    term(0.068_917, 2, 1),
    term(0.000_203_67, 7, 2),
    term(0.131_22, 19, 3),
    term(0.460_32, 16, 4),
    term(-0.003_698_5, 17, 5),
    term(-0.232_63, 28, 6),
    term(-0.000_428_59, 52, 6),
    term(-0.042_81, 38, 7),
    term(-0.023_038, 100, 8),
];

/// The constants of integration that CoolProp takes: they set where enthalpy and entropy count from, no more.
const A1: f64 = -4.426_273_627_2;
const A2: f64 = 4.312_047_524_3;
/// The vibrations of the molecule: their weights, and their temperatures in K.
const VIBRATIONS: [(f64, f64); 3] = [(2.1769, 879.0), (1.6145, 2372.0), (0.483_93, 5447.0)];

type Folded = [f64; SHAPES.len()];

/// The equation at one temperature, ready for any density.
#[derive(Clone, Copy, Debug)]
pub struct Isotherm {
    temperature_k: f64,
    strengths: [f64; TERMS.len()],
    folded: Folded,
}

/// αʳ and its derivatives at one density: δ·∂/∂δ and δ²·∂²/∂δ².
#[derive(Clone, Copy, Debug)]
pub(super) struct Residual {
    pub a: f64,
    pub d: f64,
    pub dd: f64,
}

impl Residual {
    /// P' of the reduced pressure P = δ(1 + δ·∂αʳ/∂δ).
    #[inline]
    pub(super) fn slope(&self) -> f64 {
        1.0 + 2.0 * self.d + self.dd
    }
}

/// A single phase at a temperature and density, in SI; a derivative carries what it is taken by.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Phase {
    pub density_kg_m3: f64,
    pub pressure_pa: f64,
    /// In J/kg; only differences mean something.
    pub enthalpy_j_kg: f64,
    /// In J/(kg·K); only differences mean something.
    pub entropy_j_kg_k: f64,
    /// At constant volume, in J/(kg·K).
    pub heat_capacity_j_kg_k: f64,
    /// ∂p/∂T at constant density, in Pa/K.
    pub pressure_by_temperature: f64,
    /// ∂p/∂ρ at constant temperature, in Pa/(kg/m³).
    pub pressure_by_density: f64,
}

/// What the properties of heat need of one temperature, whatever the density.
#[derive(Clone, Copy, Debug)]
pub(super) struct Heat {
    by_tau: Folded,
    by_tau_twice: Folded,
    ideal: f64,
    ideal_by_tau: f64,
    ideal_by_tau_twice: f64,
}

impl Isotherm {
    /// The equation at `temperature_k`, which must be above zero.
    pub fn new(temperature_k: f64) -> Isotherm {
        let strengths = strengths(CRITICAL_K / temperature_k);
        Isotherm {
            temperature_k,
            strengths,
            folded: fold(&strengths, |_| 1.0),
        }
    }

    /// The temperature in K.
    pub fn temperature_k(&self) -> f64 {
        self.temperature_k
    }

    /// R·T·ρc, by which reduced pressures become Pa.
    pub(super) fn pressure_unit_pa(&self) -> f64 {
        GAS_CONSTANT_J_KG_K * self.temperature_k * CRITICAL_KG_M3
    }

    /// Pressure in Pa at a density in kg/m³.
    ///
    /// p = ρ·R·T·(1 + δ·∂αʳ/∂δ)
    pub fn pressure_pa(&self, density_kg_m3: f64) -> f64 {
        let delta = density_kg_m3 / CRITICAL_KG_M3;
        self.pressure_unit_pa() * delta * (1.0 + self.residual(delta).d)
    }

    #[inline]
    pub(super) fn residual(&self, delta: f64) -> Residual {
        let (basis, degrees, seconds) = shapes(delta);
        let (mut a, mut d, mut dd) = (0.0, 0.0, 0.0);
        for i in 0..SHAPES.len() {
            let part = self.folded[i] * basis[i];
            a += part;
            d += part * degrees[i];
            dd += part * seconds[i];
        }
        Residual { a, d, dd }
    }

    pub(super) fn heat(&self) -> Heat {
        let t = |term: &Term| f64::from(term.eighths) / 8.0;
        let tau = CRITICAL_K / self.temperature_k;
        let (mut ideal, mut first, mut second) = (2.5 * tau.ln() + A1 + A2 * tau, 2.5 + A2 * tau, -2.5);
        for (weight, vibration_k) in VIBRATIONS {
            let reach = vibration_k / self.temperature_k;
            let decay = (-reach).exp();
            let filled = reach * decay / (1.0 - decay);
            ideal += weight * (-decay).ln_1p();
            first += weight * filled;
            second -= weight * filled * filled / decay;
        }
        Heat {
            by_tau: fold(&self.strengths, t),
            by_tau_twice: fold(&self.strengths, |term| t(term) * (t(term) - 1.0)),
            ideal,
            ideal_by_tau: first,
            ideal_by_tau_twice: second,
        }
    }

    /// Every property at a density in kg/m³, whether or not that state is stable.
    pub fn phase(&self, density_kg_m3: f64) -> Phase {
        self.phase_with(&self.heat(), density_kg_m3)
    }

    pub(super) fn phase_with(&self, heat: &Heat, density_kg_m3: f64) -> Phase {
        let delta = density_kg_m3 / CRITICAL_KG_M3;
        let (basis, degrees, seconds) = shapes(delta);
        let (mut a, mut d, mut dd, mut t, mut tt, mut dt) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for i in 0..SHAPES.len() {
            let (part, by_tau) = (self.folded[i] * basis[i], heat.by_tau[i] * basis[i]);
            a += part;
            d += part * degrees[i];
            dd += part * seconds[i];
            t += by_tau;
            dt += by_tau * degrees[i];
            tt += heat.by_tau_twice[i] * basis[i];
        }
        let (r, rt) = (GAS_CONSTANT_J_KG_K, GAS_CONSTANT_J_KG_K * self.temperature_k);
        let inner = heat.ideal_by_tau + t;
        Phase {
            density_kg_m3,
            pressure_pa: density_kg_m3 * rt * (1.0 + d),
            enthalpy_j_kg: rt * (1.0 + inner + d),
            entropy_j_kg_k: r * (inner - heat.ideal - delta.ln() - a),
            heat_capacity_j_kg_k: -r * (heat.ideal_by_tau_twice + tt),
            pressure_by_temperature: density_kg_m3 * r * (1.0 + d - dt),
            pressure_by_density: rt * (1.0 + 2.0 * d + dd),
        }
    }
}

impl Phase {
    /// The square of the speed of sound in m²/s², at the temperature that the phase was taken at.
    pub fn sound_squared(&self, temperature_k: f64) -> f64 {
        let by_heat = self.pressure_by_temperature / self.density_kg_m3;
        self.pressure_by_density + temperature_k * by_heat * by_heat / self.heat_capacity_j_kg_k
    }
}

/// n · τ^t of every term, by square roots and products alone.
#[inline]
fn strengths(tau: f64) -> [f64; TERMS.len()] {
    let half = tau.sqrt();
    let quarter = half.sqrt();
    let eighth = quarter.sqrt();
    let (tau2, tau4) = (tau * tau, tau * tau * tau * tau);
    let powers = [
        quarter,
        tau * quarter,
        tau * half,
        quarter,
        half * quarter * eighth,
        tau2 * quarter * eighth,
        tau2,
        tau2 * eighth,
        tau2 * tau * half,
        tau4 * tau2 * half,
        tau4 * half * quarter,
        tau4 * tau4 * tau4 * half,
    ];
    let mut strengths = [0.0; TERMS.len()];
    for (strength, (term, power)) in strengths.iter_mut().zip(TERMS.iter().zip(powers)) {
        *strength = term.n * power;
    }
    strengths
}

#[inline]
fn fold(strengths: &[f64; TERMS.len()], weight: impl Fn(&Term) -> f64) -> Folded {
    let mut folded = [0.0; SHAPES.len()];
    for (term, strength) in TERMS.iter().zip(strengths) {
        folded[term.shape] += weight(term) * strength;
    }
    folded
}

/// δ^d·exp(−δ^l) of every shape, and what δ·∂/∂δ and δ²·∂²/∂δ² multiply it by.
#[inline]
fn shapes(delta: f64) -> (Folded, Folded, Folded) {
    let delta2 = delta * delta;
    let (delta3, delta4) = (delta2 * delta, delta2 * delta2);
    let powers = [
        1.0,
        delta,
        delta2,
        delta3,
        delta4,
        delta4 * delta,
        delta3 * delta3,
        delta4 * delta3,
    ];
    let decays = [1.0, (-delta).exp(), (-delta2).exp(), (-delta3).exp()];
    let (mut basis, mut degrees, mut seconds) = ([0.0; 9], [0.0; 9], [0.0; 9]);
    for (i, (d, l)) in SHAPES.into_iter().enumerate() {
        let pull = if l == 0 { 0.0 } else { l as f64 * powers[l] };
        let degree = d as f64 - pull;
        basis[i] = powers[d] * decays[l];
        degrees[i] = degree;
        seconds[i] = degree * (degree - 1.0) - l as f64 * pull;
    }
    (basis, degrees, seconds)
}

#[cfg(test)]
mod tests {
    use super::{Isotherm, TERMS, strengths};

    /// The shortcut by square roots is the power that the equation prints.
    #[test]
    fn strengths_are_powers() {
        for tau in [0.6, 1.0, 1.3, 1.7] {
            for (term, strength) in TERMS.iter().zip(strengths(tau)) {
                let power = term.n * f64::powf(tau, f64::from(term.eighths) / 8.0);
                assert!(
                    (strength - power).abs() <= 1e-14 * power.abs(),
                    "{tau}: {strength} {power}"
                );
            }
        }
    }

    /// Derivatives against differences of the functions themselves.
    #[test]
    fn derivatives_are_slopes() {
        for (kelvin, density) in [(300.0, 20.0), (280.0, 900.0), (333.15, 750.0), (320.0, 460.0)] {
            let phase = Isotherm::new(kelvin).phase(density);
            let (dt, dr) = (kelvin * 1e-6, density * 1e-6);
            let (hot, cold) = (
                Isotherm::new(kelvin + dt).phase(density),
                Isotherm::new(kelvin - dt).phase(density),
            );
            let (dense, thin) = (
                Isotherm::new(kelvin).phase(density + dr),
                Isotherm::new(kelvin).phase(density - dr),
            );
            let near = |found: f64, slope: f64| {
                assert!(
                    (found - slope).abs() <= 1e-6 * slope.abs(),
                    "{kelvin} {density}: {found} {slope}"
                )
            };
            near(
                phase.pressure_by_temperature,
                (hot.pressure_pa - cold.pressure_pa) / (2.0 * dt),
            );
            near(
                phase.pressure_by_density,
                (dense.pressure_pa - thin.pressure_pa) / (2.0 * dr),
            );
            near(
                phase.heat_capacity_j_kg_k,
                kelvin * (hot.entropy_j_kg_k - cold.entropy_j_kg_k) / (2.0 * dt),
            );
            // Maxwell: ∂s/∂ρ at constant T is −(∂p/∂T)/ρ².
            near(
                -phase.pressure_by_temperature / (density * density),
                (dense.entropy_j_kg_k - thin.entropy_j_kg_k) / (2.0 * dr),
            );
        }
    }

    /// A thin gas is an ideal one.
    #[test]
    fn a_thin_gas_is_ideal() {
        let phase = Isotherm::new(300.0).phase(1e-6);
        let ideal = 1e-6 * super::GAS_CONSTANT_J_KG_K * 300.0;
        assert!((phase.pressure_pa / ideal - 1.0).abs() < 1e-8);
    }
}
