//! Exponential, logarithm and power.
//!
//! Largest errors over the reference table `tests/reference/elementary.toml`, in units in the last place
//! (ulp), are stated at each function and held by `tests/elementary.rs`. The polynomials were fitted to the
//! remainder functions at Chebyshev nodes with 300-bit arithmetic.

/// Adding this to a small number leaves the number, rounded to an integer, in the low bits.
const ROUNDER: f64 = 6_755_399_441_055_744.0; // 1.5 * 2^52
const LOG2_E: f64 = std::f64::consts::LOG2_E;
/// ln 2 in two parts; the first has 38 bits, so that its product with an exponent is exact.
const LN2_HIGH: f64 = 0.693_147_180_558_298_7;
const LN2_LOW: f64 = 1.646_594_958_286_646_3e-12;

/// e to the power x. Error at most 1 ulp (normal results).
///
/// Below -745.2 the result is 0, above 709.8 infinite; NaN stays NaN.
///
/// ```
/// assert!((dibble::num::exp(1.0) - std::f64::consts::E).abs() < 5e-16);
/// ```
#[inline(always)]
pub fn exp(x: f64) -> f64 {
    exp_of_sum(x, 0.0)
}

/// exp(x + tail) for a tail far below x in size.
#[inline(always)]
fn exp_of_sum(x: f64, tail: f64) -> f64 {
    // Comparisons instead of min and max, so that NaN stays NaN.
    let x = if x < -746.0 { -746.0 } else { x };
    let x = if x > 710.0 { 710.0 } else { x };
    let rounded = x * LOG2_E + ROUNDER;
    let n = rounded - ROUNDER;
    let high = x - n * LN2_HIGH;
    let low = tail - n * LN2_LOW;
    let r = high + low;
    let rest = low - (r - high);
    let mut q = 2.091_468_078_054_026_3e-9;
    for c in [
        2.510_520_833_998_769_8e-8,
        2.755_727_365_797_595_3e-7,
        2.755_725_542_102_350_6e-6,
        2.480_158_732_553_602_3e-5,
        0.000_198_412_698_748_042_14,
        0.001_388_888_888_888_375_2,
        0.008_333_333_333_326_14,
        0.041_666_666_666_666_67,
        0.166_666_666_666_666_7,
        0.5,
    ] {
        q = q * r + c;
    }
    let y = 1.0 + (r + (r * r * q + rest));
    // Two factors of about half the exponent, so that subnormal results round once and nothing wraps.
    let shifted = rounded.to_bits().wrapping_sub(ROUNDER.to_bits()).wrapping_add(2200);
    let half = shifted >> 1;
    let scale = |m: u64| f64::from_bits(m.wrapping_sub(1100 - 1023) << 52);
    y * scale(half) * scale(shifted.wrapping_sub(half))
}

/// x = 2^k m with m in 0.707..1.414, as (k, m - 1); for positive finite x.
#[inline(always)]
fn exponent_and_fraction(x: f64) -> (f64, f64) {
    const ONE: u64 = 0x3ff0_0000_0000_0000;
    const SQRT_HALF: u64 = 0x3fe6_a09e_0000_0000;
    const TWO_54: f64 = 18_014_398_509_481_984.0;
    let subnormal = x < f64::MIN_POSITIVE;
    let scaled = if subnormal { x * TWO_54 } else { x };
    let offset = if subnormal { 54.0 } else { 0.0 };
    let bits = scaled.to_bits().wrapping_add(ONE - SQRT_HALF);
    let m = f64::from_bits((bits & 0x000f_ffff_ffff_ffff).wrapping_add(SQRT_HALF));
    // The exponent enters the low bits of 2^52: an integer becomes a float without a conversion.
    let k = f64::from_bits(0x4330_0000_0000_0000 | (bits >> 52)) - (4_503_599_627_370_496.0 + 1023.0);
    (k - offset, m - 1.0)
}

/// Natural logarithm. Error at most 1 ulp.
///
/// 0 gives minus infinity, a negative number NaN.
///
/// ```
/// assert_eq!(dibble::num::ln(2.0), std::f64::consts::LN_2);
/// ```
#[inline(always)]
pub fn ln(x: f64) -> f64 {
    let (k, f) = exponent_and_fraction(x);
    let s = f / (2.0 + f);
    let z = s * s;
    let mut p = 0.130_880_348_509_275_55;
    for c in [
        0.132_686_383_692_668_25,
        0.153_862_447_376_216_65,
        0.181_817_955_475_211_37,
        0.222_222_223_925_810_45,
        0.285_714_285_707_997_84,
        0.400_000_000_000_008_85,
        0.666_666_666_666_666_6,
    ] {
        p = p * z + c;
    }
    // ln(1 + f) = 2 atanh(s), and 2 s = f - s f: the large term f is exact.
    let y = k * LN2_HIGH + (f - (s * (f - z * p) - k * LN2_LOW));
    let y = if x == f64::INFINITY { x } else { y };
    let y = if x == 0.0 { f64::NEG_INFINITY } else { y };
    if x >= 0.0 { y } else { f64::NAN }
}

/// x to the power y, for x not negative. Error at most 1 ulp (normal results).
///
/// `pow(x, 0)` is 1; a negative base gives NaN, for whole exponents too: no formula here takes one.
///
/// ```
/// assert_eq!(dibble::num::pow(2.0, 10.0), 1024.0);
/// assert_eq!(dibble::num::pow(0.0, 0.3), 0.0);
/// ```
#[inline(always)]
pub fn pow(x: f64, y: f64) -> f64 {
    // Beyond 1e22 every power of a number other than 1 has overflowed or vanished.
    let exponent = if y > 1e22 { 1e22 } else { y };
    let exponent = if exponent < -1e22 { -1e22 } else { exponent };
    let (high, low) = ln_in_two_parts(x);
    let (p, p_rest) = product(exponent, high);
    let tail = if p.abs() < 800.0 { p_rest + exponent * low } else { 0.0 };
    let z = exp_of_sum(p, tail);
    let at_zero = if y > 0.0 { 0.0 } else { f64::INFINITY };
    let at_infinity = if y > 0.0 { f64::INFINITY } else { 0.0 };
    let z = if x == 0.0 { at_zero } else { z };
    let z = if x == f64::INFINITY { at_infinity } else { z };
    let z = if y == 0.0 || x == 1.0 { 1.0 } else { z };
    if x >= 0.0 && !y.is_nan() { z } else { f64::NAN }
}

/// ln x as a sum of two doubles good to about 65 bits: a power multiplies the error of its logarithm.
#[inline(always)]
fn ln_in_two_parts(x: f64) -> (f64, f64) {
    let (k, f) = exponent_and_fraction(x);
    let d = 2.0 + f;
    let d_low = f - (d - 2.0);
    let s = f / d;
    let (sd, sd_low) = product(s, d);
    let s_low = (((f - sd) - sd_low) - s * d_low) / d;
    let (z, z_rest) = product(s, s);
    let z_low = z_rest + 2.0 * s * s_low;
    // The cubic term 2/3 s^3 in two parts, the rest of the series 2 atanh(s) in one.
    const TWO_THIRDS: f64 = 2.0 / 3.0;
    const TWO_THIRDS_LOW: f64 = 3.700_743_415_417_188e-17;
    let (a, a_rest) = product(z, TWO_THIRDS);
    let a_low = a_rest + (z_low * TWO_THIRDS + z * TWO_THIRDS_LOW);
    let (b, b_rest) = product(s, a);
    let b_low = b_rest + (s * a_low + s_low * a);
    let mut p = 0.117_243_270_608_467_47;
    for c in [
        0.117_061_264_645_633_94,
        0.133_348_087_988_123_4,
        0.153_845_948_870_071_8,
        0.181_818_183_360_998_48,
        0.222_222_222_216_527_65,
        0.285_714_285_714_293_7,
        0.4,
    ] {
        p = p * z + c;
    }
    let series = s * z * z * p;
    let (t, t_low) = sum(k * LN2_HIGH, 2.0 * s);
    let (u, u_low) = sum(t, b);
    let low = t_low + u_low + (k * LN2_LOW + (2.0 * s_low + (b_low + series)));
    sum(u, low)
}

/// a + b as the rounded sum and what rounding lost (Knuth).
#[inline(always)]
fn sum(a: f64, b: f64) -> (f64, f64) {
    let s = a + b;
    let b_part = s - a;
    (s, (a - (s - b_part)) + (b - b_part))
}

/// a b as the rounded product and what rounding lost (Dekker, Veltkamp).
#[inline(always)]
fn product(a: f64, b: f64) -> (f64, f64) {
    const SPLITTER: f64 = 134_217_729.0; // 2^27 + 1
    let halves = |x: f64| {
        let c = SPLITTER * x;
        let high = c - (c - x);
        (high, x - high)
    };
    let ((ah, al), (bh, bl)) = (halves(a), halves(b));
    let p = a * b;
    (p, ((ah * bh - p) + ah * bl + al * bh) + al * bl)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_of_exp() {
        assert_eq!(exp(0.0), 1.0);
        assert_eq!(exp(-0.0), 1.0);
        assert_eq!(exp(f64::INFINITY), f64::INFINITY);
        assert_eq!(exp(f64::NEG_INFINITY), 0.0);
        assert_eq!(exp(1e300), f64::INFINITY);
        assert_eq!(exp(-1e300), 0.0);
        assert_eq!(exp(f64::MIN_POSITIVE), 1.0);
        assert!(exp(f64::NAN).is_nan());
    }

    #[test]
    fn edges_of_ln() {
        assert_eq!(ln(1.0), 0.0);
        assert_eq!(ln(0.0), f64::NEG_INFINITY);
        assert_eq!(ln(-0.0), f64::NEG_INFINITY);
        assert_eq!(ln(f64::INFINITY), f64::INFINITY);
        assert!(ln(-1.0).is_nan() && ln(f64::NEG_INFINITY).is_nan() && ln(f64::NAN).is_nan());
    }

    #[test]
    fn edges_of_pow() {
        for x in [0.0, 1e-310, 0.5, 1.0, 7.0, f64::INFINITY] {
            assert_eq!(pow(x, 0.0), 1.0, "{x}^0");
        }
        for y in [-f64::INFINITY, -1e30, -2.0, 0.0, 0.3, 1e30, f64::INFINITY] {
            assert_eq!(pow(1.0, y), 1.0, "1^{y}");
        }
        assert_eq!((pow(0.0, 2.0), pow(0.0, -2.0)), (0.0, f64::INFINITY));
        assert_eq!((pow(f64::INFINITY, 2.0), pow(f64::INFINITY, -2.0)), (f64::INFINITY, 0.0));
        assert_eq!((pow(0.5, 1e30), pow(0.5, -1e30)), (0.0, f64::INFINITY));
        assert_eq!((pow(2.0, f64::INFINITY), pow(2.0, f64::NEG_INFINITY)), (f64::INFINITY, 0.0));
        assert!(pow(-8.0, 2.0).is_nan() && pow(f64::NAN, 0.0).is_nan() && pow(2.0, f64::NAN).is_nan() && pow(1.0, f64::NAN).is_nan());
    }
}
