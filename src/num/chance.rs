//! Chances of the chi-square and of Student's distribution, by their finite sums for whole degrees of freedom.

use super::{acos, exp, ln, normal, root};
use crate::bounds;
use crate::error::{Error, Result};
use std::f64::consts::PI;

/// More degrees of freedom than this are a slip.
const MOST_DEGREES: u32 = 1_000_000;

fn degrees(given: u32) -> Result<()> {
    if (1..=MOST_DEGREES).contains(&given) {
        return Ok(());
    }
    Err(Error::inconsistent(format!("degrees of freedom are {given}"), format!("Give 1 to {MOST_DEGREES}.")))
}

/// Chance that a chi-square variable of so many degrees of freedom lies above `x`.
///
/// # Errors
/// `x` negative or not finite; no degree of freedom.
///
/// # Source
/// Abramowitz and Stegun (1964), 26.4.4 and 26.4.5.
///
/// ```
/// // the 5 % points of every table: 3.841 for 1 degree, 18.307 for 10
/// use dibble::num::chance::chi_square_above;
/// assert!((chi_square_above(3.841_459, 1)? - 0.05).abs() < 1e-7);
/// assert!((chi_square_above(18.307_038, 10)? - 0.05).abs() < 1e-7);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn chi_square_above(x: f64, degrees_of_freedom: u32) -> Result<f64> {
    degrees(degrees_of_freedom)?;
    if !(x.is_finite() && x >= 0.0) {
        return Err(Error::inconsistent(format!("chi-square is {x}"), "Give a finite number of 0 or more."));
    }
    if x == 0.0 {
        return Ok(1.0);
    }
    // Terms by their logarithms, so that none overflows: each is the one before times x over a rising even or odd number.
    let odd = degrees_of_freedom % 2 == 1;
    let (mut log_term, mut next) = if odd { (0.5 * ln(x) - 0.5 * x + ln(2.0 * normal::DENSITY_AT_MEAN), 3.0) } else { (-0.5 * x, 2.0) };
    let mut sum = if odd { 2.0 * normal::share_below(-x.sqrt()) } else { 0.0 };
    for _ in 0..degrees_of_freedom / 2 {
        sum += exp(log_term);
        log_term += ln(x / next);
        next += 2.0;
    }
    Ok(sum.min(1.0))
}

/// Chance that Student's t of so many degrees of freedom lies within `t` of 0 on either side.
fn student_within(t: f64, degrees_of_freedom: u32) -> f64 {
    let n = f64::from(degrees_of_freedom);
    let (sin, cos) = (t / (n + t * t).sqrt(), (n / (n + t * t)).sqrt());
    let odd = degrees_of_freedom % 2 == 1;
    let (mut term, mut k) = if odd { (cos, 2.0) } else { (1.0, 1.0) };
    let mut sum = 0.0;
    for _ in 0..(degrees_of_freedom / 2) {
        sum += term;
        term *= cos * cos * k / (k + 1.0);
        k += 2.0;
    }
    if odd { 2.0 / PI * (acos(cos) + sin * sum) } else { sin * sum }
}

/// The t within which lies a share `level` of Student's distribution, on both sides of 0.
///
/// # Errors
/// A level outside 0.5 to 0.999; no degree of freedom.
///
/// # Source
/// Abramowitz and Stegun (1964), 26.7.3 and 26.7.4.
///
/// ```
/// // the 95 % points of every table: 12.706 for 1 degree, 2.262 for 9
/// use dibble::num::chance::student_limit;
/// assert_eq!(format!("{:.3} {:.3}", student_limit(0.95, 1)?, student_limit(0.95, 9)?), "12.706 2.262");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn student_limit(level: f64, degrees_of_freedom: u32) -> Result<f64> {
    degrees(degrees_of_freedom)?;
    let level = bounds::LEVEL.check(level)?;
    root::bracketed(|t| student_within(t, degrees_of_freedom) - level, 0.0, 1000.0, 1e-10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_of_another_library_are_met() {
        // SciPy 1.17.1, scipy.stats.chi2.sf and scipy.stats.t.ppf
        for (x, df, expected) in CHI {
            let found = chi_square_above(*x, *df).unwrap();
            assert!((found - expected).abs() < 1e-12 * expected.max(1e-3), "{x} {df}: {found} against {expected}");
        }
        for (level, df, expected) in T {
            let found = student_limit(*level, *df).unwrap();
            assert!((found - expected).abs() < 1e-8, "{level} {df}: {found} against {expected}");
        }
    }

    #[test]
    fn what_is_no_chance_is_refused() {
        assert!(chi_square_above(-1.0, 3).is_err() && chi_square_above(f64::NAN, 3).is_err() && chi_square_above(1.0, 0).is_err());
        assert!(student_limit(1.0, 3).is_err() && student_limit(0.95, 0).is_err());
        assert_eq!(chi_square_above(0.0, 4).unwrap(), 1.0);
    }

    const CHI: &[(f64, u32, f64)] = &[
        (0.5, 1, 0.47950012218695337),
        (10.0, 1, 0.001565402258002549),
        (7.3, 2, 0.02599112877875535),
        (3.2, 3, 0.36180502749753174),
        (40.0, 17, 0.0012941985337428965),
        (25.0, 40, 0.9694058710730035),
        (1200.0, 1000, 1.2255942330622893e-05),
        (2500.0, 2001, 1.2032457143002492e-13),
        (5000.0, 2000, 2.6459820745450512e-256),
    ];
    const T: &[(f64, u32, f64)] = &[
        (0.95, 2, 4.302652729749462),
        (0.8, 3, 1.637744353696209),
        (0.9, 10, 1.8124611228116756),
        (0.99, 29, 2.756385903670605),
        (0.95, 120, 1.9799304050824402),
    ];
}
