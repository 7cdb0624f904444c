//! `dibble.sun`: where the sun stands, and radiation above the air and at the ground.

use crate::gate::formulas;
use dibble::sun::{self, HourSun, LongwaveDay, RangeDay};

formulas! {
    inverse_distance(day_of_year) = sun::inverse_distance(day_of_year);
    declination(day_of_year) = sun::declination(day_of_year);
    sunset_angle(latitude_deg, day_of_year) = sun::sunset_angle(latitude_deg, day_of_year);
    extraterrestrial_radiation(latitude_deg, day_of_year) = sun::extraterrestrial_radiation(latitude_deg, day_of_year);
    daylight_hours(latitude_deg, day_of_year) = sun::daylight_hours(latitude_deg, day_of_year);
    solar_time_angle(latitude_deg, longitude_deg, utc_offset_h, day_of_year, midpoint_h, length_h) =
        sun::solar_time_angle(&HourSun { latitude_deg, longitude_deg, utc_offset_h, day_of_year, midpoint_h, length_h });
    extraterrestrial_radiation_hourly(latitude_deg, longitude_deg, utc_offset_h, day_of_year, midpoint_h, length_h) =
        sun::extraterrestrial_radiation_hourly(&HourSun { latitude_deg, longitude_deg, utc_offset_h, day_of_year, midpoint_h, length_h });
    // Yes and no as 1 and 0, so that arrays stay numbers.
    shows_cloud_of_the_night(latitude_deg, longitude_deg, utc_offset_h, day_of_year, midpoint_h, length_h) =
        sun::shows_cloud_of_the_night(&HourSun { latitude_deg, longitude_deg, utc_offset_h, day_of_year, midpoint_h, length_h })
            .map(|yes| f64::from(u8::from(yes)));
    solar_from_sunshine(sunshine_h, latitude_deg, day_of_year) = sun::solar_from_sunshine(sunshine_h, latitude_deg, day_of_year);
    solar_from_range(tmin_c, tmax_c, latitude_deg, elevation_m, day_of_year, k_rs) =
        sun::solar_from_range(&RangeDay { tmin_c, tmax_c, latitude_deg, elevation_m, day_of_year, k_rs });
    solar_on_island(extraterrestrial_mj_m2) = sun::solar_on_island(extraterrestrial_mj_m2);
    solar_by_ratio(station_solar_mj_m2, station_extraterrestrial_mj_m2, extraterrestrial_mj_m2) =
        sun::solar_by_ratio(station_solar_mj_m2, station_extraterrestrial_mj_m2, extraterrestrial_mj_m2);
    clear_sky_radiation(extraterrestrial_mj_m2, elevation_m) = sun::clear_sky_radiation(extraterrestrial_mj_m2, elevation_m);
    clear_sky_radiation_near_sea_level(extraterrestrial_mj_m2) = sun::clear_sky_radiation_near_sea_level(extraterrestrial_mj_m2);
    black_body_radiation(t_c) = sun::black_body_radiation(t_c);
    net_shortwave(solar_mj_m2) = sun::net_shortwave(solar_mj_m2);
    net_longwave_daily(tmin_c, tmax_c, vapor_pressure_kpa, solar_mj_m2, clear_sky_mj_m2) =
        sun::net_longwave_daily(&LongwaveDay { tmin_c, tmax_c, vapor_pressure_kpa, solar_mj_m2, clear_sky_mj_m2 });
    net_longwave_hourly(t_c, vapor_pressure_kpa, cloud_ratio) = sun::net_longwave_hourly(t_c, vapor_pressure_kpa, cloud_ratio);
    soil_heat_from_neighbor_months(t_before_c, t_next_c) = sun::soil_heat_from_neighbor_months(t_before_c, t_next_c);
    soil_heat_from_month_before(t_before_c, t_c) = sun::soil_heat_from_month_before(t_before_c, t_c);
    soil_heat_hourly(net_radiation_mj_m2) = sun::soil_heat_hourly(net_radiation_mj_m2);
}
