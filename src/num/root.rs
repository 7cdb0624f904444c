//! A bracketed root finder that never needs many more steps than bisection.

use crate::error::{Error, Result};

/// Most steps of a bracket of doubles halved down to neighbors, with room.
const MOST_STEPS: usize = 2200;

/// Where `f` is zero between `lo` and `hi`, to within `tolerance` of the argument.
///
/// Interpolate, truncate and project (ITP): a false-position guess pulled towards the middle and kept within
/// reach of bisection, with the authors' κ1 = 0.2 / (hi - lo), κ2 = 2, n0 = 1.
///
/// # Errors
/// The interval is empty or not finite, `tolerance` is not positive, `f` has the same sign at both ends, or `f`
/// returns NaN.
///
/// # Source
/// Oliveira and Takahashi (2020), ACM Transactions on Mathematical Software 47(1):5.
///
/// ```
/// let root = dibble::num::root::bracketed(|x| x * x - 2.0, 0.0, 2.0, 1e-12)?;
/// assert!((root - std::f64::consts::SQRT_2).abs() < 1e-12);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn bracketed(mut f: impl FnMut(f64) -> f64, lo: f64, hi: f64, tolerance: f64) -> Result<f64> {
    if !(lo.is_finite() && hi.is_finite() && lo < hi && tolerance > 0.0) {
        return Err(Error::inconsistent(
            format!("no root can be sought between {lo} and {hi} to within {tolerance}"),
            "Give finite ends in rising order and a positive tolerance.",
        ));
    }
    let (mut a, mut b) = (lo, hi);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if fa.is_nan() || fb.is_nan() || (fa > 0.0) == (fb > 0.0) {
        return Err(Error::infeasible(
            format!("no change of sign between {lo} (value {fa}) and {hi} (value {fb})"),
            "Widen the interval until the two ends have opposite signs.",
        ));
    }
    let rising = fb > 0.0;
    let mut reach = b - a;
    for _ in 0..MOST_STEPS {
        if b - a <= 2.0 * tolerance {
            break;
        }
        let middle = a + 0.5 * (b - a);
        if middle <= a || middle >= b {
            break; // neighbors
        }
        let chord = a + (b - a) * (fa / (fa - fb));
        let toward = if middle >= chord { 1.0 } else { -1.0 };
        let pull = (0.2 / (hi - lo)) * (b - a) * (b - a);
        let truncated = if pull <= (middle - chord).abs() { chord + toward * pull } else { middle };
        // What bisection would be allowed after as many steps, less half the present bracket.
        let radius = (reach - 0.5 * (b - a)).max(0.0);
        let projected = if (truncated - middle).abs() <= radius { truncated } else { middle - toward * radius };
        let x = if projected > a && projected < b { projected } else { middle };
        reach *= 0.5;
        let fx = f(x);
        if fx.is_nan() {
            return Err(Error::infeasible(format!("the function is not a number at {x}"), "Narrow the interval to where it is defined."));
        }
        if fx == 0.0 {
            return Ok(x);
        }
        if (fx > 0.0) == rising {
            (b, fb) = (x, fx);
        } else {
            (a, fa) = (x, fx);
        }
    }
    Ok(a + 0.5 * (b - a))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_flat_steep_and_falling_roots() {
        assert!((bracketed(|x| x * x * x, -1.0, 2.5, 1e-9).unwrap()).abs() < 1e-9);
        assert!((bracketed(|x| 1.0 - crate::num::exp(20.0 * (x - 0.7)), 0.0, 9.0, 1e-12).unwrap() - 0.7).abs() < 1e-12);
        assert_eq!(bracketed(|x| x - 3.0, 3.0, 4.0, 1e-9).unwrap(), 3.0);
        assert!((bracketed(|x| if x < 0.123 { -1.0 } else { 1.0 }, 0.0, 1.0, 1e-14).unwrap() - 0.123).abs() < 1e-14);
    }

    #[test]
    fn needs_no_more_steps_than_bisection_and_two() {
        for tolerance in [1e-3, 1e-8, 1e-14] {
            let mut steps = 0;
            let shape = |x: f64| crate::num::pow(x, 9.0) - 1e-4;
            bracketed(
                |x| {
                    steps += 1;
                    shape(x)
                },
                0.0,
                1.0,
                tolerance,
            )
            .unwrap();
            let bisection = (1.0f64 / (2.0 * tolerance)).log2().ceil() as usize;
            assert!(steps <= bisection + 2 + 2, "{steps} steps, bisection {bisection} and the two ends");
        }
    }

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            bracketed(|x| x + 5.0, 0.0, 1.0, 1e-9).unwrap_err().to_string(),
            "no change of sign between 0 (value 5) and 1 (value 6). Widen the interval until the two ends have opposite signs."
        );
        assert!(bracketed(|x| x, 1.0, 0.0, 1e-9).unwrap_err().to_string().starts_with("no root can be sought between 1 and 0"));
        assert!(bracketed(|x| if x > 0.4 && x < 0.6 { f64::NAN } else { x - 0.5 }, 0.0, 1.0, 1e-9).is_err());
        assert!(bracketed(|_| f64::NAN, 0.0, 1.0, 1e-9).unwrap_err().is_infeasible());
    }
}
