//! The normal distribution.

use super::{exp, root};
use crate::bounds;
use crate::error::Result;

/// 1 / √(2π): the density at the mean.
pub const DENSITY_AT_MEAN: f64 = 0.398_942_280_401_432_7;

/// Density of the standard normal distribution.
pub fn density(z: f64) -> f64 {
    DENSITY_AT_MEAN * exp(-0.5 * z * z)
}

/// Share of a standard normal distribution below `z`; error below 1e-15 (absolute).
///
/// # Source
/// Marsaglia (2004), Journal of Statistical Software 11(4): Φ(z) = 1/2 + φ(z) (z + z³/3 + z⁵/15 + ...).
///
/// ```
/// assert!((dibble::num::normal::share_below(1.96) - 0.975_002_104_851_780).abs() < 1e-14);
/// ```
pub fn share_below(z: f64) -> f64 {
    if z.abs() > 8.3 {
        return if z > 0.0 { 1.0 } else { 0.0 }; // the rest is below 1e-16
    }
    let (mut term, mut sum, mut n) = (z, z, 1.0);
    while sum + term != sum {
        n += 2.0;
        term *= z * z / n;
        sum += term;
    }
    (0.5 + density(z) * sum).clamp(0.0, 1.0)
}

/// The z below which lies a share of a standard normal distribution; error below 1e-12 for shares from 1e-9 on.
///
/// # Errors
/// A share that is not between 0 and 1; at 0 and 1 the answer is infinite and the value ±8.3 stands for it.
///
/// ```
/// assert!((dibble::num::normal::quantile(0.975)? - 1.959_963_984_540_054).abs() < 1e-11);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn quantile(share: f64) -> Result<f64> {
    let share = bounds::FRACTION.named("share").check(share)?;
    if share <= 0.0 || share >= 1.0 {
        return Ok(if share > 0.5 { 8.3 } else { -8.3 });
    }
    // By symmetry from the lower half, where the share has all its digits.
    let lower = root::bracketed(|z| share_below(z) - share.min(1.0 - share), -8.3, 0.0, 1e-13)?;
    Ok(if share > 0.5 { -lower } else { lower })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantile_undoes_the_share() {
        for i in 1..1000 {
            let share = f64::from(i) / 1000.0;
            assert!((share_below(quantile(share).unwrap()) - share).abs() < 1e-12, "{share}");
        }
        assert_eq!(quantile(0.5).unwrap(), 0.0);
        assert!(quantile(1.5).is_err() && quantile(f64::NAN).is_err());
        assert_eq!((share_below(9.0), share_below(-9.0), share_below(0.0)), (1.0, 0.0, 0.5));
    }

    #[test]
    fn printed_quantiles() {
        // three digits in any table of the normal distribution
        for (share, z) in [(0.75, 0.6745), (0.9, 1.2816), (0.95, 1.6449), (0.99, 2.3263), (0.001, -3.0902)] {
            assert!((quantile(share).unwrap() - z).abs() < 5e-5, "{share}");
        }
    }
}
