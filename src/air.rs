//! Moist air and wind: pressure, saturation, the ways to an actual vapor pressure, wind at 2 m.
//!
//! Source of everything here: Allen, Pereira, Raes and Smith (1998), Crop evapotranspiration, FAO Irrigation and
//! Drainage Paper 56 ("FAO-56" below), chapter 3 and Annex 3.

use crate::bounds;
use crate::error::{Error, Result};
use crate::words::words;

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

/// Actual vapor pressure from the dew point, kPa: e°(Tdew), FAO-56 Eq. 14. The best source after a psychrometer.
///
/// `dew_c`: dew point, -90 to 40 deg C.
///
/// # Errors
/// Dew point out of range or not a number.
///
/// # Source
/// FAO-56 p. 37; Table 2.3 prints 1.705 kPa at 15 deg C.
///
/// ```
/// let e_a = dibble::air::vapor_pressure_from_dew_point(15.0)?;
/// assert_eq!(format!("{e_a:.3}"), "1.705");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn vapor_pressure_from_dew_point(dew_c: f64) -> Result<f64> {
    Ok(raw::saturation_vapor_pressure(bounds::DEW_C.check(dew_c)?))
}

words! {
    /// How air passes the wet bulb of a psychrometer.
    pub enum Ventilation: "ventilation" {
        /// Blown by a fan at about 5 m/s.
        Aspirated = "aspirated",
        /// Left to the wind, about 1 m/s.
        Natural = "natural",
        /// Indoors, still air.
        Indoor = "indoor",
    }
}

impl Ventilation {
    /// Coefficient of the instrument, 1 per deg C (FAO-56 p. 38).
    pub fn coefficient(self) -> f64 {
        match self {
            Ventilation::Aspirated => 0.000_662,
            Ventilation::Natural => 0.000_800,
            Ventilation::Indoor => 0.001_200,
        }
    }
}

/// Readings of a psychrometer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Psychrometer {
    /// Dry bulb, deg C.
    pub dry_c: f64,
    /// Wet bulb, deg C.
    pub wet_c: f64,
    /// Air pressure, kPa ([`atmospheric_pressure`] gives it from the elevation).
    pub pressure_kpa: f64,
    /// Kind of instrument.
    pub ventilation: Ventilation,
}

/// Actual vapor pressure from a psychrometer, kPa.
///
/// e_a = e°(T_wet) - a P (T_dry - T_wet), FAO-56 Eq. 15-16.
///
/// # Errors
/// A reading out of range, the wet bulb above the dry one, or a depression that would leave no vapor.
///
/// # Source
/// FAO-56 Example 4: 1.91 kPa from 25.6 and 19.5 deg C at 1200 m.
///
/// ```
/// use dibble::air::{Psychrometer, Ventilation, vapor_pressure_from_psychrometer};
/// let reading = Psychrometer { dry_c: 25.6, wet_c: 19.5, pressure_kpa: 87.9, ventilation: Ventilation::Aspirated };
/// assert_eq!(format!("{:.2}", vapor_pressure_from_psychrometer(&reading)?), "1.91");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn vapor_pressure_from_psychrometer(reading: &Psychrometer) -> Result<f64> {
    let dry = bounds::T_C.named("dry_c").check(reading.dry_c)?;
    let wet = bounds::T_C.named("wet_c").check(reading.wet_c)?;
    let pressure = bounds::PRESSURE_KPA.check(reading.pressure_kpa)?;
    if wet > dry {
        return Err(Error::inconsistent(
            format!("wet_c is {wet} deg C and dry_c is {dry} deg C: the wet bulb cannot be the warmer"),
            "Check whether the two were exchanged.",
        ));
    }
    let vapor = raw::saturation_vapor_pressure(wet) - reading.ventilation.coefficient() * pressure * (dry - wet);
    if vapor < 0.0 {
        return Err(Error::inconsistent(
            format!("wet_c is {wet} deg C and dry_c is {dry} deg C: no air is that dry"),
            "Check the wick of the wet bulb and the kind of ventilation.",
        ));
    }
    Ok(vapor)
}

/// The day's extremes of temperature and relative humidity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HumidityRange {
    /// Lowest temperature, deg C.
    pub tmin_c: f64,
    /// Highest temperature, deg C.
    pub tmax_c: f64,
    /// Lowest relative humidity, %.
    pub rh_min_pct: f64,
    /// Highest relative humidity, %.
    pub rh_max_pct: f64,
}

/// Actual vapor pressure from the day's highest and lowest relative humidity, kPa.
///
/// e_a = (e°(Tmin) RHmax + e°(Tmax) RHmin) / 200, FAO-56 Eq. 17.
///
/// # Errors
/// A value out of range, or a lowest value above its highest.
///
/// # Source
/// FAO-56 Example 5: 1.70 kPa.
///
/// ```
/// use dibble::air::{HumidityRange, vapor_pressure_from_rh_range};
/// let day = HumidityRange { tmin_c: 18.0, tmax_c: 25.0, rh_min_pct: 54.0, rh_max_pct: 82.0 };
/// assert_eq!(format!("{:.2}", vapor_pressure_from_rh_range(&day)?), "1.70");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn vapor_pressure_from_rh_range(day: &HumidityRange) -> Result<f64> {
    let (tmin, tmax) = check_temperatures(day.tmin_c, day.tmax_c)?;
    let low = bounds::RH_PCT.named("rh_min_pct").check(day.rh_min_pct)?;
    let high = bounds::RH_PCT.named("rh_max_pct").check(day.rh_max_pct)?;
    if low > high {
        return Err(Error::inconsistent(
            format!("rh_min_pct is {low} % and rh_max_pct is {high} %: the lowest is above the highest"),
            "Check whether the two were exchanged.",
        ));
    }
    Ok((raw::saturation_vapor_pressure(tmin) * high + raw::saturation_vapor_pressure(tmax) * low) / 200.0)
}

/// Actual vapor pressure from the day's highest relative humidity alone, kPa: e°(Tmin) RHmax / 100, FAO-56 Eq. 18.
///
/// For stations whose RHmin is doubtful. `tmin_c` -90 to 60 deg C, `rh_max_pct` 0 to 100 %.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 p. 39; with Example 5's 18 deg C (2.064 kPa) and 82 %: 1.69 kPa.
///
/// ```
/// let e_a = dibble::air::vapor_pressure_from_rh_max(18.0, 82.0)?;
/// assert_eq!(format!("{e_a:.2}"), "1.69");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn vapor_pressure_from_rh_max(tmin_c: f64, rh_max_pct: f64) -> Result<f64> {
    let t = bounds::T_C.named("tmin_c").check(tmin_c)?;
    Ok(raw::saturation_vapor_pressure(t) * bounds::RH_PCT.named("rh_max_pct").check(rh_max_pct)? / 100.0)
}

/// Actual vapor pressure from the day's mean relative humidity, kPa: RHmean / 100 times the mean saturation vapor
/// pressure, FAO-56 Eq. 19. The source liked least.
///
/// `tmin_c`, `tmax_c` -90 to 60 deg C, `rh_mean_pct` 0 to 100 %.
///
/// # Errors
/// A value out of range, or the lowest temperature above the highest.
///
/// # Source
/// FAO-56 Example 6: 1.78 kPa from 18 and 25 deg C and 68 %.
///
/// ```
/// let e_a = dibble::air::vapor_pressure_from_rh_mean(18.0, 25.0, 68.0)?;
/// assert_eq!(format!("{e_a:.2}"), "1.78");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn vapor_pressure_from_rh_mean(tmin_c: f64, tmax_c: f64, rh_mean_pct: f64) -> Result<f64> {
    Ok(bounds::RH_PCT.named("rh_mean_pct").check(rh_mean_pct)? / 100.0 * mean_saturation_vapor_pressure(tmin_c, tmax_c)?)
}

/// Actual vapor pressure of an hour or an instant, kPa: e°(T) RH / 100, FAO-56 Eq. 54.
///
/// `t_c` -90 to 60 deg C, `rh_pct` 0 to 100 %.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 19: 3.445 kPa from 38 deg C and 52 %.
///
/// ```
/// let e_a = dibble::air::vapor_pressure_from_rh(38.0, 52.0)?;
/// assert_eq!(format!("{e_a:.3}"), "3.445");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn vapor_pressure_from_rh(t_c: f64, rh_pct: f64) -> Result<f64> {
    Ok(saturation_vapor_pressure(t_c)? * bounds::RH_PCT.check(rh_pct)? / 100.0)
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
        assert_eq!(
            vapor_pressure_from_rh(20.0, 140.0).unwrap_err().to_string(),
            "rh_pct is 140 %: relative humidity must be from 0 to 100 %. Give percent; a sensor above 100 needs checking."
        );
        let wet = Psychrometer { dry_c: 15.0, wet_c: 16.0, pressure_kpa: 100.0, ventilation: Ventilation::Natural };
        assert_eq!(
            vapor_pressure_from_psychrometer(&wet).unwrap_err().to_string(),
            "wet_c is 16 deg C and dry_c is 15 deg C: the wet bulb cannot be the warmer. Check whether the two were exchanged."
        );
        let dry = Psychrometer { dry_c: 50.0, wet_c: 5.0, ..wet };
        assert!(vapor_pressure_from_psychrometer(&dry).unwrap_err().to_string().contains("no air is that dry"));
        let humid = HumidityRange { tmin_c: 10.0, tmax_c: 20.0, rh_min_pct: 90.0, rh_max_pct: 40.0 };
        assert!(vapor_pressure_from_rh_range(&humid).unwrap_err().to_string().starts_with("rh_min_pct is 90 % and rh_max_pct is 40 %"));
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
