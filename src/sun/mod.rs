//! Where the sun stands and how much radiation comes in above the air and at the ground.
//!
//! Source: FAO-56 (Allen, Pereira, Raes and Smith 1998), chapter 3. Its declination (Eq. 24) is about one degree
//! off in autumn; that is the published method and stays. Latitudes are positive north, longitudes positive east.

pub(crate) mod estimate;
mod hourly;
pub(crate) mod radiation;

pub use estimate::{K_RS_COASTAL, K_RS_INTERIOR, RangeDay, solar_by_ratio, solar_from_range, solar_from_sunshine, solar_on_island};
pub use hourly::{HourSun, extraterrestrial_radiation_hourly, shows_cloud_of_the_night, solar_time_angle};
pub use radiation::{
    CLEAR_SKY_COEFFICIENT, LongwaveDay, SUNLESS_RATIO, black_body_radiation, clear_sky_radiation, clear_sky_radiation_near_sea_level,
    net_longwave_daily, net_longwave_hourly, net_shortwave, soil_heat_from_month_before, soil_heat_from_neighbor_months, soil_heat_hourly,
};

use crate::bounds;
use crate::error::Result;

/// The formulas alone, for callers that have checked their numbers.
pub(crate) mod raw {
    use crate::num::{acos, cos, sin};
    use std::f64::consts::PI;

    /// Solar constant, MJ m⁻² min⁻¹.
    pub const SOLAR_CONSTANT: f64 = 0.0820;

    /// What a day of the year brings, at every place.
    #[derive(Debug, Clone, Copy, Default)]
    pub struct DayTerms {
        /// Inverse relative distance to the sun.
        pub distance: f64,
        /// Sine, cosine and tangent of the declination.
        pub sin: f64,
        pub cos: f64,
        pub tan: f64,
    }

    /// What a latitude brings, on every day.
    #[derive(Debug, Clone, Copy, Default)]
    pub struct LatitudeTerms {
        pub sin: f64,
        pub cos: f64,
        pub tan: f64,
    }

    /// Eq. 24, radians.
    #[inline(always)]
    pub fn declination(day_of_year: f64) -> f64 {
        0.409 * sin(2.0 * PI / 365.0 * day_of_year - 1.39)
    }

    /// Eq. 23.
    #[inline(always)]
    pub fn distance(day_of_year: f64) -> f64 {
        1.0 + 0.033 * cos(2.0 * PI / 365.0 * day_of_year)
    }

    #[inline(always)]
    pub fn day_terms(day_of_year: f64) -> DayTerms {
        let delta = declination(day_of_year);
        let (sin, cos) = (sin(delta), cos(delta));
        DayTerms { distance: distance(day_of_year), sin, cos, tan: sin / cos }
    }

    #[inline(always)]
    pub fn latitude_terms(latitude_deg: f64) -> LatitudeTerms {
        let phi = latitude_deg * (PI / 180.0);
        let (sin, cos) = (sin(phi), cos(phi));
        LatitudeTerms { sin, cos, tan: sin / cos }
    }

    /// Cosine of the sunset hour angle: -tan φ tan δ, held at ±1 where the sun does not set or rise.
    #[inline(always)]
    pub fn sunset_cosine(latitude_tan: f64, declination_tan: f64) -> f64 {
        let x = -latitude_tan * declination_tan;
        let x = if x < -1.0 { -1.0 } else { x };
        if x > 1.0 { 1.0 } else { x }
    }

    /// Eq. 25, radians; 0 in polar night, pi in polar day.
    #[inline(always)]
    pub fn sunset_angle(latitude: &LatitudeTerms, day: &DayTerms) -> f64 {
        acos(sunset_cosine(latitude.tan, day.tan))
    }

    /// Eq. 21, MJ m⁻² d⁻¹.
    #[inline(always)]
    pub fn extraterrestrial(latitude: &LatitudeTerms, day: &DayTerms) -> f64 {
        let x = sunset_cosine(latitude.tan, day.tan);
        // The sine of the sunset angle, without a second series.
        let sin_omega = ((1.0 - x) * (1.0 + x)).sqrt();
        let sum = acos(x) * latitude.sin * day.sin + latitude.cos * day.cos * sin_omega;
        let ra = 24.0 * 60.0 / PI * SOLAR_CONSTANT * day.distance * sum;
        // Rounding may leave a hair below zero where the sun just fails to rise.
        if ra < 0.0 { 0.0 } else { ra }
    }
}

fn terms(latitude_deg: f64, day_of_year: f64) -> Result<(raw::LatitudeTerms, raw::DayTerms)> {
    let latitude = bounds::LATITUDE_DEG.check(latitude_deg)?;
    let day = bounds::DAY_OF_YEAR.check(day_of_year)?;
    Ok((raw::latitude_terms(latitude), raw::day_terms(day)))
}

/// Inverse relative distance from earth to sun: 1 + 0.033 cos(2 pi J / 365), FAO-56 Eq. 23.
///
/// `day_of_year`: 1 to 366.
///
/// # Errors
/// Day out of range or not a number.
///
/// # Source
/// FAO-56 Example 8: 0.985 on day 246.
///
/// ```
/// assert_eq!(format!("{:.3}", dibble::sun::inverse_distance(246.0)?), "0.985");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn inverse_distance(day_of_year: f64) -> Result<f64> {
    Ok(raw::distance(bounds::DAY_OF_YEAR.check(day_of_year)?))
}

/// Solar declination, radians: 0.409 sin(2 pi J / 365 - 1.39), FAO-56 Eq. 24.
///
/// `day_of_year`: 1 to 366.
///
/// # Errors
/// Day out of range or not a number.
///
/// # Source
/// FAO-56 Example 8: 0.120 rad on day 246.
///
/// ```
/// assert_eq!(format!("{:.3}", dibble::sun::declination(246.0)?), "0.120");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn declination(day_of_year: f64) -> Result<f64> {
    Ok(raw::declination(bounds::DAY_OF_YEAR.check(day_of_year)?))
}

/// Sunset hour angle, radians: arccos(-tan φ tan δ), FAO-56 Eq. 25; 0 in polar night, pi in polar day.
///
/// `latitude_deg` -90 to 90, `day_of_year` 1 to 366.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 8: 1.527 rad at 20° S on day 246.
///
/// ```
/// assert_eq!(format!("{:.3}", dibble::sun::sunset_angle(-20.0, 246.0)?), "1.527");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn sunset_angle(latitude_deg: f64, day_of_year: f64) -> Result<f64> {
    let (latitude, day) = terms(latitude_deg, day_of_year)?;
    Ok(raw::sunset_angle(&latitude, &day))
}

/// Radiation that a day brings above the atmosphere, MJ m⁻² d⁻¹.
///
/// R_a = (24 · 60 / pi) G_sc d_r (ω_s sin φ sin δ + cos φ cos δ sin ω_s), FAO-56 Eq. 21, G_sc = 0.0820 MJ m⁻² min⁻¹.
///
/// `latitude_deg` -90 to 90, `day_of_year` 1 to 366. Zero in polar night.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 8: 32.2 MJ m⁻² d⁻¹ at 20° S on 3 September (day 246).
///
/// ```
/// let ra = dibble::sun::extraterrestrial_radiation(-20.0, 246.0)?;
/// assert_eq!(format!("{ra:.1}"), "32.2");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn extraterrestrial_radiation(latitude_deg: f64, day_of_year: f64) -> Result<f64> {
    let (latitude, day) = terms(latitude_deg, day_of_year)?;
    Ok(raw::extraterrestrial(&latitude, &day))
}

/// Hours from sunrise to sunset: 24 ω_s / pi, FAO-56 Eq. 34; 0 in polar night, 24 in polar day.
///
/// `latitude_deg` -90 to 90, `day_of_year` 1 to 366. Almanacs count 0.1 to 0.4 h more for the width of the sun
/// and the bending of its light.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Example 9: 11.7 h at 20° S on day 246.
///
/// ```
/// assert_eq!(format!("{:.1}", dibble::sun::daylight_hours(-20.0, 246.0)?), "11.7");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn daylight_hours(latitude_deg: f64, day_of_year: f64) -> Result<f64> {
    Ok(24.0 / std::f64::consts::PI * sunset_angle(latitude_deg, day_of_year)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn poles_have_half_a_year_of_day() {
        assert_eq!(daylight_hours(90.0, 172.0).unwrap(), 24.0);
        assert_eq!(daylight_hours(-90.0, 172.0).unwrap(), 0.0);
        assert_eq!(extraterrestrial_radiation(-90.0, 172.0).unwrap(), 0.0);
        assert!(extraterrestrial_radiation(90.0, 172.0).unwrap() > 40.0);
    }

    #[test]
    fn latitude_95_is_refused() {
        assert_eq!(
            extraterrestrial_radiation(95.0, 1.0).unwrap_err().to_string(),
            "latitude_deg is 95 deg: latitude must be from -90 to 90 deg. North is positive, south negative, in decimal degrees."
        );
        assert_eq!(
            daylight_hours(45.0, 0.0).unwrap_err().to_string(),
            "day_of_year is 0: day of the year must be from 1 to 366. 1 is January 1st."
        );
    }

    proptest! {
        #[test]
        fn radiation_is_finite_everywhere(latitude in bounds::LATITUDE_DEG.range(), day in 1..=366u32) {
            let ra = extraterrestrial_radiation(latitude, f64::from(day))?;
            let n = daylight_hours(latitude, f64::from(day))?;
            prop_assert!((0.0..49.0).contains(&ra) && (0.0..=24.0).contains(&n), "{ra} MJ, {n} h");
        }

        #[test]
        fn the_two_hemispheres_share_the_day(latitude in 0.0..=90.0f64, day in 1..=366u32) {
            let both = daylight_hours(latitude, f64::from(day))? + daylight_hours(-latitude, f64::from(day))?;
            prop_assert!((both - 24.0).abs() < 1e-9);
        }
    }
}
