//! Radiation under a clear sky, net radiation, heat into the soil (FAO-56 Eq. 36-46).

use crate::air::check_temperatures;
use crate::bounds;
use crate::error::Result;

/// Rs/Rso taken where there is no sun to measure it by: the middle of what FAO-56 p. 75 gives for humid nights.
pub const SUNLESS_RATIO: f64 = 0.5;
/// Rso/Ra near sea level, FAO-56 Eq. 36 with the usual Angstrom values 0.25 and 0.50.
pub const CLEAR_SKY_COEFFICIENT: f64 = 0.75;

pub(crate) mod raw {
    /// Stefan-Boltzmann constant, MJ K⁻⁴ m⁻² d⁻¹.
    const SIGMA: f64 = 4.903e-9;
    /// The same for an hour, as the paper prints it.
    const SIGMA_HOUR: f64 = 2.043e-10;

    #[inline(always)]
    fn fourth_power_of_kelvin(t_c: f64) -> f64 {
        let t = t_c + 273.16;
        (t * t) * (t * t)
    }

    /// MJ m⁻² d⁻¹.
    #[inline(always)]
    pub fn black_body(t_c: f64) -> f64 {
        SIGMA * fourth_power_of_kelvin(t_c)
    }

    /// MJ m⁻² h⁻¹.
    #[inline(always)]
    pub fn black_body_hourly(t_c: f64) -> f64 {
        SIGMA_HOUR * fourth_power_of_kelvin(t_c)
    }

    /// Eq. 37.
    #[inline(always)]
    pub fn clear_sky_fraction(elevation_m: f64) -> f64 {
        super::CLEAR_SKY_COEFFICIENT + 2e-5 * elevation_m
    }

    /// Rs/Rso, at most 1; comparisons are written so that NaN stays NaN.
    #[inline(always)]
    pub fn cloud_ratio(solar: f64, clear_sky: f64) -> f64 {
        let ratio = if clear_sky <= 0.0 { super::SUNLESS_RATIO } else { solar / clear_sky };
        if ratio > 1.0 { 1.0 } else { ratio }
    }

    /// Eq. 39 with the black-body term given.
    #[inline(always)]
    pub fn net_longwave(black_body: f64, vapor_pressure_kpa: f64, cloud_ratio: f64) -> f64 {
        black_body * (0.34 - 0.14 * vapor_pressure_kpa.sqrt()) * (1.35 * cloud_ratio - 0.35)
    }

    /// Eq. 38.
    #[inline(always)]
    pub fn net_shortwave(solar: f64) -> f64 {
        (1.0 - 0.23) * solar
    }
}

/// Radiation of a day without clouds, MJ m⁻² d⁻¹ (or per hour): (0.75 + 2e-5 z) R_a, FAO-56 Eq. 37.
///
/// `extraterrestrial_mj_m2` 0 to 50, `elevation_m` -450 to 6000 m.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 18: 30.90 MJ m⁻² d⁻¹ from 41.09 at 100 m.
///
/// ```
/// let rso = dibble::sun::clear_sky_radiation(41.09, 100.0)?;
/// assert_eq!(format!("{rso:.2}"), "30.90");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn clear_sky_radiation(extraterrestrial_mj_m2: f64, elevation_m: f64) -> Result<f64> {
    let ra = bounds::SOLAR_MJ_M2.named("extraterrestrial_mj_m2").check(extraterrestrial_mj_m2)?;
    Ok(raw::clear_sky_fraction(bounds::ELEVATION_M.check(elevation_m)?) * ra)
}

/// Radiation of a day without clouds near sea level, MJ m⁻² d⁻¹: 0.75 R_a, FAO-56 Eq. 36.
///
/// `extraterrestrial_mj_m2` 0 to 50.
///
/// # Errors
/// Value out of range or not a number.
///
/// # Source
/// FAO-56 Example 11: 18.8 MJ m⁻² d⁻¹ from 25.1.
///
/// ```
/// assert_eq!(format!("{:.1}", dibble::sun::clear_sky_radiation_near_sea_level(25.1)?), "18.8");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn clear_sky_radiation_near_sea_level(extraterrestrial_mj_m2: f64) -> Result<f64> {
    Ok(CLEAR_SKY_COEFFICIENT * bounds::SOLAR_MJ_M2.named("extraterrestrial_mj_m2").check(extraterrestrial_mj_m2)?)
}

/// Radiation of a black body at an air temperature, MJ m⁻² d⁻¹: σ (T + 273.16)⁴ with σ = 4.903e-9.
///
/// `t_c`: -90 to 60 deg C.
///
/// # Errors
/// Temperature out of range or not a number.
///
/// # Source
/// FAO-56 Table 2.8 prints 36.21 MJ m⁻² d⁻¹ at 20 deg C.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::sun::black_body_radiation(20.0)?), "36.21");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn black_body_radiation(t_c: f64) -> Result<f64> {
    Ok(raw::black_body(bounds::T_C.check(t_c)?))
}

/// Solar radiation kept by the reference crop, MJ m⁻²: 0.77 R_s (albedo 0.23), FAO-56 Eq. 38.
///
/// `solar_mj_m2`: 0 to 50.
///
/// # Errors
/// Value out of range or not a number.
///
/// # Source
/// FAO-56 Example 12: 11.1 from 14.5 MJ m⁻² d⁻¹ (unrounded 14.456).
///
/// ```
/// assert_eq!(format!("{:.1}", dibble::sun::net_shortwave(14.456)?), "11.1");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn net_shortwave(solar_mj_m2: f64) -> Result<f64> {
    Ok(raw::net_shortwave(bounds::SOLAR_MJ_M2.check(solar_mj_m2)?))
}

/// What a day's net longwave radiation depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LongwaveDay {
    /// Lowest temperature, deg C.
    pub tmin_c: f64,
    /// Highest temperature, deg C.
    pub tmax_c: f64,
    /// Actual vapor pressure, kPa.
    pub vapor_pressure_kpa: f64,
    /// Solar radiation, MJ m⁻² d⁻¹.
    pub solar_mj_m2: f64,
    /// Clear-sky radiation, MJ m⁻² d⁻¹.
    pub clear_sky_mj_m2: f64,
}

/// Net outgoing longwave radiation of a day, MJ m⁻² d⁻¹.
///
/// R_nl = σ ((TmaxK⁴ + TminK⁴) / 2) (0.34 - 0.14 √e_a) (1.35 R_s/R_so - 0.35), FAO-56 Eq. 39, with R_s/R_so at most 1,
/// and [`SUNLESS_RATIO`] in polar night.
///
/// # Errors
/// A value out of range, or the lowest temperature above the highest.
///
/// # Source
/// FAO-56 Example 11: 3.5 MJ m⁻² d⁻¹.
///
/// ```
/// use dibble::sun::{LongwaveDay, net_longwave_daily};
/// let day = LongwaveDay { tmin_c: 19.1, tmax_c: 25.1, vapor_pressure_kpa: 2.1, solar_mj_m2: 14.5, clear_sky_mj_m2: 18.8 };
/// assert_eq!(format!("{:.1}", net_longwave_daily(&day)?), "3.5");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn net_longwave_daily(day: &LongwaveDay) -> Result<f64> {
    let (tmin, tmax) = check_temperatures(day.tmin_c, day.tmax_c)?;
    let ea = bounds::VAPOR_PRESSURE_KPA.check(day.vapor_pressure_kpa)?;
    let rs = bounds::SOLAR_MJ_M2.check(day.solar_mj_m2)?;
    let rso = bounds::SOLAR_MJ_M2.named("clear_sky_mj_m2").check(day.clear_sky_mj_m2)?;
    let black_body = (raw::black_body(tmax) + raw::black_body(tmin)) / 2.0;
    Ok(raw::net_longwave(black_body, ea, raw::cloud_ratio(rs, rso)))
}

/// Net outgoing longwave radiation of an hour, MJ m⁻² h⁻¹: Eq. 39 with the hour's temperature and σ = 2.043e-10.
///
/// `t_c` -90 to 60 deg C, `vapor_pressure_kpa` 0 to 8, `cloud_ratio` R_s/R_so 0 to 1 (at night the last good one of
/// the afternoon, or 0.4-0.6 in humid and 0.7-0.8 in dry climates, FAO-56 p. 75).
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 19: 0.137 MJ m⁻² h⁻¹ at 14-15 h.
///
/// ```
/// let rnl = dibble::sun::net_longwave_hourly(38.0, 3.445, 0.922)?;
/// assert_eq!(format!("{rnl:.3}"), "0.137");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn net_longwave_hourly(t_c: f64, vapor_pressure_kpa: f64, cloud_ratio: f64) -> Result<f64> {
    let black_body = raw::black_body_hourly(bounds::T_C.check(t_c)?);
    let ea = bounds::VAPOR_PRESSURE_KPA.check(vapor_pressure_kpa)?;
    Ok(raw::net_longwave(black_body, ea, bounds::FRACTION.named("cloud_ratio").check(cloud_ratio)?))
}

/// Heat into the soil in a month, MJ m⁻² d⁻¹, from its neighbors: 0.07 (T_next - T_before), FAO-56 Eq. 43.
///
/// Mean monthly temperatures, -90 to 60 deg C. For single days take 0 (Eq. 42).
///
/// # Errors
/// A temperature out of range or not a number.
///
/// # Source
/// FAO-56 Example 13: 0.33 MJ m⁻² d⁻¹ in April between 14.1 and 18.8 deg C (from memory).
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::sun::soil_heat_from_neighbor_months(14.1, 18.8)?), "0.33");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn soil_heat_from_neighbor_months(t_before_c: f64, t_next_c: f64) -> Result<f64> {
    Ok(0.07 * (bounds::T_C.named("t_next_c").check(t_next_c)? - bounds::T_C.named("t_before_c").check(t_before_c)?))
}

/// Heat into the soil in a month, MJ m⁻² d⁻¹, from the month before: 0.14 (T - T_before), FAO-56 Eq. 44.
///
/// Mean monthly temperatures, -90 to 60 deg C.
///
/// # Errors
/// A temperature out of range or not a number.
///
/// # Source
/// FAO-56 Example 17: 0.14 MJ m⁻² d⁻¹ from 29.2 to 30.2 deg C.
///
/// ```
/// assert_eq!(format!("{:.2}", dibble::sun::soil_heat_from_month_before(29.2, 30.2)?), "0.14");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn soil_heat_from_month_before(t_before_c: f64, t_c: f64) -> Result<f64> {
    Ok(0.14 * (bounds::T_C.check(t_c)? - bounds::T_C.named("t_before_c").check(t_before_c)?))
}

/// Heat into the soil under the short reference crop in an hour, MJ m⁻² h⁻¹: 0.1 R_n by day, 0.5 R_n by night,
/// FAO-56 Eq. 45-46. Day is when net radiation comes in.
///
/// `net_radiation_mj_m2`: -5 to 10 MJ m⁻² h⁻¹.
///
/// # Errors
/// Value out of range or not a number.
///
/// # Source
/// FAO-56 Example 19: 0.175 by day (R_n 1.749) and -0.05 by night (R_n -0.10).
///
/// ```
/// assert_eq!(format!("{:.3}", dibble::sun::soil_heat_hourly(1.749)?), "0.175");
/// assert_eq!(format!("{:.2}", dibble::sun::soil_heat_hourly(-0.10)?), "-0.05");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn soil_heat_hourly(net_radiation_mj_m2: f64) -> Result<f64> {
    let rn = bounds::NET_RADIATION_MJ_M2_H.check(net_radiation_mj_m2)?;
    Ok(if rn > 0.0 { 0.1 * rn } else { 0.5 * rn })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn polar_night_has_a_finite_loss() {
        let night = LongwaveDay { tmin_c: -40.0, tmax_c: -30.0, vapor_pressure_kpa: 0.02, solar_mj_m2: 0.0, clear_sky_mj_m2: 0.0 };
        assert!((1.0..3.0).contains(&net_longwave_daily(&night).unwrap()));
    }
}
