//! Trigonometric functions and their inverses, in radians.
//!
//! Errors are stated as in the module above. Angles up to 100,000 are reduced without loss; beyond, digits
//! are lost one by one, and from about 1e9 only the range of the result is kept.

use std::f64::consts::{FRAC_2_PI, FRAC_PI_2, FRAC_PI_4, PI};

const ROUNDER: f64 = 6_755_399_441_055_744.0; // 1.5 * 2^52, as in `elementary`
/// pi/2 in three parts; two have 33 bits, so that their products with up to 2^20 are exact.
const HALF_PI: [f64; 3] = [1.570_796_326_734_125_6, 6.077_100_506_303_966e-11, 2.022_266_248_795_950_6e-21];
/// What the doubles nearest to pi/2, pi/4 and pi leave out.
const FRAC_PI_2_LOW: f64 = 6.123_233_995_736_766e-17;
const FRAC_PI_4_LOW: f64 = 3.061_616_997_868_383e-17;
const PI_LOW: f64 = 1.224_646_799_147_353_2e-16;

/// Sine and cosine of the rest after whole quarter turns, and the number of these.
#[inline(always)]
fn quarter(x: f64) -> (f64, f64, u64) {
    let rounded = x * FRAC_2_PI + ROUNDER;
    let n = rounded - ROUNDER;
    let [p1, p2, p3] = HALF_PI;
    let t = x - n * p1;
    let w = n * p2;
    let u = t - w;
    let tail = (t - u) - w - n * p3;
    let r = u + tail;
    let low = tail - (r - u);
    // Holds only for angles too large to be reduced; a NaN passes.
    let r = if r > FRAC_PI_4 + 1e-9 { FRAC_PI_4 } else { r };
    let r = if r < -FRAC_PI_4 - 1e-9 { -FRAC_PI_4 } else { r };
    let low = if low.abs() > 1e-9 { 0.0 } else { low };
    let z = r * r;
    let mut s = -7.586_691_094_197_958e-13;
    for c in [
        1.605_853_151_679_775_8e-10,
        -2.505_210_623_180_283_7e-8,
        2.755_731_921_933_731_2e-6,
        -0.000_198_412_698_412_650_63,
        0.008_333_333_333_333_331,
        -0.166_666_666_666_666_66,
    ] {
        s = s * z + c;
    }
    let half = 0.5 * z;
    let sine = r + (z * r * s + low * (1.0 - half));
    let mut q = 4.745_868_553_081_665_6e-14;
    for c in [
        -1.147_046_083_079_530_4e-11,
        2.087_675_579_072_196_3e-9,
        -2.755_731_922_140_179e-7,
        2.480_158_730_158_464_5e-5,
        -0.001_388_888_888_888_888_7,
        0.041_666_666_666_666_664,
    ] {
        q = q * z + c;
    }
    let one_less = 1.0 - half;
    let cosine = one_less + (((1.0 - one_less) - half) + (z * z * q - r * low));
    (sine, cosine, rounded.to_bits())
}

/// Sine. Error at most 1 ulp for angles up to 100,000.
///
/// ```
/// assert_eq!(dibble::num::sin(std::f64::consts::FRAC_PI_2), 1.0);
/// ```
#[inline(always)]
pub fn sin(x: f64) -> f64 {
    let (s, c, n) = quarter(x);
    let y = if n & 1 == 0 { s } else { c };
    // Zero keeps its sign.
    if x == 0.0 {
        x
    } else if n & 2 == 0 {
        y
    } else {
        -y
    }
}

/// Cosine. Error at most 1 ulp for angles up to 100,000.
///
/// ```
/// assert_eq!(dibble::num::cos(0.0), 1.0);
/// ```
#[inline(always)]
pub fn cos(x: f64) -> f64 {
    let (s, c, n) = quarter(x);
    let y = if n & 1 == 0 { c } else { s };
    if n.wrapping_add(1) & 2 == 0 { y } else { -y }
}

/// Tangent. Error at most 3 ulp for angles up to 100,000.
///
/// ```
/// assert!((dibble::num::tan(std::f64::consts::FRAC_PI_4) - 1.0).abs() < 3e-16);
/// ```
#[inline(always)]
pub fn tan(x: f64) -> f64 {
    let (s, c, n) = quarter(x);
    let even = n & 1 == 0;
    let (over, under) = (if even { s } else { -c }, if even { c } else { s });
    if x == 0.0 { x } else { over / under }
}

/// Arc tangent, -pi/2 to pi/2. Error at most 1 ulp.
///
/// ```
/// assert_eq!(dibble::num::atan(1.0), std::f64::consts::FRAC_PI_4);
/// ```
#[inline(always)]
pub fn atan(x: f64) -> f64 {
    const TAN_PI_8: f64 = 0.414_213_562_373_095_03;
    const TAN_3_PI_8: f64 = 2.414_213_562_373_095;
    let a = x.abs();
    let (steep, middle) = (a > TAN_3_PI_8, a > TAN_PI_8);
    // atan a = pi/4 + atan((a - 1) / (a + 1)) = pi/2 - atan(1 / a)
    let over = if middle { a - 1.0 } else { a };
    let under = if middle { a + 1.0 } else { 1.0 };
    let t = if steep { -1.0 } else { over } / if steep { a } else { under };
    let base = if middle { FRAC_PI_4 } else { 0.0 };
    let base = if steep { FRAC_PI_2 } else { base };
    let base_low = if middle { FRAC_PI_4_LOW } else { 0.0 };
    let base_low = if steep { FRAC_PI_2_LOW } else { base_low };
    let z = t * t;
    let mut p = 0.016_284_375_050_043_393;
    for c in [
        -0.034_569_315_063_326_09,
        0.045_515_447_340_221_615,
        -0.052_304_436_406_869_48,
        0.058_789_275_544_738_07,
        -0.066_664_247_602_005_2,
        0.076_922_963_680_422_96,
        -0.090_909_087_532_591_12,
        0.111_111_111_051_505_88,
        -0.142_857_142_856_597_79,
        0.199_999_999_999_998_04,
        -0.333_333_333_333_333_3,
    ] {
        p = p * z + c;
    }
    let y = base + (t + (z * t * p + base_low));
    y.copysign(x)
}

/// Angle of the point (x, y), -pi to pi. Error at most 2 ulp.
///
/// On the negative x axis, pi for a positive or positive zero `y`, -pi for a negative zero; 0 at the origin.
///
/// ```
/// use std::f64::consts::PI;
/// assert_eq!(dibble::num::atan2(1.0, -1.0), 0.75 * PI);
/// assert_eq!(dibble::num::atan2(0.0, -2.0), PI);
/// ```
#[inline(always)]
pub fn atan2(y: f64, x: f64) -> f64 {
    let (a, b) = (y.abs(), x.abs());
    // The smaller over the larger, so that nothing overflows; the low part of pi/2 or pi is put back.
    let steep = a > b;
    let (over, under) = if steep { (b, a) } else { (a, b) };
    let first = if under == 0.0 { 0.0 * over } else { atan(over / under) };
    let upper = if steep { FRAC_PI_2 - (first - FRAC_PI_2_LOW) } else { first };
    let whole = if x < 0.0 { PI - (upper - PI_LOW) } else { upper };
    whole.copysign(y)
}

/// (asin t - t) / t^3 as a polynomial in z = t^2, up to t = 1/2.
#[inline(always)]
fn arc_sine_remainder(z: f64) -> f64 {
    let mut p = 0.028_757_851_367_421_566;
    for c in [
        -0.014_851_887_071_247_204,
        0.017_400_879_442_694_02,
        0.005_457_506_718_640_358,
        0.010_322_814_350_185_78,
        0.011_479_177_415_184_906,
        0.013_971_212_973_552_933,
        0.017_352_392_720_869_973,
        0.022_372_172_942_149_89,
        0.030_381_944_138_531_247,
        0.044_642_857_146_355_43,
        0.074_999_999_999_984_33,
        0.166_666_666_666_666_69,
    ] {
        p = p * z + c;
    }
    p
}

/// Arc sine, -pi/2 to pi/2; NaN outside -1..1. Error at most 2 ulp.
///
/// ```
/// assert_eq!(dibble::num::asin(1.0), std::f64::consts::FRAC_PI_2);
/// ```
#[inline(always)]
pub fn asin(x: f64) -> f64 {
    let a = x.abs();
    let outer = a > 0.5;
    // Outside 1/2: asin a = pi/2 - 2 asin(sqrt((1 - a) / 2)).
    let z = if outer { 0.5 * (1.0 - a) } else { a * a };
    let t = if outer { z.sqrt() } else { a };
    let rest = t * z * arc_sine_remainder(z);
    let y = if outer { FRAC_PI_2 - (2.0 * t + (2.0 * rest - FRAC_PI_2_LOW)) } else { t + rest };
    y.copysign(x)
}

/// Arc cosine, 0 to pi; NaN outside -1..1. Error at most 2 ulp.
///
/// ```
/// assert_eq!(dibble::num::acos(-1.0), std::f64::consts::PI);
/// ```
#[inline(always)]
pub fn acos(x: f64) -> f64 {
    let a = x.abs();
    let outer = a > 0.5;
    let z = if outer { 0.5 * (1.0 - a) } else { x * x };
    let t = if outer { z.sqrt() } else { x };
    let rest = t * z * arc_sine_remainder(z);
    let inner = FRAC_PI_2 - (t + (rest - FRAC_PI_2_LOW));
    let twice = 2.0 * t + 2.0 * rest;
    let far = PI - (2.0 * t + (2.0 * rest - PI_LOW));
    let outside = if x < 0.0 { far } else { twice };
    if outer { outside } else { inner }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_of_the_circle() {
        for f in [sin, tan, atan, asin] {
            assert!(f(0.0) == 0.0 && f(0.0).is_sign_positive() && f(-0.0).is_sign_negative());
        }
        for f in [sin, cos, tan, asin, acos] {
            assert!(f(f64::INFINITY).is_nan() && f(f64::NEG_INFINITY).is_nan() && f(f64::NAN).is_nan());
        }
        assert_eq!((atan(f64::INFINITY), atan(f64::NEG_INFINITY)), (FRAC_PI_2, -FRAC_PI_2));
        assert!(atan(f64::NAN).is_nan() && asin(1.0000001).is_nan() && acos(-1.0000001).is_nan());
        assert_eq!((acos(1.0), acos(0.0), acos(-1.0)), (0.0, FRAC_PI_2, PI));
        assert_eq!(asin(1e-310), 1e-310);
    }

    #[test]
    fn the_angle_of_a_point_agrees_with_the_system_library_in_every_octant() {
        for i in 0..720 {
            let angle = f64::from(i) * 0.0087;
            for radius in [1e-200, 0.3, 7.0, 1e200] {
                let (y, x) = (radius * sin(angle), radius * cos(angle));
                let (ours, theirs) = (atan2(y, x), y.atan2(x));
                assert!((ours - theirs).abs() <= 4e-16 * theirs.abs(), "{angle} {radius}: {ours} and {theirs}");
            }
        }
        assert_eq!((atan2(0.0, 0.0), atan2(0.0, 3.0), atan2(-0.0, -3.0)), (0.0, 0.0, -PI));
        assert_eq!((atan2(2.0, 0.0), atan2(-2.0, -0.0)), (FRAC_PI_2, -FRAC_PI_2));
        assert!(atan2(f64::NAN, 1.0).is_nan() && atan2(1.0, f64::NAN).is_nan());
    }

    #[test]
    fn huge_angles_stay_in_range() {
        for x in [1e6, 1e9, 1e15, 1e100, f64::MAX, -f64::MAX] {
            assert!(sin(x).abs() <= 1.0 && cos(x).abs() <= 1.0 && tan(x).is_finite(), "{x}");
        }
    }
}
