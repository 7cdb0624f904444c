//! `dibble.air`: moist air and wind.

use crate::gate::formulas;
use dibble::air::{self, HumidityRange, Psychrometer, Ventilation};

formulas! {
    saturation_vapor_pressure(t_c) = air::saturation_vapor_pressure(t_c);
    mean_saturation_vapor_pressure(tmin_c, tmax_c) = air::mean_saturation_vapor_pressure(tmin_c, tmax_c);
    vapor_pressure_slope(t_c) = air::vapor_pressure_slope(t_c);
    atmospheric_pressure(elevation_m) = air::atmospheric_pressure(elevation_m);
    psychrometric_constant(elevation_m) = air::psychrometric_constant(elevation_m);
    dew_point(vapor_pressure_kpa) = air::dew_point(vapor_pressure_kpa);
    vapor_pressure_from_dew_point(dew_c) = air::vapor_pressure_from_dew_point(dew_c);
    vapor_pressure_from_psychrometer(dry_c, wet_c, pressure_kpa; ventilation: Ventilation) =
        air::vapor_pressure_from_psychrometer(&Psychrometer { dry_c, wet_c, pressure_kpa, ventilation });
    vapor_pressure_from_rh_range(tmin_c, tmax_c, rh_min_pct, rh_max_pct) =
        air::vapor_pressure_from_rh_range(&HumidityRange { tmin_c, tmax_c, rh_min_pct, rh_max_pct });
    vapor_pressure_from_rh_max(tmin_c, rh_max_pct) = air::vapor_pressure_from_rh_max(tmin_c, rh_max_pct);
    vapor_pressure_from_rh_mean(tmin_c, tmax_c, rh_mean_pct) = air::vapor_pressure_from_rh_mean(tmin_c, tmax_c, rh_mean_pct);
    vapor_pressure_from_rh(t_c, rh_pct) = air::vapor_pressure_from_rh(t_c, rh_pct);
    wind_at_2m(wind_m_s, height_m) = air::wind_at_2m(wind_m_s, height_m);
}
