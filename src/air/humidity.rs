//! The ways to an actual vapor pressure, best first: dew point, psychrometer, the day's range of relative humidity,
//! its highest alone, its mean (FAO-56 pp. 36-39).

use super::{check_temperatures, mean_saturation_vapor_pressure, raw, saturation_vapor_pressure};
use crate::bounds;
use crate::error::{Error, Result};
use crate::words::words;

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
    /// Air pressure, kPa ([`super::atmospheric_pressure`] gives it from the elevation).
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refusals_say_what_is_wrong() {
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
}
