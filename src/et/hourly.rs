//! Reference evapotranspiration of an hour: FAO-56 Eq. 53 and the standardized short and tall forms.

use super::reference::raw::combination;
use crate::air;
use crate::bounds;
use crate::error::Result;
use crate::sun::radiation::raw::{black_body_hourly, clear_sky_fraction, net_longwave, net_shortwave};
use crate::sun::{self, HourSun};
use crate::words::words;

words! {
    /// Which hourly equation.
    pub enum HourlyForm: "hourly form" {
        /// FAO-56 Eq. 53: short grass with 0.34 by day and night.
        Fao56 = "fao56",
        /// ASCE-EWRI (2005) short surface: resistance of 50 s/m by day, 200 by night. Constants from memory.
        Short = "short",
        /// ASCE-EWRI (2005) tall surface: 30 s/m by day, 200 by night. Constants from memory.
        Tall = "tall",
    }
}

/// Constants of an hour; heat into the soil is a share of net radiation.
struct Constants {
    numerator: f64,
    denominator: f64,
    soil_heat_share: f64,
}

impl HourlyForm {
    fn constants(self, day: bool) -> Constants {
        let (numerator, denominator, soil_heat_share) = match (self, day) {
            (HourlyForm::Fao56, true) => (37.0, 0.34, 0.1),
            (HourlyForm::Fao56, false) => (37.0, 0.34, 0.5),
            (HourlyForm::Short, true) => (37.0, 0.24, 0.1),
            (HourlyForm::Short, false) => (37.0, 0.96, 0.5),
            (HourlyForm::Tall, true) => (66.0, 0.25, 0.04),
            (HourlyForm::Tall, false) => (66.0, 1.7, 0.2),
        };
        Constants { numerator, denominator, soil_heat_share }
    }
}

/// Weather and place of one hour.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HourlyInput {
    /// Mean temperature of the hour, -90 to 60 deg C.
    pub t_c: f64,
    /// Actual vapor pressure, 0 to 8 kPa.
    pub vapor_pressure_kpa: f64,
    /// Wind speed at 2 m, 0 to 60 m/s.
    pub wind_2m_m_s: f64,
    /// Solar radiation of the hour, 0 to 5.5 MJ m⁻².
    pub solar_mj_m2: f64,
    /// Latitude, degrees, north positive.
    pub latitude_deg: f64,
    /// Longitude, degrees, **east positive**.
    pub longitude_deg: f64,
    /// Local standard time minus UTC, h; without daylight saving.
    pub utc_offset_h: f64,
    /// Elevation above sea level, -450 to 6000 m.
    pub elevation_m: f64,
    /// Day of the year, 1 to 366.
    pub day_of_year: f64,
    /// Middle of the hour in local standard time: 14.5 for 14:00 to 15:00.
    pub midpoint_h: f64,
    /// R_s/R_so to take while the sun is down, 0 to 1: that of the hour for which
    /// [`sun::shows_cloud_of_the_night`] holds, or 0.4-0.6 in humid and 0.7-0.8 in dry climates (FAO-56 p. 75).
    pub night_ratio: f64,
    /// Which equation.
    pub form: HourlyForm,
}

/// Reference evapotranspiration of an hour, mm h⁻¹.
///
/// ET_o = (0.408 Δ (R_n - G) + γ 37 / (T + 273) u_2 (e_s - e_a)) / (Δ + γ (1 + 0.34 u_2)), FAO-56 Eq. 53, or with the
/// standardized constants. G is a share of R_n (Eq. 45-46); it is day while R_n is positive.
///
/// # Errors
/// A value out of range or not a number, or a longitude that does not fit the offset from UTC.
///
/// # Source
/// FAO-56 Example 19: 0.63 mm from 14:00 to 15:00 in N'Diaye. ASCE-EWRI (2005) constants and the tall shares of G
/// (0.04, 0.2) from memory.
///
/// ```
/// use dibble::et::{HourlyForm, HourlyInput, reference_hourly};
/// let hour = HourlyInput {
///     t_c: 38.0, vapor_pressure_kpa: 3.445, wind_2m_m_s: 3.3, solar_mj_m2: 2.45, latitude_deg: 16.217, longitude_deg: -16.25,
///     utc_offset_h: -1.0, elevation_m: 8.0, day_of_year: 274.0, midpoint_h: 14.5, night_ratio: 0.8, form: HourlyForm::Fao56,
/// };
/// assert_eq!(format!("{:.2}", reference_hourly(&hour)?), "0.63");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn reference_hourly(hour: &HourlyInput) -> Result<f64> {
    let t = bounds::T_C.check(hour.t_c)?;
    let e_a = bounds::VAPOR_PRESSURE_KPA.check(hour.vapor_pressure_kpa)?;
    let u2 = bounds::WIND_M_S.named("wind_2m_m_s").check(hour.wind_2m_m_s)?;
    let r_s = bounds::SOLAR_MJ_M2_H.check(hour.solar_mj_m2)?;
    let z = bounds::ELEVATION_M.check(hour.elevation_m)?;
    let night_ratio = bounds::FRACTION.named("night_ratio").check(hour.night_ratio)?;
    let r_a = sun::extraterrestrial_radiation_hourly(&HourSun {
        latitude_deg: hour.latitude_deg,
        longitude_deg: hour.longitude_deg,
        utc_offset_h: hour.utc_offset_h,
        day_of_year: hour.day_of_year,
        midpoint_h: hour.midpoint_h,
        length_h: 1.0,
    })?;
    let e_s = air::raw::saturation_vapor_pressure(t);
    let gamma = air::raw::psychrometric_constant(air::raw::pressure(z));
    let ratio = if r_a > 0.0 { (r_s / (clear_sky_fraction(z) * r_a)).min(1.0) } else { night_ratio };
    let r_n = net_shortwave(r_s) - net_longwave(black_body_hourly(t), e_a, ratio);
    let c = hour.form.constants(r_n > 0.0);
    let drying = c.numerator / (t + 273.0) * (e_s - e_a);
    Ok(combination(air::raw::slope(t, e_s), gamma, r_n - c.soil_heat_share * r_n, drying, u2, c.denominator))
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOON: HourlyInput = HourlyInput {
        t_c: 25.0,
        vapor_pressure_kpa: 1.5,
        wind_2m_m_s: 2.0,
        solar_mj_m2: 3.0,
        latitude_deg: 45.0,
        longitude_deg: -90.0,
        utc_offset_h: -6.0,
        elevation_m: 300.0,
        day_of_year: 187.0,
        midpoint_h: 12.5,
        night_ratio: 0.6,
        form: HourlyForm::Short,
    };

    #[test]
    fn forms_differ_by_day_and_night() {
        let at = |form, midpoint_h, solar_mj_m2| reference_hourly(&HourlyInput { form, midpoint_h, solar_mj_m2, ..NOON }).unwrap();
        assert!(at(HourlyForm::Short, 12.5, 3.0) > at(HourlyForm::Fao56, 12.5, 3.0));
        assert!(at(HourlyForm::Short, 1.5, 0.0) < at(HourlyForm::Fao56, 1.5, 0.0));
        assert!(at(HourlyForm::Tall, 12.5, 3.0) > at(HourlyForm::Short, 12.5, 3.0));
    }

    #[test]
    fn standardized_constants_are_those_we_remember_and_follow_from_resistances() {
        // ASCE-EWRI (2005) Table 1, from memory; rederived from surface resistance and FAO-56 Eq. 4 with d = 0.08 m.
        let file: toml::Table = toml::from_str(include_str!("../../tests/reference/et.toml")).unwrap();
        let number = |t: &toml::Value, key: &str| t.get(key).unwrap().as_float().unwrap();
        let mut seen = 0;
        for case in file["case"].as_array().unwrap().iter().filter(|c| c["kind"].as_str() == Some("asce_const")) {
            let (id, inputs, expect) = (case["id"].as_str().unwrap(), &case["inputs"], &case["expect"]);
            let (cn, cd) = match id {
                "asce.const.short.day" => crate::et::Surface::Short.daily_constants(),
                _ => {
                    let form = if id.contains("tall") { HourlyForm::Tall } else { HourlyForm::Short };
                    let c = form.constants(id.ends_with("_day"));
                    (c.numerator, c.denominator)
                }
            };
            assert_eq!((cn, cd), (number(expect, "Cn"), number(expect, "Cd")), "{id}, from memory");
            let (h, seconds) = (number(inputs, "h"), if inputs["step"].as_str() == Some("day") { 86400.0 } else { 3600.0 });
            let above = 2.0 - number(inputs, "d");
            let ra_u2 = (above / (0.123 * h)).ln() * (above / (0.0123 * h)).ln() / (0.41 * 0.41);
            let derived = [("Cn", seconds * 0.622 / (1.01 * 0.287 * ra_u2)), ("Cd", number(inputs, "rs") / ra_u2)];
            for (key, value) in derived {
                let loose = case.get("looser_tol").and_then(|t| t.get(key)).map_or(number(&case["tol"], key), |t| t.as_float().unwrap());
                assert!((value - number(expect, key)).abs() <= loose, "{id} {key}: {value} from resistances, from memory {expect}");
            }
            seen += 1;
        }
        assert_eq!(seen, 5);
    }

    #[test]
    fn refusals_name_the_field() {
        assert_eq!(
            reference_hourly(&HourlyInput { solar_mj_m2: 600.0, ..NOON }).unwrap_err().to_string(),
            "solar_mj_m2 is 600 MJ/m2: solar radiation of an hour must be from 0 to 5.5 MJ/m2. Give MJ per m2 in the hour; 1 W/m2 is 0.0036."
        );
        assert!(reference_hourly(&HourlyInput { longitude_deg: 90.0, ..NOON }).unwrap_err().to_string().contains("off the clock"));
    }
}
