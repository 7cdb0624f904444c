//! Water held for roots, and how shortage and salt cut transpiration (FAO-56 chapter 8).

use crate::bounds;
use crate::error::{Error, Result};

/// Eq. for p on p. 162.
#[inline(always)]
pub(crate) fn onset(p_table: f64, etc_mm: f64) -> f64 {
    (p_table + 0.04 * (5.0 - etc_mm)).clamp(0.1, 0.8)
}

/// Eq. 84, 0 to 1; a root zone that holds nothing is fully stressed.
#[inline(always)]
pub(crate) fn stress(depletion_mm: f64, total_available_mm: f64, p: f64) -> f64 {
    let left = total_available_mm - depletion_mm;
    let falling = left / ((1.0 - p) * total_available_mm).max(1e-12);
    falling.clamp(0.0, 1.0)
}

/// Field capacity and wilting point, in range and in order.
pub(super) fn check_holding(field_capacity: f64, wilting_point: f64) -> Result<(f64, f64)> {
    let fc = bounds::WATER_CONTENT.named("field_capacity").check(field_capacity)?;
    let wp = bounds::WATER_CONTENT.named("wilting_point").check(wilting_point)?;
    if wp > fc {
        return Err(Error::inconsistent(
            format!("field_capacity is {fc} and wilting_point is {wp}: the wilting point must be the lower"),
            "Give both in m3 of water per m3 of soil.",
        ));
    }
    Ok((fc, wp))
}

/// Water that roots can take from field capacity to wilting, mm: TAW = 1000 (θ_FC - θ_WP) Z_r, FAO-56 Eq. 82.
///
/// `field_capacity`, `wilting_point` 0 to 1, `root_depth_m` 0.02 to 10 m.
///
/// # Errors
/// A value out of range, or field capacity below wilting point.
///
/// # Source
/// FAO-56 Example 36: 72 mm for tomato on loamy sand.
///
/// ```
/// assert_eq!(format!("{:.0}", dibble::et::crop::total_available_mm(0.15, 0.06, 0.8)?), "72");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn total_available_mm(field_capacity: f64, wilting_point: f64, root_depth_m: f64) -> Result<f64> {
    let (fc, wp) = check_holding(field_capacity, wilting_point)?;
    Ok(1000.0 * (fc - wp) * bounds::ROOT_DEPTH_M.check(root_depth_m)?)
}

/// Water that roots can take without stress, mm: RAW = p TAW, FAO-56 Eq. 83.
///
/// `total_mm` 0 to 2000 mm, `p` 0.1 to 0.8.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 36: 29 mm of 72 with p 0.4.
///
/// ```
/// assert_eq!(format!("{:.0}", dibble::et::crop::readily_available_mm(72.0, 0.4)?), "29");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn readily_available_mm(total_mm: f64, p: f64) -> Result<f64> {
    Ok(bounds::P.check(p)? * bounds::DEPTH_MM.named("total_mm").check(total_mm)?)
}

/// Depletion fraction at which stress begins under a day's demand: p + 0.04 (5 - ETc), held in 0.1-0.8.
///
/// The paper takes it 5-10 % lower on clay and 5-10 % higher on sand (p. 167).
///
/// `p_table` 0.1 to 0.8 (FAO-56 Table 22), `etc_mm` 0 to 60 mm/d.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 p. 162 and footnote to Table 22.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::stress_onset(0.50, 3.0)?), "0.58");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn stress_onset(p_table: f64, etc_mm: f64) -> Result<f64> {
    Ok(onset(bounds::P.named("p_table").check(p_table)?, bounds::ETC_MM.check(etc_mm)?))
}

/// Factor on transpiration under shortage of water, 1 to 0.
///
/// K_s = (TAW - D_r) / ((1 - p) TAW) once D_r exceeds p TAW, FAO-56 Eq. 84.
///
/// `depletion_mm`, `total_available_mm` 0 to 2000 mm, `p` 0.1 to 0.8.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Eq. 84.
///
/// ```
/// assert_eq!(dibble::et::crop::water_stress(75.0, 100.0, 0.5)?, 0.5);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn water_stress(depletion_mm: f64, total_available_mm: f64, p: f64) -> Result<f64> {
    let depletion = bounds::DEPTH_MM.named("depletion_mm").check(depletion_mm)?;
    let total = bounds::DEPTH_MM.named("total_available_mm").check(total_available_mm)?;
    Ok(stress(depletion, total, bounds::P.check(p)?))
}

/// How a crop bears salt in the soil solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaltTolerance {
    /// Conductivity of the saturation extract at which yield begins to fall, dS/m (FAO-56 Table 23).
    pub threshold_ds_m: f64,
    /// Fall of yield beyond it, % per dS/m (the b of Table 23).
    pub slope_pct: f64,
}

impl SaltTolerance {
    /// Fall of yield at a conductivity, as a fraction, 0 to 1.
    fn loss(&self, ec_ds_m: f64) -> Result<f64> {
        let ec = bounds::EC_DS_M.check(ec_ds_m)?;
        let threshold = bounds::EC_DS_M.named("threshold_ds_m").check(self.threshold_ds_m)?;
        let slope = bounds::SALT_SLOPE_PCT.check(self.slope_pct)?;
        Ok((slope / 100.0 * (ec - threshold).max(0.0)).min(1.0))
    }
}

/// Yield under salt as a fraction of the full one: 1 - (EC_e - threshold) b / 100, FAO-56 Eq. 89, 0 to 1.
///
/// `ec_ds_m`: saturation extract, 0 to 60 dS/m.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Eq. 89.
///
/// ```
/// use dibble::et::crop::{SaltTolerance, yield_under_salt};
/// let bean = SaltTolerance { threshold_ds_m: 1.0, slope_pct: 19.0 };
/// assert_eq!(format!("{:.2}", yield_under_salt(&bean, 2.0)?), "0.81");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn yield_under_salt(crop: &SaltTolerance, ec_ds_m: f64) -> Result<f64> {
    Ok(1.0 - crop.loss(ec_ds_m)?)
}

/// Factor on transpiration under salt, 1 to 0: 1 - b (EC_e - threshold) / (100 K_y), FAO-56 Eq. 91. Where water is short
/// too, multiply by [`water_stress`] (Eq. 92).
///
/// `ec_ds_m` 0 to 60 dS/m, `yield_response` K_y 0.1 to 2.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Eq. 91.
///
/// ```
/// use dibble::et::crop::{SaltTolerance, salt_stress};
/// let bean = SaltTolerance { threshold_ds_m: 1.0, slope_pct: 19.0 };
/// assert_eq!(format!("{:.3}", salt_stress(&bean, 2.0, 1.15)?), "0.835");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn salt_stress(crop: &SaltTolerance, ec_ds_m: f64, yield_response: f64) -> Result<f64> {
    Ok((1.0 - crop.loss(ec_ds_m)? / bounds::YIELD_RESPONSE.check(yield_response)?).max(0.0))
}

/// Stress factor that a fall of yield tells of: K_s = 1 - (1 - Y_a / Y_m) / K_y, FAO-56 Eq. 103, not below 0.
///
/// `relative_yield` Y_a / Y_m 0 to 1, `yield_response` K_y 0.1 to 2.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 44: 0.66 from 1100 of 1800 kg/ha with K_y 1.15.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::stress_from_yield(1100.0 / 1800.0, 1.15)?), "0.66");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn stress_from_yield(relative_yield: f64, yield_response: f64) -> Result<f64> {
    let loss = 1.0 - bounds::FRACTION.named("relative_yield").check(relative_yield)?;
    Ok((1.0 - loss / bounds::YIELD_RESPONSE.check(yield_response)?).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn field_capacity_below_wilting_point_is_refused() {
        assert_eq!(
            total_available_mm(0.1, 0.2, 0.3).unwrap_err().to_string(),
            "field_capacity is 0.1 and wilting_point is 0.2: the wilting point must be the lower. Give both in m3 of water per m3 of soil."
        );
    }

    #[test]
    fn a_root_zone_that_holds_nothing_is_fully_stressed() {
        assert_eq!(water_stress(0.0, 0.0, 0.5).unwrap(), 0.0);
        assert_eq!((stress_onset(0.5, 40.0).unwrap(), stress_onset(0.7, 0.0).unwrap()), (0.1, 0.8));
    }

    proptest! {
        #[test]
        fn drier_is_never_less_stressed(total in 0.1..400.0f64, share in 0.0..1.2f64, more in 0.0..0.5f64, p in 0.1..=0.8f64) {
            let before = water_stress(share * total, total, p)?;
            let after = water_stress((share + more) * total, total, p)?;
            prop_assert!((0.0..=1.0).contains(&before) && after <= before);
            if share <= p - 1e-9 { prop_assert_eq!(before, 1.0); }
        }
    }
}
