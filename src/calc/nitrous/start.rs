//! Where the search for saturation starts: short Chebyshev series, within 3e-7 for densities and 1e-3 K for the
//! temperature of a pressure. They decide how soon the search ends, never where.
//!
//! `tests/vectors/nitrous/start.py` makes them from the equation in 50 digits. The densities are series in
//! ln(x + 0.045) with x = √(1 − T/Tₑ), where Tₑ is the temperature at which this equation's two phases truly meet,
//! a little above the critical temperature it is given: along x both phases run smooth into that point.

/// Where the two phases of the equation meet, in K: ∂p/∂ρ = ∂²p/∂ρ² = 0.
const MEET_K: f64 = 309.520_678_231_460_1;
const SHIFT: f64 = 0.045;
/// ln(x + SHIFT) at the meeting point and at the triple point.
const ENDS: (f64, f64) = (-3.101_092_789_211_82, -0.376_824_340_572_525_6);
/// The natural logarithm of the pressure in Pa at the meeting point. Temperatures are a series in
/// ln(y + PRESSURE_SHIFT) with y = √(LN_MEET_PA − ln p).
const LN_MEET_PA: f64 = 15.795_796_833_431_6;
const PRESSURE_SHIFT: f64 = 0.2;
/// ln(y + PRESSURE_SHIFT) at the critical temperature and at the triple point.
const PRESSURE_ENDS: (f64, f64) = (-1.590_254_779_044_716, 0.833_173_411_013_131);

const LIQUID: [f64; 19] = [
    0.450960548,
    0.483893771,
    0.0526999592,
    0.0194430964,
    0.00016194756,
    -0.000567988309,
    0.000517387161,
    -0.000296447695,
    0.00019092842,
    -3.69890004e-06,
    7.59510905e-06,
    1.96154275e-05,
    -1.06604693e-05,
    5.69275051e-06,
    -1.77608526e-06,
    2.75043833e-08,
    7.07249502e-07,
    -4.83821035e-07,
    2.98870448e-07,
];
const VAPOUR: [f64; 19] = [
    -1.01114133,
    -1.34596493,
    -0.450635011,
    -0.153977959,
    -0.0454936473,
    -0.0148883554,
    -0.00741726474,
    -0.00308287906,
    -0.00179091636,
    -0.000826083289,
    -0.000386881273,
    -0.000202509662,
    -7.21092024e-05,
    -3.85228323e-05,
    -1.30036384e-05,
    -5.00803007e-06,
    -2.71022911e-06,
    -2.83653106e-07,
    -4.5266287e-07,
];
const LN_KELVIN: [f64; 11] = [
    5.5902774,
    -0.2302303,
    -0.115267908,
    -0.0352996013,
    -0.0052695433,
    0.000769995074,
    0.000686218309,
    0.000175735772,
    1.43430534e-06,
    -1.68824614e-05,
    -7.34472443e-06,
];

/// The reduced densities of liquid and vapour, nearly.
#[inline]
pub(super) fn densities(temperature_k: f64) -> (f64, f64) {
    let square = 1.0 - temperature_k / MEET_K;
    let z = place((square.max(0.0).sqrt() + SHIFT).ln(), ENDS);
    (
        series(&LIQUID, z).exp(),
        (series(&VAPOUR, z) / (1.0 - square)).exp(),
    )
}

/// The temperature in K at which liquid and vapour have this pressure, nearly.
pub(super) fn temperature_k(pressure_pa: f64) -> f64 {
    let short = (LN_MEET_PA - pressure_pa.ln()).max(0.0).sqrt();
    series(&LN_KELVIN, place((short + PRESSURE_SHIFT).ln(), PRESSURE_ENDS)).exp()
}

/// Where `value` lies between the ends, from −1 to 1.
#[inline]
fn place(value: f64, (low, high): (f64, f64)) -> f64 {
    (2.0 * value - low - high) / (high - low)
}

/// Clenshaw's sum, written so that no step waits for more than a product and a sum of the one before.
#[inline]
fn series<const N: usize>(coefficients: &[f64; N], z: f64) -> f64 {
    let (twice, mut one, mut two) = (2.0 * z, 0.0, 0.0);
    for coefficient in coefficients[1..].iter().rev() {
        (one, two) = (twice * one + (coefficient - two), one);
    }
    z * one - two + coefficients[0]
}

#[cfg(test)]
mod tests {
    use super::super::helmholtz::CRITICAL_KG_M3;
    use super::super::saturation;
    use super::{densities, temperature_k};

    #[test]
    fn starts_are_near() {
        for step in 0..=1271 {
            let kelvin = (182.33 + 0.1 * f64::from(step)).min(309.52);
            let found = saturation::at_temperature(kelvin).unwrap();
            let (liquid, vapour) = densities(kelvin);
            let off = (liquid * CRITICAL_KG_M3 / found.liquid_kg_m3 - 1.0)
                .abs()
                .max((vapour * CRITICAL_KG_M3 / found.vapour_kg_m3 - 1.0).abs());
            assert!(off < 3e-7, "{kelvin} K: the densities start {off} away");
            let off_k = temperature_k(found.pressure_pa) - kelvin;
            assert!(
                off_k.abs() < 1e-3,
                "{kelvin} K: the temperature starts {off_k} K away"
            );
        }
    }
}
