//! The sun within a day: solar time and the radiation of an hour or less (FAO-56 Eq. 28-33).

use crate::bounds;
use crate::error::{Error, Result};
use std::f64::consts::PI;

mod raw {
    use crate::num::{cos, sin};
    use crate::sun::raw::{DayTerms, LatitudeTerms, SOLAR_CONSTANT, sunset_angle};
    use std::f64::consts::PI;

    /// Eq. 32-33, h.
    #[inline(always)]
    pub fn seasonal_correction(day_of_year: f64) -> f64 {
        let b = 2.0 * PI * (day_of_year - 81.0) / 364.0;
        0.1645 * sin(2.0 * b) - 0.1255 * cos(b) - 0.025 * sin(b)
    }

    /// Eq. 31, radians from solar noon, not yet turned into -pi..pi. Degrees east.
    #[inline(always)]
    pub fn solar_time_angle(midpoint_h: f64, degrees_from_meridian: f64, day_of_year: f64) -> f64 {
        PI / 12.0 * (midpoint_h + 0.066_67 * degrees_from_meridian + seasonal_correction(day_of_year) - 12.0)
    }

    /// Eq. 28 between two solar time angles, MJ m⁻²; only what falls while the sun is up.
    #[inline(always)]
    pub fn extraterrestrial_between(latitude: &LatitudeTerms, day: &DayTerms, from: f64, to: f64) -> f64 {
        let omega_s = sunset_angle(latitude, day);
        let mut sum = 0.0;
        // The day before and the day after catch a period that spans solar midnight where the sun hardly sets.
        for turn in [-2.0 * PI, 0.0, 2.0 * PI] {
            let start = from.max(turn - omega_s);
            let end = to.min(turn + omega_s);
            if start < end {
                sum += (end - start) * latitude.sin * day.sin + latitude.cos * day.cos * (sin(end) - sin(start));
            }
        }
        (12.0 * 60.0 / PI * SOLAR_CONSTANT * day.distance * sum).max(0.0)
    }
}

/// A place and a short period of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourSun {
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude, degrees, **east positive** (the paper counts west).
    pub longitude_deg: f64,
    /// Local standard time minus UTC, h; without daylight saving.
    pub utc_offset_h: f64,
    /// Day of the year, 1 to 366.
    pub day_of_year: f64,
    /// Middle of the period in local standard time, h: 14.5 for 14:00 to 15:00.
    pub midpoint_h: f64,
    /// Length of the period, h: 1 for hourly records.
    pub length_h: f64,
}

impl HourSun {
    fn checked(&self) -> Result<Self> {
        bounds::LATITUDE_DEG.check(self.latitude_deg)?;
        bounds::LONGITUDE_DEG.check(self.longitude_deg)?;
        bounds::UTC_OFFSET_H.check(self.utc_offset_h)?;
        bounds::DAY_OF_YEAR.check(self.day_of_year)?;
        bounds::HOUR.named("midpoint_h").check(self.midpoint_h)?;
        bounds::PERIOD_H.named("length_h").check(self.length_h)?;
        let off = self.degrees_from_meridian() / 15.0;
        if off.abs() > 4.0 {
            return Err(Error::inconsistent(
                format!(
                    "longitude_deg is {} deg and utc_offset_h is {} h: the sun would be {off:.1} h off the clock",
                    self.longitude_deg, self.utc_offset_h
                ),
                "East is positive for both; Wisconsin is at -90 deg and -6 h.",
            ));
        }
        Ok(*self)
    }

    /// Eq. 31's Lz - Lm, for degrees east; across the date line the short way.
    fn degrees_from_meridian(&self) -> f64 {
        let degrees = self.longitude_deg - 15.0 * self.utc_offset_h;
        degrees - 360.0 * ((degrees + 180.0) / 360.0).floor()
    }

    /// Solar time angle of the middle, -pi to pi.
    fn angle(&self) -> f64 {
        let omega = raw::solar_time_angle(self.midpoint_h, self.degrees_from_meridian(), self.day_of_year);
        omega - 2.0 * PI * ((omega + PI) / (2.0 * PI)).floor()
    }
}

/// Solar time angle at the middle of a period, radians, 0 at solar noon, negative before.
///
/// ω = pi/12 ((t + 0.06667 (L_z - L_m) + S_c) - 12), FAO-56 Eq. 31-33, with longitudes counted east.
///
/// # Errors
/// A value out of range, or a longitude that does not fit the offset from UTC.
///
/// # Source
/// FAO-56 Example 19: 0.682 rad at 14.5 h in N'Diaye, 16.25° W, UTC - 1 h, day 274.
///
/// ```
/// use dibble::sun::{HourSun, solar_time_angle};
/// let hour = HourSun { latitude_deg: 16.2167, longitude_deg: -16.25, utc_offset_h: -1.0, day_of_year: 274.0, midpoint_h: 14.5, length_h: 1.0 };
/// assert_eq!(format!("{:.3}", solar_time_angle(&hour)?), "0.682");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn solar_time_angle(hour: &HourSun) -> Result<f64> {
    Ok(hour.checked()?.angle())
}

/// Radiation that an hour or shorter period brings above the atmosphere, MJ m⁻² in the period.
///
/// R_a = (12 · 60 / pi) G_sc d_r ((ω_2 - ω_1) sin φ sin δ + cos φ cos δ (sin ω_2 - sin ω_1)), FAO-56 Eq. 28. The
/// part of the period while the sun is below the horizon counts as nothing, so that the hours add to the day.
///
/// # Errors
/// A value out of range, or a longitude that does not fit the offset from UTC.
///
/// # Source
/// FAO-56 Example 19: 3.543 MJ m⁻² h⁻¹.
///
/// ```
/// use dibble::sun::{HourSun, extraterrestrial_radiation_hourly};
/// let hour = HourSun { latitude_deg: 16.0 + 13.0 / 60.0, longitude_deg: -16.25, utc_offset_h: -1.0, day_of_year: 274.0, midpoint_h: 14.5, length_h: 1.0 };
/// assert_eq!(format!("{:.3}", extraterrestrial_radiation_hourly(&hour)?), "3.543");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn extraterrestrial_radiation_hourly(hour: &HourSun) -> Result<f64> {
    let hour = hour.checked()?;
    let (omega, half) = (hour.angle(), PI * hour.length_h / 24.0);
    let (latitude, day) = super::terms(hour.latitude_deg, hour.day_of_year)?;
    Ok(raw::extraterrestrial_between(&latitude, &day, omega - half, omega + half))
}

/// Is this the hour, two to three before sunset, whose cloudiness stands for the night?
///
/// (ω_s - 0.79) ≤ ω ≤ (ω_s - 0.52), FAO-56 p. 75.
///
/// # Errors
/// A value out of range, or a longitude that does not fit the offset from UTC.
///
/// # Source
/// FAO-56 p. 75.
///
/// ```
/// use dibble::sun::{HourSun, shows_cloud_of_the_night};
/// let hour = |midpoint_h| HourSun { latitude_deg: 0.0, longitude_deg: 0.0, utc_offset_h: 0.0, day_of_year: 81.0, midpoint_h, length_h: 1.0 };
/// assert!(shows_cloud_of_the_night(&hour(15.6))? && !shows_cloud_of_the_night(&hour(12.0))?);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn shows_cloud_of_the_night(hour: &HourSun) -> Result<bool> {
    let hour = hour.checked()?;
    let to_sunset = super::sunset_angle(hour.latitude_deg, hour.day_of_year)? - hour.angle();
    Ok((0.52..=0.79).contains(&to_sunset))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const HOUR: HourSun =
        HourSun { latitude_deg: 45.0, longitude_deg: -90.0, utc_offset_h: -6.0, day_of_year: 187.0, midpoint_h: 12.5, length_h: 1.0 };

    #[test]
    fn west_for_east_is_noticed() {
        let wrong = HourSun { longitude_deg: 90.0, ..HOUR };
        assert_eq!(
            solar_time_angle(&wrong).unwrap_err().to_string(),
            "longitude_deg is 90 deg and utc_offset_h is -6 h: the sun would be -12.0 h off the clock. East is positive for both; Wisconsin is at -90 deg and -6 h."
        );
        let across_the_date_line = HourSun { longitude_deg: -176.0, utc_offset_h: 12.0, ..HOUR };
        assert!(solar_time_angle(&across_the_date_line).is_ok());
    }

    proptest! {
        #[test]
        fn hours_add_to_the_day(latitude in bounds::LATITUDE_DEG.range(), off in -30.0..30.0f64, day in 1..=366u32) {
            let day_of_year = f64::from(day);
            let mut sum = 0.0;
            for hour in 0..24 {
                let period = HourSun { latitude_deg: latitude, longitude_deg: -90.0 + off, day_of_year, midpoint_h: f64::from(hour) + 0.5, ..HOUR };
                sum += extraterrestrial_radiation_hourly(&period)?;
            }
            let whole = crate::sun::extraterrestrial_radiation(latitude, day_of_year)?;
            prop_assert!((sum - whole).abs() < 1e-9, "{sum} {whole}");
        }
    }
}
