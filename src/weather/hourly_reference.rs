//! Reference evapotranspiration summed hour by hour.

use super::fill::{typical_night_ratio, wind_at_2m};
use super::hours::Hours;
use super::site::Site;
use crate::error::{Error, Result};
use crate::et::{self, HourlyForm, HourlyInput};
use crate::sun::{self, HourSun};

/// Sums of 24 hours, mm; NaN for a day that lacks temperature, vapor pressure, wind or radiation in any hour.
///
/// While the sun is down, the cloudiness of the hour two to three before sunset holds on until the next evening's
/// (FAO-56 p. 75); before the first, and where there is no such hour, the typical one of the climate.
pub(super) fn sums(hours: &Hours, site: &Site, form: HourlyForm, notes: &mut Vec<String>) -> Result<Vec<f64>> {
    let needs =
        |what: &str| Error::missing(what, "Hourly reference evapotranspiration needs the site's longitude and its offset from UTC.");
    let longitude_deg = site.longitude_deg().ok_or_else(|| needs("longitude_deg"))?;
    let utc_offset_h = site.utc_offset_h().ok_or_else(|| needs("utc_offset_h"))?;
    let typical = typical_night_ratio(site);
    let mut night_ratio = typical;
    notes.push(format!("cloudiness of nights without a known evening taken as Rs/Rso = {typical} (FAO-56 p. 75)"));

    let rows = hours.t_c.iter().zip(&hours.vapor_pressure_kpa).zip(&hours.wind_m_s).zip(&hours.solar_mj_m2).enumerate();
    let mut sums = vec![0.0; hours.t_c.len() / 24];
    for (slot, (((&t_c, &vapor_pressure_kpa), &wind_m_s), &solar_mj_m2)) in rows {
        let Some(sum) = sums.get_mut(slot / 24) else { continue };
        let date = hours.first + i32::try_from(slot / 24).unwrap_or(i32::MAX);
        let (day_of_year, midpoint_h) = (f64::from(date.day_of_year()), (slot % 24) as f64 + 0.5);
        let sun = HourSun { latitude_deg: site.latitude_deg(), longitude_deg, utc_offset_h, day_of_year, midpoint_h, length_h: 1.0 };
        if sun::shows_cloud_of_the_night(&sun)? {
            let clear_sky = sun::clear_sky_radiation(sun::extraterrestrial_radiation_hourly(&sun)?, site.elevation_m())?;
            night_ratio = if solar_mj_m2.is_nan() || clear_sky <= 0.0 { typical } else { (solar_mj_m2 / clear_sky).min(1.0) };
        }
        if [t_c, vapor_pressure_kpa, wind_m_s, solar_mj_m2].iter().any(|v| v.is_nan()) {
            *sum = f64::NAN;
            continue;
        }
        *sum += et::reference_hourly(&HourlyInput {
            t_c,
            vapor_pressure_kpa,
            wind_2m_m_s: wind_at_2m(wind_m_s, hours.wind_height_m, site)?,
            solar_mj_m2,
            latitude_deg: site.latitude_deg(),
            longitude_deg,
            utc_offset_h,
            elevation_m: site.elevation_m(),
            day_of_year,
            midpoint_h,
            night_ratio,
            form,
        })?;
    }
    // Dew of a winter day; the ledger takes none from the air.
    Ok(sums.into_iter().map(|sum: f64| if sum < 0.0 { 0.0 } else { sum }).collect())
}
