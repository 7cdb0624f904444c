//! Moist air and wind: pressure, saturation, the ways to an actual vapor pressure, wind at 2 m.
//!
//! Source of everything here: Allen, Pereira, Raes and Smith (1998), Crop evapotranspiration, FAO Irrigation and
//! Drainage Paper 56 ("FAO-56" below), chapter 3 and Annex 3.

mod humidity;

pub use humidity::{
    HumidityRange, Psychrometer, Ventilation, vapor_pressure_from_dew_point, vapor_pressure_from_psychrometer, vapor_pressure_from_rh,
    vapor_pressure_from_rh_max, vapor_pressure_from_rh_mean, vapor_pressure_from_rh_range,
};

use crate::bounds;
use crate::error::{Error, Result};

/// The formulas alone, for callers that have checked their numbers.
pub(crate) mod raw {
    use crate::num::{exp, ln, pow};

    /// Eq. 11, kPa.
    #[inline(always)]
    pub fn saturation_vapor_pressure(t_c: f64) -> f64 {
        0.6108 * exp(17.27 * t_c / (t_c + 237.3))
    }

    /// Eq. 13 from the saturation vapor pressure at the same temperature, kPa per deg C.
    #[inline(always)]
    pub fn slope(t_c: f64, saturation_kpa: f64) -> f64 {
        4098.0 * saturation_kpa / ((t_c + 237.3) * (t_c + 237.3))
    }

    /// Eq. 7, kPa.
    #[inline(always)]
    pub fn pressure(elevation_m: f64) -> f64 {
        101.3 * pow((293.0 - 0.0065 * elevation_m) / 293.0, 5.26)
    }

    /// Eq. 8, kPa per deg C.
    #[inline(always)]
    pub fn psychrometric_constant(pressure_kpa: f64) -> f64 {
        0.665e-3 * pressure_kpa
    }

    /// Eq. 11 turned round, deg C.
    #[inline(always)]
    pub fn dew_point(vapor_pressure_kpa: f64) -> f64 {
        let x = ln(vapor_pressure_kpa / 0.6108);
        237.3 * x / (17.27 - x)
    }

    /// Factor of Eq. 47.
    #[inline(always)]
    pub fn wind_factor(height_m: f64) -> f64 {
        4.87 / ln(67.8 * height_m - 5.42)
    }
}

/// Saturation vapor pressure at an air temperature, kPa.
///
/// e° = 0.6108 exp(17.27 T / (T + 237.3)), FAO-56 Eq. 11. For a day take the mean of the values at the highest
/// and at the lowest temperature ([`mean_saturation_vapor_pressure`]), never the value at the mean.
///
/// `t_c`: air temperature, -90 to 60 deg C.
///
/// # Errors
/// Temperature out of range or not a number.
///
/// # Source
/// FAO-56 p. 36; Table 2.3 prints 2.338 kPa at 20 deg C.
///
/// ```
/// let e = dibble::air::saturation_vapor_pressure(20.0)?;
/// assert_eq!(format!("{e:.3}"), "2.338");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn saturation_vapor_pressure(t_c: f64) -> Result<f64> {
    Ok(raw::saturation_vapor_pressure(bounds::T_C.check(t_c)?))
}

/// Mean saturation vapor pressure of a day, kPa: (e°(Tmax) + e°(Tmin)) / 2, FAO-56 Eq. 12.
///
/// `tmin_c`, `tmax_c`: the day's lowest and highest temperature, -90 to 60 deg C.
///
/// # Errors
/// A temperature out of range, or the lowest above the highest.
///
/// # Source
/// FAO-56 Example 3: 2.39 kPa from 15.0 and 24.5 deg C.
///
/// ```
/// let e = dibble::air::mean_saturation_vapor_pressure(15.0, 24.5)?;
/// assert_eq!(format!("{e:.2}"), "2.39");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn mean_saturation_vapor_pressure(tmin_c: f64, tmax_c: f64) -> Result<f64> {
    let (tmin_c, tmax_c) = check_temperatures(tmin_c, tmax_c)?;
    Ok((raw::saturation_vapor_pressure(tmax_c) + raw::saturation_vapor_pressure(tmin_c)) / 2.0)
}

/// The day's two temperatures, in range and in order.
pub(crate) fn check_temperatures(tmin_c: f64, tmax_c: f64) -> Result<(f64, f64)> {
    let low = bounds::T_C.named("tmin_c").check(tmin_c)?;
    let high = bounds::T_C.named("tmax_c").check(tmax_c)?;
    if low > high {
        return Err(Error::inconsistent(
            format!("tmin_c is {low} deg C and tmax_c is {high} deg C: the lowest is above the highest"),
            "Check whether the two were exchanged.",
        ));
    }
    Ok((low, high))
}

/// Slope of the saturation vapor pressure curve, kPa per deg C.
///
/// Δ = 4098 e°(T) / (T + 237.3)², FAO-56 Eq. 13.
///
/// `t_c`: air temperature, -90 to 60 deg C.
///
/// # Errors
/// Temperature out of range or not a number.
///
/// # Source
/// FAO-56 p. 37; Table 2.4 prints 0.145 kPa per deg C at 20 deg C.
///
/// ```
/// let delta = dibble::air::vapor_pressure_slope(20.0)?;
/// assert_eq!(format!("{delta:.3}"), "0.145");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn vapor_pressure_slope(t_c: f64) -> Result<f64> {
    let t = bounds::T_C.check(t_c)?;
    Ok(raw::slope(t, raw::saturation_vapor_pressure(t)))
}

/// Mean atmospheric pressure at an elevation, kPa.
///
/// P = 101.3 ((293 - 0.0065 z) / 293)^5.26, FAO-56 Eq. 7.
///
/// `elevation_m`: above sea level, -450 to 6000 m.
///
/// # Errors
/// Elevation out of range or not a number.
///
/// # Source
/// FAO-56 p. 31; Example 2: 81.8 kPa at 1800 m.
///
/// ```
/// let p = dibble::air::atmospheric_pressure(1800.0)?;
/// assert_eq!(format!("{p:.1}"), "81.8");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn atmospheric_pressure(elevation_m: f64) -> Result<f64> {
    Ok(raw::pressure(bounds::ELEVATION_M.check(elevation_m)?))
}

/// Psychrometric constant at an elevation, kPa per deg C: γ = 0.665e-3 P, FAO-56 Eq. 8.
///
/// `elevation_m`: above sea level, -450 to 6000 m.
///
/// # Errors
/// Elevation out of range or not a number.
///
/// # Source
/// FAO-56 p. 32; Example 2: 0.054 kPa per deg C at 1800 m.
///
/// ```
/// let gamma = dibble::air::psychrometric_constant(1800.0)?;
/// assert_eq!(format!("{gamma:.3}"), "0.054");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn psychrometric_constant(elevation_m: f64) -> Result<f64> {
    Ok(raw::psychrometric_constant(atmospheric_pressure(elevation_m)?))
}

/// Dew point of air with a given vapor pressure, deg C.
///
/// Eq. 11 solved for the temperature. (FAO-56 Eq. 3-11 does the same with rounded constants.)
///
/// `vapor_pressure_kpa`: 0.00002 to 7.3 kPa (-88.5 to 39.7 deg C).
///
/// # Errors
/// Vapor pressure out of range or not a number.
///
/// # Source
/// FAO-56 Table 2.3 (read backwards): 1.228 kPa saturates at 10 deg C.
///
/// ```
/// let dew = dibble::air::dew_point(1.228)?;
/// assert_eq!(format!("{dew:.2}"), "10.00");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn dew_point(vapor_pressure_kpa: f64) -> Result<f64> {
    Ok(raw::dew_point(bounds::DEW_VAPOR_PRESSURE_KPA.check(vapor_pressure_kpa)?))
}

/// Wind speed at 2 m above short grass from that at another height, m/s.
///
/// u2 = 4.87 uz / ln(67.8 z - 5.42), FAO-56 Eq. 47.
///
/// `wind_m_s` 0 to 60 m/s, `height_m` of the sensor 0.5 to 100 m.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 14: 2.4 m/s from 3.2 m/s at 10 m.
///
/// ```
/// let u2 = dibble::air::wind_at_2m(3.2, 10.0)?;
/// assert_eq!(format!("{u2:.1}"), "2.4");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn wind_at_2m(wind_m_s: f64, height_m: f64) -> Result<f64> {
    Ok(bounds::WIND_M_S.check(wind_m_s)? * raw::wind_factor(bounds::WIND_HEIGHT_M.named("height_m").check(height_m)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            mean_saturation_vapor_pressure(20.0, 10.0).unwrap_err().to_string(),
            "tmin_c is 20 deg C and tmax_c is 10 deg C: the lowest is above the highest. Check whether the two were exchanged."
        );
    }

    proptest! {
        #[test]
        fn dew_point_undoes_saturation(t in -88.0..39.5f64) {
            let back = dew_point(saturation_vapor_pressure(t)?)?;
            prop_assert!((back - t).abs() < 1e-10, "{back} from {t}");
        }

        #[test]
        fn slope_is_the_derivative(t in -60.0..55.0f64) {
            let h = 1e-3;
            let quotient = (saturation_vapor_pressure(t + h)? - saturation_vapor_pressure(t - h)?) / (2.0 * h);
            // Eq. 13 rounds 17.27 * 237.3 = 4098.17 to 4098.
            prop_assert!((quotient / vapor_pressure_slope(t)? - 1.0).abs() < 5e-5);
        }

        #[test]
        fn wind_at_2_m_is_below_wind_higher_up(u in 0.1..60.0f64, z in 2.1..100.0f64) {
            prop_assert!(wind_at_2m(u, z)? < u);
        }
    }
}
