//! How even depths are: mean, CU, DU of the low quarter, scheduling coefficient, adequacy.

use super::profile::check_all;
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::normal;
use serde::{Deserialize, Serialize};

/// Mean absolute over standard deviation of the normal distribution, √(2/π).
const MEAN_DEVIATION: f64 = 2.0 * normal::DENSITY_AT_MEAN;

/// 2^400: the squares and quarters of numbers down to its inverse are above the least that a float can hold.
const SQUARABLE: f64 = f64::from_bits((1023 + 400) << 52);

/// 2^800, by which smaller ones are raised; a power of two keeps every digit.
const UP: f64 = SQUARABLE * SQUARABLE;

/// How even a set of depths is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Uniformity {
    /// Mean depth, mm.
    pub mean_mm: f64,
    /// Smallest depth, mm.
    pub min_mm: f64,
    /// Largest depth, mm.
    pub max_mm: f64,
    /// Standard deviation over mean.
    pub variation: f64,
    /// Christiansen's coefficient of uniformity, %; below zero when very uneven.
    pub cu_pct: f64,
    /// Distribution uniformity of the low quarter, %.
    pub du_pct: f64,
    /// Mean over smallest depth; none when a place stays dry.
    pub scheduling_coefficient: Option<f64>,
    /// Factor on the running time that brings the low quarter's mean to the wanted depth, 100 / DU; none when it
    /// stays dry. It belongs to even coverage planned by the mean alone, never on top of depths known tree by tree.
    pub low_quarter_factor: Option<f64>,
}

/// Evenness of depths (mm), each standing for the same ground.
///
/// CU = 100 (1 - Σ|x - m| / (n m)). DU = 100 times the mean of the lowest quarter over the mean; when 4 does not divide
/// n, the depth at the border counts with the fraction of it that belongs to the quarter, so that DU does not jump with
/// n (rounding the count down or up gives 83.3 or 86.7 where this gives 85.3).
///
/// # Errors
/// No depths, a negative or missing one, or all zero.
///
/// # Source
/// Christiansen (1942), California Agricultural Experiment Station Bulletin 670 (definition); the published example
/// (India's GATE 2023) of ten cans has CU 90.67.
///
/// ```
/// let cans = [12.0, 15.0, 14.0, 18.0, 16.0, 14.0, 13.0, 17.0, 15.0, 16.0];
/// let even = dibble::sprinkler::uniformity(&cans)?;
/// assert_eq!(even.mean_mm, 15.0);
/// assert_eq!(format!("{:.2} {:.2}", even.cu_pct, even.du_pct), "90.67 85.33");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn uniformity(depths_mm: &[f64]) -> Result<Uniformity> {
    if depths_mm.is_empty() {
        return Err(Error::missing("depths_mm", "Give the depth at one place or more."));
    }
    check_all(bounds::DEPTH_MM.named("depths_mm"), depths_mm)?;
    of_values(depths_mm.to_vec()).ok_or_else(|| {
        Error::inconsistent(format!("all {} depths are 0", depths_mm.len()), "Evenness needs water; check the positions and minutes.")
    })
}

/// The same of values in any unit; none if they are all zero.
pub(super) fn of_values(mut values: Vec<f64>) -> Option<Uniformity> {
    let n = values.len() as f64;
    let most = values.iter().copied().fold(0.0, f64::max);
    if most > 0.0 && most < 1.0 / SQUARABLE {
        let even = of_values(values.into_iter().map(|v| v * UP).collect())?;
        return Some(Uniformity { mean_mm: even.mean_mm / UP, min_mm: even.min_mm / UP, max_mm: even.max_mm / UP, ..even });
    }
    let mean = values.iter().sum::<f64>() / n;
    if mean <= 0.0 {
        return None;
    }
    values.sort_by(f64::total_cmp);
    let deviation = values.iter().map(|v| (v - mean).abs()).sum::<f64>() / n;
    let variance = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n;
    let quarter = n / 4.0;
    let shares = values.iter().enumerate().map(|(i, v)| v * (quarter - i as f64).clamp(0.0, 1.0));
    let low = shares.take(quarter.ceil() as usize).sum::<f64>() / quarter;
    let (min, max) = (values.first().copied()?, values.last().copied()?);
    let over = |part: f64| (part > 0.0).then(|| mean / part);
    Some(Uniformity {
        mean_mm: mean,
        min_mm: min,
        max_mm: max,
        variation: variance.sqrt() / mean,
        cu_pct: 100.0 * (1.0 - deviation / mean),
        du_pct: 100.0 * low / mean,
        scheduling_coefficient: over(min),
        low_quarter_factor: over(low),
    })
}

/// Share of the ground that gets at least `needed_mm`.
///
/// # Errors
/// No depths, or a value out of range.
///
/// ```
/// let share = dibble::sprinkler::adequacy_share(&[10.0, 14.0, 19.0, 25.0], 14.0)?;
/// assert_eq!(share, 0.75);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn adequacy_share(depths_mm: &[f64], needed_mm: f64) -> Result<f64> {
    if depths_mm.is_empty() {
        return Err(Error::missing("depths_mm", "Give the depth at one place or more."));
    }
    check_all(bounds::DEPTH_MM.named("depths_mm"), depths_mm)?;
    let needed = bounds::DEPTH_MM.named("needed_mm").check(needed_mm)?;
    Ok(depths_mm.iter().filter(|d| **d >= needed).count() as f64 / depths_mm.len() as f64)
}

/// Depth over the mean that a share of the ground gets at least, if depths are normally distributed: an **estimate**
/// from CU alone. 1 - CV z, with CV = (1 - CU/100) / 0.798.
///
/// `cu_pct`: 0 to 100; `share`: 0 to 1.
///
/// # Errors
/// A value out of range.
///
/// # Source
/// The normal law; Keller and Bliesner's cubic fit (from memory) differs by at most about one point of depth for CU of
/// 70 and above.
///
/// ```
/// // with a CU of 82, nine tenths of the ground get at least 71 % of the mean
/// let depth = dibble::sprinkler::adequacy_depth(82.0, 0.9)?;
/// assert_eq!(format!("{depth:.4}"), "0.7109");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn adequacy_depth(cu_pct: f64, share: f64) -> Result<f64> {
    Ok(1.0 - variation_of(cu_pct)? * normal::quantile(share)?)
}

/// DU of the low quarter, %, that belongs to a CU if depths are normally distributed: an **estimate**; measured fields
/// stray from it by ten points and more.
///
/// DU = 100 - 1.593 (100 - CU).
///
/// # Errors
/// CU out of range.
///
/// ```
/// assert_eq!(format!("{:.1}", dibble::sprinkler::du_from_cu(89.0)?), "82.5");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn du_from_cu(cu_pct: f64) -> Result<f64> {
    Ok(100.0 * (1.0 - variation_of(cu_pct)? * low_quarter_drop()?))
}

fn variation_of(cu_pct: f64) -> Result<f64> {
    Ok((1.0 - bounds::CU_PCT.check(cu_pct)? / 100.0) / MEAN_DEVIATION)
}

/// How far the mean of the low quarter lies below the mean, in standard deviations: φ(z) / 0.25 = 1.2711.
fn low_quarter_drop() -> Result<f64> {
    Ok(normal::density(normal::quantile(0.25)?) / 0.25)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_depths_are_as_even_as_any() {
        let least = f64::from_bits(1);
        let one = uniformity(&[least]).unwrap();
        assert_eq!((one.cu_pct, one.du_pct, one.variation, one.mean_mm), (100.0, 100.0, 0.0, least));
        let (small, plain) = (uniformity(&[least, 0.0]).unwrap(), uniformity(&[1.0, 0.0]).unwrap());
        assert_eq!((small.cu_pct, small.du_pct, small.variation), (plain.cu_pct, plain.du_pct, plain.variation));
    }
    use proptest::prelude::*;

    #[test]
    fn factors_of_the_normal_law() {
        assert!((MEAN_DEVIATION - 0.797_884_560_803).abs() < 1e-11);
        assert!((low_quarter_drop().unwrap() - 1.271_106_291).abs() < 1e-8);
        let slope = (du_from_cu(90.0).unwrap() - du_from_cu(80.0).unwrap()) / 10.0;
        assert!((slope - 1.593_095_484).abs() < 1e-8);
    }

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(uniformity(&[]).unwrap_err().to_string(), "depths_mm is missing. Give the depth at one place or more.");
        assert_eq!(
            uniformity(&[0.0, 0.0]).unwrap_err().to_string(),
            "all 2 depths are 0. Evenness needs water; check the positions and minutes."
        );
        assert_eq!(
            uniformity(&[1.0, -2.0]).unwrap_err().to_string(),
            "depths_mm[1] is -2 mm: water depth must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm."
        );
        assert_eq!(
            adequacy_depth(120.0, 0.9).unwrap_err().to_string(),
            "cu_pct is 120 %: coefficient of uniformity must be from 0 to 100 %. Give percent."
        );
    }

    proptest! {
        #[test]
        fn evenness_does_not_depend_on_order_or_scale(mut depths in prop::collection::vec(0.1..50.0f64, 1..40), scale in 0.1..9.0f64) {
            let one = uniformity(&depths).unwrap();
            depths.reverse();
            let other = uniformity(&depths.iter().map(|d| d * scale).collect::<Vec<_>>()).unwrap();
            prop_assert!((one.cu_pct - other.cu_pct).abs() < 1e-9 && (one.du_pct - other.du_pct).abs() < 1e-9);
            prop_assert!(one.du_pct <= 100.0 + 1e-9 && one.du_pct >= 100.0 * one.min_mm / one.mean_mm - 1e-9);
            prop_assert!(one.cu_pct <= 100.0);
        }
    }
}
