//! Reference evapotranspiration of a day: Penman-Monteith (FAO-56 Eq. 6) and from temperature alone (Eq. 52).

use crate::air::check_temperatures;
use crate::bounds;
use crate::error::Result;
use crate::sun;
use crate::words::words;

words! {
    /// The surface that a reference stands for.
    pub enum Surface: "surface" {
        /// Clipped grass, 0.12 m.
        Short = "short",
        /// Full-cover alfalfa, 0.5 m.
        Tall = "tall",
    }
}

impl Surface {
    /// Numerator and denominator constant of the daily equation. Short: FAO-56 Eq. 6; tall: ASCE-EWRI (2005), from memory.
    #[inline(always)]
    pub(crate) fn daily_constants(self) -> (f64, f64) {
        match self {
            Surface::Short => (900.0, 0.34),
            Surface::Tall => (1600.0, 0.38),
        }
    }
}

/// The formulas alone, for callers that have checked their numbers.
pub(crate) mod raw {
    use crate::air::raw::{saturation_vapor_pressure, slope};
    use crate::sun::radiation::raw::{black_body, cloud_ratio, net_longwave, net_shortwave};

    /// MJ m⁻² to mm of water: 1 / 2.45, as the paper rounds it.
    pub const MM_PER_MJ: f64 = 0.408;

    /// Weather of one day.
    #[derive(Clone, Copy)]
    pub struct Day {
        pub tmin: f64,
        pub tmax: f64,
        pub vapor: f64,
        pub wind: f64,
        pub solar: f64,
        pub extraterrestrial: f64,
        pub soil_heat: f64,
    }

    /// What the elevation brings.
    #[derive(Clone, Copy, Default)]
    pub struct ElevationTerms {
        /// Psychrometric constant.
        pub gamma: f64,
        /// Clear-sky share of the extraterrestrial radiation, Eq. 37.
        pub clear_sky: f64,
    }

    #[inline(always)]
    pub fn elevation_terms(elevation_m: f64) -> ElevationTerms {
        use crate::air::raw::{pressure, psychrometric_constant};
        ElevationTerms {
            gamma: psychrometric_constant(pressure(elevation_m)),
            clear_sky: crate::sun::radiation::raw::clear_sky_fraction(elevation_m),
        }
    }

    /// Eq. 6, mm d⁻¹.
    #[inline(always)]
    pub fn daily(day: Day, site: ElevationTerms, (cn, cd): (f64, f64)) -> f64 {
        let t = (day.tmax + day.tmin) / 2.0;
        let e_s = (saturation_vapor_pressure(day.tmax) + saturation_vapor_pressure(day.tmin)) / 2.0;
        let delta = slope(t, saturation_vapor_pressure(t));
        let ratio = cloud_ratio(day.solar, site.clear_sky * day.extraterrestrial);
        let long = net_longwave((black_body(day.tmax) + black_body(day.tmin)) / 2.0, day.vapor, ratio);
        let available = net_shortwave(day.solar) - long - day.soil_heat;
        combination(delta, site.gamma, available, cn / (t + 273.0) * (e_s - day.vapor), day.wind, cd)
    }

    /// The combination equation; `drying` is C_n / (T + 273) (e_s - e_a).
    #[inline(always)]
    pub fn combination(delta: f64, gamma: f64, available: f64, drying: f64, wind: f64, cd: f64) -> f64 {
        (MM_PER_MJ * delta * available + gamma * drying * wind) / (delta + gamma * (1.0 + cd * wind))
    }
}

/// Weather and place of one day.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct DailyInput {
    /// Lowest temperature, -90 to 60 deg C.
    pub tmin_c: f64,
    /// Highest temperature, -90 to 60 deg C.
    pub tmax_c: f64,
    /// Actual vapor pressure, 0 to 8 kPa.
    pub vapor_pressure_kpa: f64,
    /// Wind speed at 2 m, 0 to 60 m/s.
    pub wind_2m_m_s: f64,
    /// Solar radiation, 0 to 50 MJ m⁻² d⁻¹.
    pub solar_mj_m2: f64,
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Elevation above sea level, -450 to 6000 m.
    pub elevation_m: f64,
    /// Day of the year, 1 to 366.
    pub day_of_year: f64,
    /// The reference surface.
    pub surface: Surface,
}

impl DailyInput {
    fn check(&self) -> Result<()> {
        check_temperatures(self.tmin_c, self.tmax_c)?;
        bounds::VAPOR_PRESSURE_KPA.check(self.vapor_pressure_kpa)?;
        bounds::WIND_M_S.named("wind_2m_m_s").check(self.wind_2m_m_s)?;
        bounds::SOLAR_MJ_M2.check(self.solar_mj_m2)?;
        bounds::LATITUDE_DEG.check(self.latitude_deg)?;
        bounds::ELEVATION_M.check(self.elevation_m)?;
        bounds::DAY_OF_YEAR.check(self.day_of_year)?;
        Ok(())
    }
}

/// Reference evapotranspiration of a day, mm d⁻¹, without heat into the soil.
///
/// ET_o = (0.408 Δ (R_n - G) + γ 900 / (T + 273) u_2 (e_s - e_a)) / (Δ + γ (1 + 0.34 u_2)), FAO-56 Eq. 6, G = 0
/// (Eq. 42); the tall surface has 1600 and 0.38. On cold, damp days the result can be slightly negative.
///
/// # Errors
/// A value out of range or not a number, or the lowest temperature above the highest.
///
/// # Source
/// FAO-56 Example 18: 3.9 mm on 6 July in Brussels (Uccle); unrounded 3.88. Tall constants: ASCE-EWRI (2005), from memory.
///
/// ```
/// use dibble::et::{DailyInput, Surface, reference_daily};
/// let day = DailyInput {
///     tmin_c: 12.3, tmax_c: 21.5, vapor_pressure_kpa: 1.409, wind_2m_m_s: 2.078, solar_mj_m2: 22.07,
///     latitude_deg: 50.8, elevation_m: 100.0, day_of_year: 187.0, surface: Surface::Short,
/// };
/// assert_eq!(format!("{:.2}", reference_daily(&day)?), "3.88");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn reference_daily(day: &DailyInput) -> Result<f64> {
    reference_with_soil_heat(day, 0.0)
}

/// As [`reference_daily`], with heat into the soil: for monthly means, see
/// [`crate::sun::soil_heat_from_month_before`].
///
/// `soil_heat_mj_m2`: -15 to 15 MJ m⁻² d⁻¹, positive into the soil.
///
/// # Errors
/// As [`reference_daily`], and a soil heat flux out of range.
///
/// # Source
/// FAO-56 Example 17: 5.72 mm d⁻¹ in April in Bangkok with G = 0.14.
///
/// ```
/// use dibble::et::{DailyInput, Surface, reference_with_soil_heat};
/// let april = DailyInput {
///     tmin_c: 25.6, tmax_c: 34.8, vapor_pressure_kpa: 2.85, wind_2m_m_s: 2.0, solar_mj_m2: 22.65,
///     latitude_deg: 13.733, elevation_m: 2.0, day_of_year: 105.0, surface: Surface::Short,
/// };
/// assert_eq!(format!("{:.2}", reference_with_soil_heat(&april, 0.14)?), "5.72");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn reference_with_soil_heat(day: &DailyInput, soil_heat_mj_m2: f64) -> Result<f64> {
    day.check()?;
    let soil_heat = bounds::SOIL_HEAT_MJ_M2.check(soil_heat_mj_m2)?;
    let latitude = sun::raw::latitude_terms(day.latitude_deg);
    let weather = raw::Day {
        tmin: day.tmin_c,
        tmax: day.tmax_c,
        vapor: day.vapor_pressure_kpa,
        wind: day.wind_2m_m_s,
        solar: day.solar_mj_m2,
        extraterrestrial: sun::raw::extraterrestrial(&latitude, &sun::raw::day_terms(day.day_of_year)),
        soil_heat,
    };
    Ok(raw::daily(weather, raw::elevation_terms(day.elevation_m), day.surface.daily_constants()))
}

/// Reference evapotranspiration of a day from its temperatures alone, mm d⁻¹ (Hargreaves and Samani).
///
/// 0.0023 (T_mean + 17.8) √(T_max - T_min) R_a, FAO-56 Eq. 52, with R_a in mm; 0 below a mean of -17.8 deg C. Too low in
/// wind above 3 m/s, too high in humid air; for sums of several days.
///
/// `tmin_c`, `tmax_c` -90 to 60 deg C, `latitude_deg` -90 to 90, `day_of_year` 1 to 366.
///
/// # Errors
/// A value out of range, or the lowest temperature above the highest.
///
/// # Source
/// FAO-56 Example 20 works it to 5.0 mm d⁻¹ (Lyon, July, 45°43' N).
///
/// ```
/// let et = dibble::et::reference_from_temperature(14.8, 26.6, 45.717, 196.0)?;
/// assert_eq!(format!("{et:.1}"), "5.0");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn reference_from_temperature(tmin_c: f64, tmax_c: f64, latitude_deg: f64, day_of_year: f64) -> Result<f64> {
    let (tmin, tmax) = check_temperatures(tmin_c, tmax_c)?;
    let ra = sun::extraterrestrial_radiation(latitude_deg, day_of_year)?;
    let mean = (tmax + tmin) / 2.0;
    Ok(0.0023 * (mean + 17.8).max(0.0) * (tmax - tmin).sqrt() * (raw::MM_PER_MJ * ra))
}

/// Depth of water that an amount of energy evaporates, mm: 0.408 per MJ m⁻², FAO-56 Eq. 20.
///
/// `energy_mj_m2`: 0 to 50 MJ m⁻².
///
/// # Errors
/// Value out of range or not a number.
///
/// # Source
/// FAO-56 Example 1: 80 % of 15 MJ m⁻² evaporates 4.9 mm.
///
/// ```
/// assert_eq!(format!("{:.1}", dibble::et::evaporation_equivalent_mm(0.8 * 15.0)?), "4.9");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn evaporation_equivalent_mm(energy_mj_m2: f64) -> Result<f64> {
    Ok(raw::MM_PER_MJ * bounds::SOLAR_MJ_M2.named("energy_mj_m2").check(energy_mj_m2)?)
}

/// Aerodynamic resistance of a cropped surface, s/m, with wind and humidity measured at 2 m.
///
/// r_a = ln((2 - d) / z_om) ln((2 - d) / z_oh) / (0.41² u_2), FAO-56 Eq. 4, with d = 2/3 h, z_om = 0.123 h, z_oh = 0.1 z_om.
///
/// `height_m` above 0 to 2 m, `wind_2m_m_s` above 0 to 60 m/s.
///
/// # Errors
/// A value out of range or not a number.
///
/// # Source
/// FAO-56 Box 4: 208 / u_2 for grass of 0.12 m.
///
/// ```
/// assert_eq!(format!("{:.0}", dibble::et::aerodynamic_resistance_s_m(0.12, 1.0)?), "208");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn aerodynamic_resistance_s_m(height_m: f64, wind_2m_m_s: f64) -> Result<f64> {
    let h = bounds::SURFACE_HEIGHT_M.check(height_m)?;
    let u2 = bounds::MOVING_AIR_M_S.named("wind_2m_m_s").check(wind_2m_m_s)?;
    let above = 2.0 - 2.0 / 3.0 * h;
    let rough = 0.123 * h;
    Ok(crate::num::ln(above / rough) * crate::num::ln(above / (0.1 * rough)) / (0.41 * 0.41 * u2))
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: DailyInput = DailyInput {
        tmin_c: 12.3,
        tmax_c: 21.5,
        vapor_pressure_kpa: 1.409,
        wind_2m_m_s: 2.078,
        solar_mj_m2: 22.07,
        latitude_deg: 50.8,
        elevation_m: 100.0,
        day_of_year: 187.0,
        surface: Surface::Short,
    };

    #[test]
    fn refusals_name_the_field() {
        assert_eq!(
            reference_daily(&DailyInput { wind_2m_m_s: -1.0, ..DAY }).unwrap_err().to_string(),
            "wind_2m_m_s is -1 m/s: wind speed must be from 0 to 60 m/s. Give meters per second; 1 mph is 0.447 m/s."
        );
        assert!(reference_daily(&DailyInput { tmin_c: 30.0, ..DAY }).unwrap_err().to_string().starts_with("tmin_c is 30 deg C and tmax_c"));
        for spoil in [f64::NAN, f64::INFINITY] {
            assert!(reference_daily(&DailyInput { solar_mj_m2: spoil, ..DAY }).unwrap_err().is_out_of_range());
        }
    }

    #[test]
    fn tall_surface_uses_more() {
        let tall = reference_daily(&DailyInput { surface: Surface::Tall, ..DAY }).unwrap();
        assert!(tall > 1.1 * reference_daily(&DAY).unwrap());
        assert_eq!("Tall".parse::<Surface>().unwrap(), Surface::Tall);
    }

    #[test]
    fn deep_cold_gives_no_negative_use_from_temperature() {
        assert_eq!(reference_from_temperature(-45.0, -30.0, 60.0, 20.0).unwrap(), 0.0);
    }
}
