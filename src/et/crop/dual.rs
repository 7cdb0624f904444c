//! The dual coefficient: transpiration apart from evaporation of the soil surface (FAO-56 chapter 7).

use super::coefficient::{check_climate, climate_term};
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::pow;

/// Eq. 72 with the base value for the wetting habit.
#[inline(always)]
pub(crate) fn upper_limit(base: f64, climate_term: f64, kcb: f64) -> f64 {
    (base + climate_term).max(kcb + 0.05)
}

/// Eq. 74, 0 to 1; `total` may equal `readily`.
#[inline(always)]
pub(crate) fn reduction(depletion_mm: f64, readily_mm: f64, total_mm: f64) -> f64 {
    let falling = (total_mm - depletion_mm) / (total_mm - readily_mm).max(1e-12);
    if depletion_mm <= readily_mm { 1.0 } else { falling.clamp(0.0, 1.0) }
}

/// Upper limit of evaporation and transpiration together, as a coefficient.
///
/// Kc max = max(1.2 + (0.04 (u_2 - 2) - 0.004 (RHmin - 45)) (h / 3)^0.3, Kcb + 0.05), FAO-56 Eq. 72.
///
/// `kcb` 0 to 2.5, `wind_2m_m_s` 0 to 60 m/s, `rh_min_pct` 0 to 100 %, `height_m` 0 to 120 m.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 32: 1.30.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::kc_max(0.9, 3.0, 20.0, 1.0)?), "1.30");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kc_max(kcb: f64, wind_2m_m_s: f64, rh_min_pct: f64, height_m: f64) -> Result<f64> {
    let kcb = bounds::KC.named("kcb").check(kcb)?;
    let (u2, rh, h) = check_climate(wind_2m_m_s, rh_min_pct, height_m)?;
    Ok(upper_limit(1.2, climate_term(u2, rh, h), kcb))
}

/// What the canopy cover is judged from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoverFromKcb {
    /// Basal coefficient of the day, 0 to 2.5.
    pub kcb: f64,
    /// Coefficient of dry bare soil, 0.15 to 0.20.
    pub kc_min: f64,
    /// Upper limit, from [`kc_max`].
    pub kc_max: f64,
    /// Plant height, 0 to 120 m.
    pub height_m: f64,
}

/// Fraction of the ground covered by the canopy, 0 to 0.99, where nobody has looked.
///
/// f_c = ((Kcb - Kc min) / (Kc max - Kc min))^(1 + 0.5 h), FAO-56 Eq. 76, with Kcb - Kc min at least 0.01.
///
/// # Errors
/// A value out of range, or `kc_min` not below `kc_max`.
///
/// # Source
/// FAO-56 Example 32: 0.53.
///
/// ```
/// use dibble::et::crop::{CoverFromKcb, canopy_cover_from_kcb};
/// let cover = canopy_cover_from_kcb(&CoverFromKcb { kcb: 0.9, kc_min: 0.15, kc_max: 1.3, height_m: 1.0 })?;
/// assert_eq!(format!("{cover:.2}"), "0.53");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn canopy_cover_from_kcb(stand: &CoverFromKcb) -> Result<f64> {
    let kcb = bounds::KC.named("kcb").check(stand.kcb)?;
    let low = bounds::KC.named("kc_min").check(stand.kc_min)?;
    let high = bounds::KC.named("kc_max").check(stand.kc_max)?;
    let h = bounds::HEIGHT_M.check(stand.height_m)?;
    if low >= high {
        return Err(Error::inconsistent(
            format!("kc_min is {low} and kc_max is {high}: the lower limit must be below the upper"),
            "Take 0.15 for kc_min and kc_max from Eq. 72.",
        ));
    }
    Ok(pow((kcb - low).max(0.01) / (high - low), 1.0 + 0.5 * h).min(0.99))
}

/// Fraction of the ground that is both wetted and bare to sun and wind: min(1 - f_c, f_w), FAO-56 Eq. 75.
///
/// `canopy_cover`, `wetted` 0 to 1 (sprinkler and rain wet all: 1).
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 32: 0.47.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::exposed_wetted_fraction(0.53, 1.0)?), "0.47");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn exposed_wetted_fraction(canopy_cover: f64, wetted: f64) -> Result<f64> {
    let f_c = bounds::FRACTION.named("canopy_cover").check(canopy_cover)?;
    Ok((1.0 - f_c).min(bounds::FRACTION.named("wetted").check(wetted)?))
}

/// Drip under the canopy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DripCover {
    /// Canopy cover, 0 to 1.
    pub canopy_cover: f64,
    /// Fraction of the ground wetted by the emitters, 0 to 1.
    pub wetted: f64,
}

/// As [`exposed_wetted_fraction`], for drip, whose wet spots lie in the shade: min(1 - f_c, f_w (1 - 2/3 f_c)).
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 p. 149 and Example 34: 0.19.
///
/// ```
/// use dibble::et::crop::{DripCover, exposed_wetted_fraction_under_drip};
/// let few = exposed_wetted_fraction_under_drip(&DripCover { canopy_cover: 0.53, wetted: 0.3 })?;
/// assert_eq!(format!("{few:.2}"), "0.19");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn exposed_wetted_fraction_under_drip(drip: &DripCover) -> Result<f64> {
    let f_c = bounds::FRACTION.named("canopy_cover").check(drip.canopy_cover)?;
    exposed_wetted_fraction(f_c, bounds::FRACTION.named("wetted").check(drip.wetted)? * (1.0 - 2.0 / 3.0 * f_c))
}

/// Most water that evaporates from a surface layer once wetted, mm: 1000 (θ_FC - 0.5 θ_WP) Z_e, FAO-56 Eq. 73.
///
/// `field_capacity`, `wilting_point` 0 to 1, `depth_m` of the layer (0.10 to 0.15 in the paper) 0 to 10 m.
///
/// # Errors
/// A value out of range, or field capacity below wilting point.
///
/// # Source
/// FAO-56 Example 35: 18 mm.
///
/// ```
/// assert_eq!(format!("{:.0}", dibble::et::crop::total_evaporable_mm(0.23, 0.10, 0.10)?), "18");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn total_evaporable_mm(field_capacity: f64, wilting_point: f64, depth_m: f64) -> Result<f64> {
    let (fc, wp) = super::stress::check_holding(field_capacity, wilting_point)?;
    Ok(1000.0 * (fc - 0.5 * wp) * bounds::SOIL_DEPTH_M.check(depth_m)?)
}

/// How far evaporation from the surface has fallen off, 1 while wet to 0 when dry.
///
/// K_r = (TEW - D_e) / (TEW - REW) once D_e exceeds REW, FAO-56 Eq. 74.
///
/// `depletion_mm`, `readily_mm` (REW), `total_mm` (TEW) 0 to 2000 mm.
///
/// # Errors
/// A value out of range, or REW above TEW.
///
/// # Source
/// FAO-56 Eq. 74; Example 35 has TEW 18 mm and REW 8 mm.
///
/// ```
/// assert_eq!(dibble::et::crop::evaporation_reduction(13.0, 8.0, 18.0)?, 0.5);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn evaporation_reduction(depletion_mm: f64, readily_mm: f64, total_mm: f64) -> Result<f64> {
    let depletion = bounds::DEPTH_MM.named("depletion_mm").check(depletion_mm)?;
    let readily = bounds::DEPTH_MM.named("readily_mm").check(readily_mm)?;
    let total = bounds::DEPTH_MM.named("total_mm").check(total_mm)?;
    if readily > total {
        return Err(Error::inconsistent(
            format!("readily_mm is {readily} mm and total_mm is {total} mm: the first stage cannot exceed the whole"),
            "FAO-56 Table 19 lists both by texture.",
        ));
    }
    Ok(reduction(depletion, readily, total))
}

/// What the evaporation coefficient is made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EvaporationShare {
    /// From [`evaporation_reduction`], 0 to 1.
    pub reduction: f64,
    /// Basal coefficient, 0 to 2.5.
    pub kcb: f64,
    /// Upper limit, from [`kc_max`].
    pub kc_max: f64,
    /// From [`exposed_wetted_fraction`], 0 to 1.
    pub exposed_wetted: f64,
}

/// Soil evaporation coefficient: K_e = min(K_r (Kc max - Kcb), f_ew Kc max), FAO-56 Eq. 71, not below 0.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 32: 0.40.
///
/// ```
/// use dibble::et::crop::{EvaporationShare, evaporation_coefficient};
/// let ke = evaporation_coefficient(&EvaporationShare { reduction: 1.0, kcb: 0.9, kc_max: 1.3, exposed_wetted: 0.47 })?;
/// assert_eq!(format!("{ke:.2}"), "0.40");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn evaporation_coefficient(share: &EvaporationShare) -> Result<f64> {
    let kr = bounds::FRACTION.named("reduction").check(share.reduction)?;
    let kcb = bounds::KC.named("kcb").check(share.kcb)?;
    let upper = bounds::KC.named("kc_max").check(share.kc_max)?;
    let few = bounds::FRACTION.named("exposed_wetted").check(share.exposed_wetted)?;
    Ok((kr * (upper - kcb)).min(few * upper).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            evaporation_reduction(1.0, 20.0, 18.0).unwrap_err().to_string(),
            "readily_mm is 20 mm and total_mm is 18 mm: the first stage cannot exceed the whole. FAO-56 Table 19 lists both by texture."
        );
        let stand = CoverFromKcb { kcb: 0.5, kc_min: 1.3, kc_max: 1.3, height_m: 1.0 };
        assert!(canopy_cover_from_kcb(&stand).unwrap_err().to_string().starts_with("kc_min is 1.3 and kc_max is 1.3"));
    }

    #[test]
    fn one_stage_soils_stop_at_once() {
        assert_eq!(evaporation_reduction(8.0, 8.0, 8.0).unwrap(), 1.0);
        assert_eq!(evaporation_reduction(8.5, 8.0, 8.0).unwrap(), 0.0);
    }

    proptest! {
        #[test]
        fn a_drier_surface_never_evaporates_more(de in 0.0..40.0f64, more in 0.0..5.0f64, rew in 0.0..12.0f64, extra in 0.0..20.0f64) {
            let before = evaporation_reduction(de, rew, rew + extra)?;
            let after = evaporation_reduction(de + more, rew, rew + extra)?;
            prop_assert!((0.0..=1.0).contains(&before) && after <= before);
        }

        #[test]
        fn soil_and_plant_together_stay_below_the_limit(kcb in 0.0..1.2f64, kr in 0.0..=1.0f64, few in 0.0..=1.0f64, u2 in 0.0..9.0f64) {
            let upper = kc_max(kcb, u2, 45.0, 1.0)?;
            let ke = evaporation_coefficient(&EvaporationShare { reduction: kr, kcb, kc_max: upper, exposed_wetted: few })?;
            prop_assert!(ke >= 0.0 && kcb + ke <= upper + 1e-12);
        }
    }
}
