//! Solar radiation where nobody measured it: from sunshine, temperature range, an island's sea, a neighbor (FAO-56 Eq. 35,
//! 49-51).

use crate::air::check_temperatures;
use crate::bounds;
use crate::error::{Error, Result};

/// k_Rs of Eq. 50 inland.
pub const K_RS_INTERIOR: f64 = 0.16;
/// k_Rs of Eq. 50 on or near the coast.
pub const K_RS_COASTAL: f64 = 0.19;

/// The formulas alone, for callers that have checked their numbers.
pub(crate) mod raw {
    use crate::sun::radiation::raw::clear_sky_fraction;

    /// Eq. 35 with the relative sunshine.
    #[inline(always)]
    pub fn solar_from_sunshine(relative: f64, extraterrestrial: f64) -> f64 {
        (0.25 + 0.50 * relative) * extraterrestrial
    }

    /// Eq. 50, held at the clear sky.
    #[inline(always)]
    pub fn solar_from_range(k_rs: f64, range_c: f64, extraterrestrial: f64, elevation_m: f64) -> f64 {
        let fraction = k_rs * range_c.sqrt();
        let clear = clear_sky_fraction(elevation_m);
        (if fraction > clear { clear } else { fraction }) * extraterrestrial
    }
}

/// Solar radiation from hours of bright sunshine, MJ m⁻² d⁻¹.
///
/// R_s = (0.25 + 0.50 n/N) R_a, FAO-56 Eq. 35. Recorders may count a little more than Eq. 34's N: up to half an hour
/// more is taken as a cloudless day.
///
/// `sunshine_h` 0 to 24 h, `latitude_deg` -90 to 90, `day_of_year` 1 to 366.
///
/// # Errors
/// A value out of range, or more sunshine than daylight.
///
/// # Source
/// FAO-56 Example 10: 14.5 MJ m⁻² d⁻¹ from 7.1 h at 22.9° S on 15 May.
///
/// ```
/// let rs = dibble::sun::solar_from_sunshine(7.1, -22.9, 135.0)?;
/// assert_eq!(format!("{rs:.1}"), "14.5");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn solar_from_sunshine(sunshine_h: f64, latitude_deg: f64, day_of_year: f64) -> Result<f64> {
    let n = bounds::SUN_HOURS_H.check(sunshine_h)?;
    let ra = super::extraterrestrial_radiation(latitude_deg, day_of_year)?;
    let daylight = super::daylight_hours(latitude_deg, day_of_year)?;
    if n > daylight + 0.5 {
        return Err(Error::inconsistent(
            format!("sunshine_h is {n} h, but day {day_of_year} at latitude {latitude_deg} has {daylight:.1} h of daylight"),
            "Check the unit, the date and the latitude's sign.",
        ));
    }
    let relative = if daylight > 0.0 { (n / daylight).min(1.0) } else { 0.0 };
    Ok(raw::solar_from_sunshine(relative, ra))
}

/// A day that has temperatures and no radiation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RangeDay {
    /// Lowest temperature, deg C.
    pub tmin_c: f64,
    /// Highest temperature, deg C.
    pub tmax_c: f64,
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Elevation, m.
    pub elevation_m: f64,
    /// Day of the year.
    pub day_of_year: f64,
    /// [`K_RS_INTERIOR`] or [`K_RS_COASTAL`].
    pub k_rs: f64,
}

/// Solar radiation from the day's temperature range, MJ m⁻² d⁻¹, at most the clear sky's.
///
/// R_s = k_Rs √(Tmax - Tmin) R_a, FAO-56 Eq. 50. Good for sums of several days, not for single ones.
///
/// # Errors
/// A value out of range, or the lowest temperature above the highest.
///
/// # Source
/// FAO-56 Example 15: 22.3 MJ m⁻² d⁻¹ at 45°43' N in July.
///
/// ```
/// use dibble::sun::{K_RS_INTERIOR, RangeDay, solar_from_range};
/// let day = RangeDay { tmin_c: 14.8, tmax_c: 26.6, latitude_deg: 45.717, elevation_m: 200.0, day_of_year: 196.0, k_rs: K_RS_INTERIOR };
/// assert_eq!(format!("{:.1}", solar_from_range(&day)?), "22.3");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn solar_from_range(day: &RangeDay) -> Result<f64> {
    let (tmin, tmax) = check_temperatures(day.tmin_c, day.tmax_c)?;
    let z = bounds::ELEVATION_M.check(day.elevation_m)?;
    let k_rs = bounds::K_RS.check(day.k_rs)?;
    Ok(raw::solar_from_range(k_rs, tmax - tmin, super::extraterrestrial_radiation(day.latitude_deg, day.day_of_year)?, z))
}

/// Solar radiation on a small island, MJ m⁻² d⁻¹, **monthly means only**: 0.7 R_a - 4, FAO-56 Eq. 51, not below 0.
///
/// Land up to 20 km across, up to 100 m above the sea. `extraterrestrial_mj_m2` 0 to 50.
///
/// # Errors
/// Value out of range or not a number.
///
/// # Source
/// FAO-56 p. 62: 0.7 R_a - b with b = 4 MJ m⁻² d⁻¹.
///
/// ```
/// assert_eq!(format!("{:.1}", dibble::sun::solar_on_island(40.0)?), "24.0");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn solar_on_island(extraterrestrial_mj_m2: f64) -> Result<f64> {
    Ok((0.7 * bounds::SOLAR_MJ_M2.named("extraterrestrial_mj_m2").check(extraterrestrial_mj_m2)? - 4.0).max(0.0))
}

/// Solar radiation carried over from a nearby station of the same weather, MJ m⁻² d⁻¹.
///
/// R_s = (R_s,reg / R_a,reg) R_a, FAO-56 Eq. 49. Arguments 0 to 50 MJ m⁻² d⁻¹.
///
/// # Errors
/// A value out of range, or a station whose radiation exceeds that above the atmosphere.
///
/// # Source
/// FAO-56 p. 59.
///
/// ```
/// assert_eq!(dibble::sun::solar_by_ratio(20.0, 40.0, 36.0)?, 18.0);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn solar_by_ratio(station_solar_mj_m2: f64, station_extraterrestrial_mj_m2: f64, extraterrestrial_mj_m2: f64) -> Result<f64> {
    let rs = bounds::SOLAR_MJ_M2.named("station_solar_mj_m2").check(station_solar_mj_m2)?;
    let ra_station = bounds::SOLAR_MJ_M2.named("station_extraterrestrial_mj_m2").check(station_extraterrestrial_mj_m2)?;
    let ra = bounds::SOLAR_MJ_M2.named("extraterrestrial_mj_m2").check(extraterrestrial_mj_m2)?;
    if rs > ra_station {
        return Err(Error::inconsistent(
            format!("station_solar_mj_m2 is {rs} MJ/m2, above the {ra_station} MJ/m2 outside the atmosphere"),
            "Check the unit of the station's radiation.",
        ));
    }
    Ok(if ra_station > 0.0 { rs / ra_station * ra } else { 0.0 })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_sunshine_than_daylight_is_refused() {
        assert_eq!(
            solar_from_sunshine(14.0, 45.0, 355.0).unwrap_err().to_string(),
            "sunshine_h is 14 h, but day 355 at latitude 45 has 8.6 h of daylight. Check the unit, the date and the latitude's sign."
        );
        let recorder_counts_more = solar_from_sunshine(9.0, 45.0, 355.0).unwrap();
        let ra = crate::sun::extraterrestrial_radiation(45.0, 355.0).unwrap();
        assert_eq!(recorder_counts_more, 0.75 * ra);
    }

    #[test]
    fn no_sun_no_radiation() {
        assert_eq!(solar_from_sunshine(0.0, 80.0, 355.0).unwrap(), 0.0);
        assert_eq!(solar_by_ratio(0.0, 0.0, 10.0).unwrap(), 0.0);
        assert_eq!(solar_on_island(3.0).unwrap(), 0.0);
    }

    #[test]
    fn estimates_stop_at_the_clear_sky() {
        let day = RangeDay { tmin_c: 0.0, tmax_c: 40.0, latitude_deg: 45.0, elevation_m: 500.0, day_of_year: 180.0, k_rs: K_RS_COASTAL };
        let ra = crate::sun::extraterrestrial_radiation(45.0, 180.0).unwrap();
        assert_eq!(solar_from_range(&day).unwrap(), crate::sun::clear_sky_radiation(ra, 500.0).unwrap());
        assert!(solar_by_ratio(41.0, 40.0, 36.0).unwrap_err().to_string().starts_with("station_solar_mj_m2 is 41 MJ/m2"));
    }
}
