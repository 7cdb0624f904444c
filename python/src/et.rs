//! `dibble.et`: reference evapotranspiration.

use crate::gate::formulas;
use dibble::et::{self, DailyInput, HourlyForm, HourlyInput, Surface};

formulas! {
    reference_daily(
        tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year; surface: Surface
    ) = et::reference_daily(&DailyInput {
        tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, surface
    });
    reference_with_soil_heat(
        tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, soil_heat_mj_m2;
        surface: Surface
    ) = et::reference_with_soil_heat(
        &DailyInput { tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, surface },
        soil_heat_mj_m2
    );
    reference_hourly(
        t_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, longitude_deg, utc_offset_h, elevation_m, day_of_year,
        midpoint_h, night_ratio; form: HourlyForm
    ) = et::reference_hourly(&HourlyInput {
        t_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, longitude_deg, utc_offset_h, elevation_m, day_of_year,
        midpoint_h, night_ratio, form
    });
    reference_from_temperature(tmin_c, tmax_c, latitude_deg, day_of_year) =
        et::reference_from_temperature(tmin_c, tmax_c, latitude_deg, day_of_year);
    evaporation_equivalent_mm(energy_mj_m2) = et::evaporation_equivalent_mm(energy_mj_m2);
    aerodynamic_resistance_s_m(height_m, wind_2m_m_s) = et::aerodynamic_resistance_s_m(height_m, wind_2m_m_s);
}
