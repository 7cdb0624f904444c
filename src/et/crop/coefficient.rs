//! Crop coefficients over the season: climate, stages, mulch (FAO-56 chapters 6, 7 and 10).

use crate::air;
use crate::bounds;
use crate::error::Result;
use crate::num::pow;

/// The bracket of Eq. 62, 65, 70 and 72 with its height factor; arguments are held within the ranges the paper gives.
#[inline(always)]
pub(crate) fn climate_term(wind_2m_m_s: f64, rh_min_pct: f64, height_m: f64) -> f64 {
    let u2 = wind_2m_m_s.clamp(1.0, 6.0);
    let rh = rh_min_pct.clamp(20.0, 80.0);
    let h = height_m.clamp(0.1, 10.0);
    (0.04 * (u2 - 2.0) - 0.004 * (rh - 45.0)) * pow(h / 3.0, 0.3)
}

/// Wind, lowest humidity and height in range.
pub(super) fn check_climate(wind_2m_m_s: f64, rh_min_pct: f64, height_m: f64) -> Result<(f64, f64, f64)> {
    Ok((
        bounds::WIND_M_S.named("wind_2m_m_s").check(wind_2m_m_s)?,
        bounds::RH_PCT.named("rh_min_pct").check(rh_min_pct)?,
        bounds::HEIGHT_M.check(height_m)?,
    ))
}

/// A tabulated coefficient (Kc or Kcb, mid season or end) in another climate than the table's.
///
/// K + (0.04 (u_2 - 2) - 0.004 (RHmin - 45)) (h / 3)^0.3, FAO-56 Eq. 62, 65 and 70, with u_2 held in 1-6 m/s, RHmin in
/// 20-80 %, h in 0.1-10 m. Values below 0.45 are returned unchanged (p. 127, 136).
///
/// `kc` 0 to 2.5, `wind_2m_m_s` 0 to 60 m/s, `rh_min_pct` 0 to 100 %, `height_m` 0 to 120 m.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 27: 1.07 for maize of 2 m in Taipei.
///
/// ```
/// let kc = dibble::et::crop::climate_adjusted(1.2, 1.3, 75.0, 2.0)?;
/// assert_eq!(format!("{kc:.2}"), "1.07");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn climate_adjusted(kc: f64, wind_2m_m_s: f64, rh_min_pct: f64, height_m: f64) -> Result<f64> {
    let kc = bounds::KC.check(kc)?;
    let (u2, rh, h) = check_climate(wind_2m_m_s, rh_min_pct, height_m)?;
    Ok(if kc < 0.45 { kc } else { (kc + climate_term(u2, rh, h)).max(0.0) })
}

/// Lowest relative humidity of a day from its dew point, %: 100 e°(Tdew) / e°(Tmax), FAO-56 Eq. 63, at most 100.
///
/// `dew_c` -90 to 40 deg C, `tmax_c` -90 to 60 deg C.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 p. 124.
///
/// ```
/// assert_eq!(format!("{:.0}", dibble::et::crop::rh_min_from_dew(10.0, 25.0)?), "39");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn rh_min_from_dew(dew_c: f64, tmax_c: f64) -> Result<f64> {
    let e_a = air::vapor_pressure_from_dew_point(dew_c)?;
    Ok((100.0 * e_a / air::raw::saturation_vapor_pressure(bounds::T_C.named("tmax_c").check(tmax_c)?)).min(100.0))
}

/// Lowest relative humidity of a day from its temperatures, %: 100 e°(Tmin) / e°(Tmax), FAO-56 Eq. 64. In dry places
/// give Tmin less 2 deg C.
///
/// `tmin_c`, `tmax_c` -90 to 60 deg C.
///
/// # Errors
/// A value out of range, or the lowest temperature above the highest.
///
/// # Source
/// FAO-56 p. 124.
///
/// ```
/// assert_eq!(format!("{:.0}", dibble::et::crop::rh_min_from_tmin(10.0, 25.0)?), "39");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn rh_min_from_tmin(tmin_c: f64, tmax_c: f64) -> Result<f64> {
    let (tmin, tmax) = air::check_temperatures(tmin_c, tmax_c)?;
    Ok(100.0 * air::raw::saturation_vapor_pressure(tmin) / air::raw::saturation_vapor_pressure(tmax))
}

/// A coefficient within a stage that leads from one value to the next.
///
/// K = K_prev + elapsed share (K_next - K_prev), FAO-56 Eq. 66; `elapsed` is (day - days of the stages before) / length.
///
/// `kc_before`, `kc_next` 0 to 2.5, `elapsed` 0 to 1.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 28: 0.56 on day 95, 15 days into a late stage of 20 days from 1.19 to 0.35.
///
/// ```
/// let kc = dibble::et::crop::stage_interpolated(1.19, 0.35, (95.0 - 80.0) / 20.0)?;
/// assert_eq!(format!("{kc:.2}"), "0.56");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn stage_interpolated(kc_before: f64, kc_next: f64, elapsed: f64) -> Result<f64> {
    let before = bounds::KC.named("kc_before").check(kc_before)?;
    let next = bounds::KC.named("kc_next").check(kc_next)?;
    Ok(before + bounds::FRACTION.named("elapsed").check(elapsed)? * (next - before))
}

/// What an organic mulch leaves of the evaporation from soil, as a factor: 5 % less for each 10 % of ground covered.
///
/// `cover`: fraction of the ground under mulch, 0 to 1.
///
/// # Errors
/// Value out of range or not a number.
///
/// # Source
/// FAO-56 p. 197.
///
/// ```
/// assert_eq!(dibble::et::crop::mulch_factor(0.5)?, 0.75);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn mulch_factor(cover: f64) -> Result<f64> {
    Ok(1.0 - 0.5 * bounds::FRACTION.named("cover").check(cover)?)
}

/// A coefficient under plastic mulch: K (1 - reduction).
///
/// The paper takes 10-30 % off Kc and 5-15 % off Kcb. `kc` 0 to 2.5, `reduction` 0 to 1.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 45: Kc 0.85 from 1.00 less 15 %.
///
/// ```
/// assert_eq!(dibble::et::crop::kc_under_plastic(1.0, 0.15)?, 0.85);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn kc_under_plastic(kc: f64, reduction: f64) -> Result<f64> {
    Ok(bounds::KC.check(kc)? * (1.0 - bounds::FRACTION.named("reduction").check(reduction)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn climate_is_held_within_the_ranges_of_the_paper() {
        assert_eq!(climate_adjusted(1.0, 0.0, 0.0, 0.0).unwrap(), climate_adjusted(1.0, 1.0, 20.0, 0.1).unwrap());
        assert_eq!(climate_adjusted(1.0, 50.0, 100.0, 60.0).unwrap(), climate_adjusted(1.0, 6.0, 80.0, 10.0).unwrap());
        assert_eq!(climate_adjusted(1.0, 2.0, 45.0, 3.0).unwrap(), 1.0);
        assert_eq!(climate_adjusted(0.3, 6.0, 20.0, 3.0).unwrap(), 0.3);
    }

    #[test]
    fn refusals_name_the_argument() {
        assert_eq!(
            stage_interpolated(0.5, 1.0, 1.2).unwrap_err().to_string(),
            "elapsed is 1.2: fraction must be from 0 to 1. Give a fraction from 0 to 1, 0.35 for 35 %."
        );
        assert!(
            climate_adjusted(3.0, 2.0, 45.0, 1.0).unwrap_err().to_string().starts_with("kc is 3: crop coefficient must be from 0 to 2.5")
        );
        assert!(rh_min_from_tmin(20.0, 10.0).is_err());
    }
}
