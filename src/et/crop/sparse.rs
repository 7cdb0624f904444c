//! Young, sparse or mixed stands: from the cover and height of the plants to their coefficient (FAO-56 chapters 9-10).

use super::coefficient::{check_climate, climate_term};
use crate::air;
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::{asin, exp, pow, tan};
use crate::sun;

/// Basal coefficient of a stand that covers the ground fully.
///
/// min(1.0 + 0.1 h, 1.20) + climate term, FAO-56 Eq. 100-101.
///
/// `height_m` 0 to 120 m, `wind_2m_m_s` 0 to 60 m/s, `rh_min_pct` 0 to 100 %.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 41: 1.15 for 2 m, 1.5 m/s, 55 %.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::kcb_full(2.0, 1.5, 55.0)?), "1.15");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kcb_full(height_m: f64, wind_2m_m_s: f64, rh_min_pct: f64) -> Result<f64> {
    let (u2, rh, h) = check_climate(wind_2m_m_s, rh_min_pct, height_m)?;
    Ok((1.0 + 0.1 * h).min(1.2) + climate_term(u2, rh, h))
}

/// Elevation of the sun at noon, radians above the horizon; 0 if it does not rise.
///
/// arcsin(sin φ sin δ + cos φ cos δ), FAO-56 p. 188.
///
/// `latitude_deg` -90 to 90, `day_of_year` 1 to 366.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 41: 1.24 rad at 40° N on day 200 (unrounded 1.235).
///
/// ```
/// assert_eq!(format!("{:.3}", dibble::et::crop::noon_sun_elevation(40.0, 200.0)?), "1.235");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn noon_sun_elevation(latitude_deg: f64, day_of_year: f64) -> Result<f64> {
    let latitude = sun::raw::latitude_terms(bounds::LATITUDE_DEG.check(latitude_deg)?);
    let day = sun::raw::day_terms(bounds::DAY_OF_YEAR.check(day_of_year)?);
    Ok(asin((latitude.sin * day.sin + latitude.cos * day.cos).clamp(0.0, 1.0)))
}

/// Ground shaded by rows near noon, as a fraction: f_c (1 + HWR / tan η), at most 1.
///
/// `canopy_cover` 0 to 1; `height_to_width` is h cos Γ / width with Γ the angle of the rows from east-west (0 for
/// rows running north-south), 0 to 50; `sun_elevation_rad` 0 to pi/2, from [`noon_sun_elevation`].
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 p. 187 and Example 41: 0.40.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::effective_cover_of_rows(0.3, 1.0, 1.235)?), "0.40");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn effective_cover_of_rows(canopy_cover: f64, height_to_width: f64, sun_elevation_rad: f64) -> Result<f64> {
    let f_c = bounds::FRACTION.named("canopy_cover").check(canopy_cover)?;
    let ratio = bounds::HEIGHT_TO_WIDTH.check(height_to_width)?;
    let eta = bounds::SUN_ELEVATION_RAD.check(sun_elevation_rad)?;
    // A sun on the horizon shades all, if there is anything to throw a shadow.
    let shadow = if ratio > 0.0 { ratio / tan(eta).max(1e-9) } else { 0.0 };
    Ok((f_c * (1.0 + shadow)).min(1.0))
}

/// Ground shaded by round crowns near noon, as a fraction: f_c / sin η, at most 1.
///
/// `canopy_cover` 0 to 1, `sun_elevation_rad` 0 to pi/2.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Box 18 and Example 43: 0.40 from 0.393 at 30° N on day 180.
///
/// ```
/// use dibble::et::crop::{effective_cover_of_trees, noon_sun_elevation};
/// let cover = effective_cover_of_trees(0.3927, noon_sun_elevation(30.0, 180.0)?)?;
/// assert_eq!(format!("{cover:.2}"), "0.40");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn effective_cover_of_trees(canopy_cover: f64, sun_elevation_rad: f64) -> Result<f64> {
    let f_c = bounds::FRACTION.named("canopy_cover").check(canopy_cover)?;
    let eta = bounds::SUN_ELEVATION_RAD.check(sun_elevation_rad)?;
    Ok((f_c / crate::num::sin(eta).max(1e-9)).min(1.0))
}

/// Cover and height of sparse plants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SparseCover {
    /// Ground covered seen from above, 0 to 1.
    pub canopy_cover: f64,
    /// Ground shaded near noon, 0 to 1; take the canopy cover if nothing better is known.
    pub effective_cover: f64,
    /// Plant height, 0 to 120 m.
    pub height_m: f64,
}

impl SparseCover {
    fn checked(&self) -> Result<(f64, f64, f64)> {
        Ok((
            bounds::FRACTION.named("canopy_cover").check(self.canopy_cover)?,
            bounds::FRACTION.named("effective_cover").check(self.effective_cover)?,
            bounds::HEIGHT_M.check(self.height_m)?,
        ))
    }
}

/// Share of the full-cover coefficient that sparse plants reach: min(1, 2 f_c, f_eff^(1 / (1 + h))), FAO-56 Eq. 98.
///
/// "Applies well to trees and shrubs" (p. 188).
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 41: 0.6, the limit 2 f_c.
///
/// ```
/// use dibble::et::crop::{SparseCover, density_coefficient};
/// let rows = SparseCover { canopy_cover: 0.3, effective_cover: 0.405, height_m: 2.0 };
/// assert_eq!(density_coefficient(&rows)?, 0.6);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn density_coefficient(plants: &SparseCover) -> Result<f64> {
    let (f_c, f_eff, h) = plants.checked()?;
    Ok((2.0 * f_c).min(pow(f_eff, 1.0 / (1.0 + h))).min(1.0))
}

/// The later form of [`density_coefficient`]: K_d = min(1, M_L f_eff, f_eff^(1 / (1 + h))).
///
/// `canopy_cover` is not used; `m_l`, the most that a unit of shaded ground can use, is 1.5 to 2.0.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// Allen and Pereira (2009), Irrigation Science 28(1):17-34; equation and range **from memory**.
///
/// ```
/// use dibble::et::crop::{SparseCover, density_coefficient_2009};
/// let rows = SparseCover { canopy_cover: 0.2, effective_cover: 0.25, height_m: 1.0 };
/// assert_eq!(density_coefficient_2009(&rows, 1.5)?, 0.375);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn density_coefficient_2009(plants: &SparseCover, m_l: f64) -> Result<f64> {
    let (_, f_eff, h) = plants.checked()?;
    let m_l = bounds::CANOPY_LIMIT.check(m_l)?;
    Ok((m_l * f_eff).min(pow(f_eff, 1.0 / (1.0 + h))).min(1.0))
}

/// Basal coefficient of sparse plants: Kc min + K_d (Kcb full - Kc min), FAO-56 Eq. 98.
///
/// `kcb_full` 0 to 2.5 ([`kcb_full`], or a tabulated value), `kc_min` of bare soil (0.15 to 0.20) or of the cover
/// between the plants, `density` 0 to 1.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 41: 0.75.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::kcb_from_cover(1.147, 0.15, 0.6)?), "0.75");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kcb_from_cover(kcb_full: f64, kc_min: f64, density: f64) -> Result<f64> {
    let full = bounds::KC.named("kcb_full").check(kcb_full)?;
    let low = bounds::KC.named("kc_min").check(kc_min)?;
    Ok(low + bounds::FRACTION.named("density").check(density)? * (full - low))
}

/// Basal coefficient of trees over an active ground cover: Kcb cover + K_d max(Kcb full - Kcb cover, half of that).
///
/// Where the cover uses more than the trees would, they take away half the difference by their shade.
///
/// `kcb_full`, `kcb_cover` 0 to 2.5, `density` 0 to 1.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// Allen and Pereira (2009), Irrigation Science 28(1):17-34; equation **from memory**.
///
/// ```
/// assert_eq!(format!("{:.3}", dibble::et::crop::kcb_over_ground_cover(1.0, 0.75, 0.5)?), "0.875");
/// assert_eq!(format!("{:.3}", dibble::et::crop::kcb_over_ground_cover(0.6, 0.8, 0.5)?), "0.750");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kcb_over_ground_cover(kcb_full: f64, kcb_cover: f64, density: f64) -> Result<f64> {
    let full = bounds::KC.named("kcb_full").check(kcb_full)?;
    let cover = bounds::KC.named("kcb_cover").check(kcb_cover)?;
    let gain = full - cover;
    Ok(cover + bounds::FRACTION.named("density").check(density)? * gain.max(0.5 * gain))
}

/// Basal coefficient from leaf area: Kc min + (Kcb full - Kc min) (1 - exp(-0.7 LAI)), FAO-56 Eq. 97.
///
/// `kcb_full`, `kc_min` 0 to 2.5, `leaf_area_index` 0 to 15.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 p. 186.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::et::crop::kcb_from_leaf_area(1.15, 0.15, 1.0)?), "0.65");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kcb_from_leaf_area(kcb_full: f64, kc_min: f64, leaf_area_index: f64) -> Result<f64> {
    let full = bounds::KC.named("kcb_full").check(kcb_full)?;
    let low = bounds::KC.named("kc_min").check(kc_min)?;
    Ok(low + (full - low) * (1.0 - exp(-0.7 * bounds::LEAF_AREA_INDEX.check(leaf_area_index)?)))
}

/// A mid-season coefficient for less cover than the table's crop has: K - (1 - √(cover / dense cover)), FAO-56 Eq. 94-96.
///
/// `kc` 0 to 2.5 (adjusted for climate); `cover` and `dense_cover` either both fractions of ground or both leaf area
/// indices, 0 to 15. Not below 0.
///
/// # Errors
/// A value out of range, or `cover` above `dense_cover`.
///
/// # Source
/// FAO-56 Example 40: A_cm 0.23 with cover 0.5 of 0.85.
///
/// ```
/// let kc = dibble::et::crop::adjusted_for_sparse_cover(1.22, 0.5, 0.85)?;
/// assert_eq!(format!("{kc:.2}"), "0.99");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn adjusted_for_sparse_cover(kc: f64, cover: f64, dense_cover: f64) -> Result<f64> {
    let kc = bounds::KC.check(kc)?;
    let cover = bounds::LEAF_AREA_INDEX.named("cover").check(cover)?;
    let dense = bounds::LEAF_AREA_INDEX.named("dense_cover").check(dense_cover)?;
    if cover > dense || dense == 0.0 {
        return Err(Error::inconsistent(
            format!("cover is {cover} and dense_cover is {dense}: a sparse stand covers less than a dense one"),
            "Give the actual cover first.",
        ));
    }
    Ok((kc - (1.0 - (cover / dense).sqrt())).max(0.0))
}

/// Factor on the coefficient of plants that close their leaves more than field crops.
///
/// F_r = (Δ + γ (1 + 0.34 u_2)) / (Δ + γ (1 + 0.34 u_2 r_l / 100)), FAO-56 Eq. 102, at the mean temperature `t_c`, at an
/// elevation and in wind.
///
/// `t_c` -90 to 60 deg C, `elevation_m` -450 to 6000 m, `wind_2m_m_s` 0 to 60 m/s, `leaf_resistance_s_m` 20 to 2000 s/m (100
/// for field crops).
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 43: 0.67 for olives of 420 s/m (0.70 of 1.04).
///
/// ```
/// let fr = dibble::et::crop::stomatal_factor(25.0, 0.0, 2.0, 420.0)?;
/// assert_eq!(format!("{fr:.2}"), "0.67");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn stomatal_factor(t_c: f64, elevation_m: f64, wind_2m_m_s: f64, leaf_resistance_s_m: f64) -> Result<f64> {
    let delta = air::vapor_pressure_slope(t_c)?;
    let gamma = air::psychrometric_constant(elevation_m)?;
    let u2 = bounds::WIND_M_S.named("wind_2m_m_s").check(wind_2m_m_s)?;
    let r_l = bounds::LEAF_RESISTANCE_S_M.check(leaf_resistance_s_m)?;
    Ok((delta + gamma * (1.0 + 0.34 * u2)) / (delta + gamma * (1.0 + 0.34 * u2 * r_l / 100.0)))
}

/// Coefficient of two covers that grow together, as pairs of (fraction of ground, height in m, coefficient):
/// (f_1 h_1 K_1 + f_2 h_2 K_2) / (f_1 h_1 + f_2 h_2), FAO-56 Eq. 104.
///
/// # Errors
/// A value out of range, fractions that add to more than 1, or two covers without extent.
///
/// # Source
/// FAO-56 Example 46: 1.14.
///
/// ```
/// let kc = dibble::et::crop::two_cover_kc((0.3, 2.0, 1.2), (0.7, 0.3, 0.95))?;
/// assert_eq!(format!("{kc:.2}"), "1.14");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn two_cover_kc(tall: (f64, f64, f64), short: (f64, f64, f64)) -> Result<f64> {
    let checked = |(f, h, k): (f64, f64, f64), [cover, height, kc]: [&'static str; 3]| -> Result<(f64, f64, f64)> {
        Ok((bounds::FRACTION.named(cover).check(f)?, bounds::HEIGHT_M.named(height).check(h)?, bounds::KC.named(kc).check(k)?))
    };
    let (f1, h1, k1) = checked(tall, ["tall_cover", "tall_height_m", "tall_kc"])?;
    let (f2, h2, k2) = checked(short, ["short_cover", "short_height_m", "short_kc"])?;
    let weight = f1 * h1 + f2 * h2;
    if f1 + f2 > 1.0 + 1e-9 || weight <= 0.0 {
        return Err(Error::inconsistent(
            format!("two covers take {f1} and {f2} of the ground and are {h1} and {h2} m high"),
            "The fractions may add to 1 at most, and one cover must have height.",
        ));
    }
    Ok((f1 * h1 * k1 + f2 * h2 * k2) / weight)
}

/// Coefficient of a single row that the wind reaches from the side: min(1.2 + F_r h / width, 2.5), FAO-56 Eq. 105.
///
/// `stomatal_factor` 0 to 1, `height_m` 0 to 120 m, `width_m` of the row 0.1 to 100 m.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 p. 200.
///
/// ```
/// assert_eq!(dibble::et::crop::windbreak_kc(1.0, 10.0, 4.0)?, 2.5);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn windbreak_kc(stomatal_factor: f64, height_m: f64, width_m: f64) -> Result<f64> {
    let fr = bounds::FRACTION.named("stomatal_factor").check(stomatal_factor)?;
    let h = bounds::HEIGHT_M.check(height_m)?;
    Ok((1.2 + fr * h / bounds::SPACING_M.named("width_m").check(width_m)?).min(2.5))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            adjusted_for_sparse_cover(1.0, 0.9, 0.8).unwrap_err().to_string(),
            "cover is 0.9 and dense_cover is 0.8: a sparse stand covers less than a dense one. Give the actual cover first."
        );
        assert!(two_cover_kc((0.8, 1.0, 1.0), (0.8, 1.0, 1.0)).unwrap_err().to_string().contains("take 0.8 and 0.8 of the ground"));
    }

    #[test]
    fn a_low_sun_shades_all_and_bare_ground_nothing() {
        assert_eq!(effective_cover_of_rows(0.1, 1.0, 0.0).unwrap(), 1.0);
        assert_eq!(effective_cover_of_rows(0.0, 1.0, 0.5).unwrap(), 0.0);
        assert_eq!(effective_cover_of_rows(0.1, 0.0, 0.0).unwrap(), 0.1);
        assert_eq!(noon_sun_elevation(-85.0, 172.0).unwrap(), 0.0);
        assert!((noon_sun_elevation(0.0, 81.0).unwrap() - std::f64::consts::FRAC_PI_2).abs() < 0.02);
    }

    proptest! {
        #[test]
        fn a_growing_stand_never_needs_less(f in 0.0..=1.0f64, more in 0.0..0.5f64, h in 0.1..10.0f64, taller in 0.0..5.0f64) {
            let at = |f: f64, h: f64| density_coefficient(&SparseCover { canopy_cover: f, effective_cover: f, height_m: h });
            let wider = (f + more).min(1.0);
            prop_assert!(at(wider, h)? >= at(f, h)? && at(f, h + taller)? >= at(f, h)? - 1e-15);
            prop_assert_eq!(at(1.0, h)?, 1.0);
            prop_assert_eq!(at(0.0, h)?, 0.0);
        }

        #[test]
        fn leaves_that_close_use_less(t in 0.0..40.0f64, u2 in 0.1..6.0f64, r in 100.0..2000.0f64) {
            let fr = stomatal_factor(t, 300.0, u2, r)?;
            prop_assert!(fr > 0.0 && fr <= 1.0);
        }
    }
}
