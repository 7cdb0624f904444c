//! Filling gaps by the published methods: FAO Irrigation and Drainage Paper 56, pp. 58-64.
//!
//! Every filled number leaves a flag on its day. Rain, and a day without any data, are filled only as the caller says.

use super::gaps::{DayGap, Gaps, RainGap, Reference};
use super::problems::on_days;
use super::quantity::{DayColumns, Quantity};
use super::{Daily, Fault, Site, Weather, check, report};
use crate::assumption::{Assumption, Flags};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::{air, et, sun};

/// Wind where none is measured, m/s: the mean of over 2000 stations (FAO-56 p. 63).
const WIND_DEFAULT_M_S: f64 = 2.0;
/// Lower limit of wind in the reference equation, m/s (FAO-56 p. 63).
const WIND_FLOOR_M_S: f64 = 0.5;
/// Height of the wind sensor where it is not given, m.
const WIND_HEIGHT_M: f64 = 10.0;
/// How far the dew point lies below the lowest temperature in an arid place (FAO-56 p. 58: 2 to 3 degrees).
const ARID_OFFSET_C: f64 = 2.0;
/// Days on each side whose mean may stand in for missing rain.
const RAIN_WINDOW_DAYS: usize = 15;

impl Weather {
    /// Complete forcing for the ledger: the records with gaps filled as `gaps` says, and reference evapotranspiration of short
    /// grass for each day.
    ///
    /// Vapor pressure, wind and radiation are filled by the methods of FAO-56 pp. 58-64, temperatures interpolated over short
    /// gaps; [`Daily::assumptions`] lists what was used on how many days.
    ///
    /// # Errors
    /// A day without rain data or without any data (unless `gaps` says how), temperature missing for longer than
    /// `gaps.temperature_gap_days` or at an end. All of these are reported together, with their days.
    ///
    /// # Source
    /// FAO-56 (Allen et al. 1998), Eq. 6, 14, 17-19, 35, 47, 48, 50, 52; its Example 18 gives 3.88 mm.
    ///
    /// ```
    /// use dibble::weather::{CsvOptions, Gaps, Site, Weather};
    /// let text = "date,Tmax (C),Tmin (C),RH max (%),RH min (%),wind at 10 m (km/h),sunshine (h),rain (mm)\n\
    ///     1998-07-06,21.5,12.3,84,63,10,9.25,0\n";
    /// let weather = Weather::parse_csv(text, &CsvOptions::default())?;
    /// let daily = weather.complete(&Site::new(50.8, 100.0)?, &Gaps::default())?;
    /// assert_eq!(format!("{:.2}", daily.eto_mm()[0]), "3.88");
    /// assert_eq!(daily.assumptions()[0].to_string(),
    ///     "solar radiation estimated from hours of sunshine: 0.25 + 0.50 n/N on 1 day (FAO-56 Eq. 35)");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn complete(&self, site: &Site, gaps: &Gaps) -> Result<Daily> {
        let mut checked = self.clone();
        check::sky(&mut checked.columns, &mut checked.faults, site)?;
        report::sort(&mut checked.faults);
        let columns = &checked.columns;

        let mut filling = Filling { columns, faults: &checked.faults, site, flags: vec![Flags::NONE; self.len()], problems: Vec::new() };
        let empty = filling.empty_days(gaps.day);
        let rain_mm = filling.rain(gaps, &empty);
        let tmin_c = filling.temperature(Quantity::Tmin, gaps, &empty);
        let tmax_c = filling.temperature(Quantity::Tmax, gaps, &empty);
        if let Some(error) = Error::several(std::mem::take(&mut filling.problems)) {
            return Err(error);
        }
        // Where only one of the two was interpolated it may cross the measured one.
        let tmin_c: Vec<f64> = tmin_c.iter().zip(&tmax_c).map(|(a, b)| a.min(*b)).collect();
        for (flags, &gauged) in filling.flags.iter_mut().zip(&self.gauged) {
            if !gauged {
                flags.insert(Assumption::StationRain);
            }
        }

        let mut daily = Daily {
            site: *site,
            first: self.first(),
            vapor_pressure_kpa: Vec::with_capacity(self.len()),
            rh_min_pct: Vec::with_capacity(self.len()),
            wind_2m_m_s: Vec::with_capacity(self.len()),
            solar_mj_m2: Vec::with_capacity(self.len()),
            eto_mm: Vec::with_capacity(self.len()),
            tmin_c,
            tmax_c,
            rain_mm,
            forecast: columns.forecast.clone(),
            flags: Vec::new(),
            report: report::of(&checked),
        };
        for (day, (&tmin_c, &tmax_c)) in daily.tmin_c.iter().zip(&daily.tmax_c).enumerate() {
            let e_a = filling.vapor_pressure(day, tmin_c, tmax_c)?;
            let rh_min_pct = match columns.value(Quantity::RhMin, day) {
                Some(measured) => measured,
                None => (100.0 * e_a / air::saturation_vapor_pressure(tmax_c)?).min(100.0), // Eq. 63
            };
            let weather = et::DailyInput {
                tmin_c,
                tmax_c,
                vapor_pressure_kpa: e_a,
                wind_2m_m_s: filling.wind(day)?,
                solar_mj_m2: filling.solar(day, tmin_c, tmax_c)?,
                latitude_deg: site.latitude_deg(),
                elevation_m: site.elevation_m(),
                day_of_year: filling.day_of_year(day),
                surface: et::Surface::Short,
            };
            daily.vapor_pressure_kpa.push(e_a);
            daily.rh_min_pct.push(rh_min_pct);
            daily.wind_2m_m_s.push(weather.wind_2m_m_s);
            daily.solar_mj_m2.push(weather.solar_mj_m2);
            daily.eto_mm.push(filling.reference(day, &weather, gaps.reference)?);
        }
        daily.flags = filling.flags;
        daily.report.filled = daily.assumptions();
        Ok(daily)
    }
}

/// Height of the wind sensor, m: the records' own, the site's, or as usual.
fn height_m(of_records: Option<f64>, site: &Site) -> f64 {
    of_records.or(site.wind_height_m()).unwrap_or(WIND_HEIGHT_M)
}

/// Wind at 2 m for the reference equation, m/s.
pub(super) fn wind_at_2m(measured_m_s: f64, height_of_records_m: Option<f64>, site: &Site) -> Result<f64> {
    Ok(air::wind_at_2m(measured_m_s, height_m(height_of_records_m, site))?.max(WIND_FLOOR_M_S))
}

/// Rs/Rso of a night whose evening is not known: the middle of 0.4 to 0.6 in humid, of 0.7 to 0.8 in arid climates (FAO-56 p. 75).
pub(super) fn typical_night_ratio(site: &Site) -> f64 {
    if site.arid() { 0.75 } else { 0.5 }
}

struct Filling<'a> {
    columns: &'a DayColumns,
    faults: &'a [Fault],
    site: &'a Site,
    flags: Vec<Flags>,
    problems: Vec<Error>,
}

impl Filling<'_> {
    fn flag(&mut self, day: usize, assumption: Assumption) {
        if let Some(flags) = self.flags.get_mut(day) {
            flags.insert(assumption);
        }
    }

    fn days(&self) -> std::ops::Range<usize> {
        0..self.columns.dates.len()
    }

    /// "on 2 days (...)" for the days that fulfil a condition, or `None`.
    fn told(&self, which: impl Fn(usize) -> bool) -> Option<String> {
        let dates = self.dates(which);
        (!dates.is_empty()).then(|| on_days(&dates))
    }

    fn dates(&self, which: impl Fn(usize) -> bool) -> Vec<Date> {
        self.columns.dates.iter().enumerate().filter(|(day, _)| which(*day)).map(|(_, date)| *date).collect()
    }

    /// The error for days without a value of a quantity; the first value that was set aside is shown.
    fn missing(&mut self, what: Quantity, which: impl Fn(usize) -> bool, hint: &str) {
        let dates = self.dates(which);
        if dates.is_empty() {
            return;
        }
        let mut set_aside = self.faults.iter().filter(|f| f.is_of(what) && dates.binary_search(&f.date).is_ok());
        let shown = set_aside.next().map_or(String::new(), |first| match set_aside.count() {
            0 => format!("One value was set aside ({first}). "),
            more => format!("{} values were set aside (the first: {first}). ", more + 1),
        });
        self.problems.push(Error::missing(format!("{what} {}", on_days(&dates)), format!("{shown}{hint}")));
    }

    /// Days without any usable value.
    fn empty_days(&mut self, rule: DayGap) -> Vec<bool> {
        let empty: Vec<bool> = self.days().map(|day| self.columns.measured().all(|q| self.columns.value(q, day).is_none())).collect();
        match rule {
            DayGap::Fill => (0..).zip(&empty).filter(|(_, empty)| **empty).for_each(|(day, _)| self.flag(day, Assumption::DayFilled)),
            DayGap::Refuse => {
                let told = self.told(|day| empty.get(day) == Some(&true));
                self.problems.extend(told.map(|days| {
                    Error::missing(
                        format!("weather {days}"),
                        "Give these days, or fill them: gaps \"zero\" takes missing rain as none, \"mean\" as the mean around it.",
                    )
                }));
            }
        }
        empty
    }

    /// Days that an error about whole days names already are not named again.
    fn named_before(gaps: &Gaps, empty: &[bool], day: usize) -> bool {
        gaps.day == DayGap::Refuse && empty.get(day) == Some(&true)
    }

    fn rain(&mut self, gaps: &Gaps, empty: &[bool]) -> Vec<f64> {
        let measured: Vec<Option<f64>> = self.days().map(|day| self.columns.value(Quantity::Rain, day)).collect();
        let mut unknown = vec![false; measured.len()];
        let mut rain_mm = Vec::with_capacity(measured.len());
        for (day, value) in measured.iter().enumerate() {
            let filled = value.or_else(|| match gaps.rain {
                RainGap::Refuse => None,
                RainGap::Zero => {
                    self.flag(day, Assumption::RainGapZero);
                    Some(0.0)
                }
                RainGap::Mean => {
                    self.flag(day, Assumption::RainGapMean);
                    let window = day.saturating_sub(RAIN_WINDOW_DAYS)..(day + RAIN_WINDOW_DAYS + 1).min(measured.len());
                    let near: Vec<f64> = measured.get(window).unwrap_or_default().iter().copied().flatten().collect();
                    (!near.is_empty()).then(|| near.iter().sum::<f64>() / near.len() as f64)
                }
            });
            if let (None, Some(unknown)) = (filled, unknown.get_mut(day)) {
                *unknown = !Self::named_before(gaps, empty, day);
            }
            rain_mm.push(filled.unwrap_or(f64::NAN));
        }
        let hint = match gaps.rain {
            RainGap::Mean => "There is no rain data within 15 days from which to take a mean. Give it, or take it as none: gaps \"zero\".",
            _ => "No method knows whether it rained. Give it, or say how to take it: gaps \"zero\" or \"mean\".",
        };
        self.missing(Quantity::Rain, |day| unknown.get(day) == Some(&true), hint);
        rain_mm
    }

    /// Linear between the neighbors over short gaps.
    fn temperature(&mut self, what: Quantity, gaps: &Gaps, empty: &[bool]) -> Vec<f64> {
        let mut values: Vec<f64> = self.days().map(|day| self.columns.value(what, day).unwrap_or(f64::NAN)).collect();
        let mut before: Option<(usize, f64)> = None;
        for day in self.days() {
            let Some(value) = self.columns.value(what, day) else { continue };
            if let Some((from, start)) = before.filter(|(from, _)| day - from > 1 && day - from - 1 <= gaps.temperature_gap_days) {
                for between in from + 1..day {
                    let share = (between - from) as f64 / (day - from) as f64;
                    if let Some(slot) = values.get_mut(between) {
                        *slot = start + share * (value - start);
                    }
                    self.flag(between, Assumption::TemperatureFilled);
                }
            }
            before = Some((day, value));
        }
        let most = gaps.temperature_gap_days;
        let hint = format!("Up to {most} days between two known ones are interpolated. Give the others, or leave them out at an end.");
        self.missing(what, |day| values.get(day).is_some_and(|v| v.is_nan()) && !Self::named_before(gaps, empty, day), &hint);
        values
    }

    /// Actual vapor pressure, kPa, in FAO-56's order of preference (p. 36).
    fn vapor_pressure(&mut self, day: usize, tmin_c: f64, tmax_c: f64) -> Result<f64> {
        let value = |what| self.columns.value(what, day);
        if let Some(e_a) = value(Quantity::VaporPressure) {
            return Ok(e_a);
        }
        if let Some(dew_c) = value(Quantity::Dew) {
            return air::saturation_vapor_pressure(dew_c);
        }
        let e_min = air::saturation_vapor_pressure(tmin_c)?;
        let e_max = air::saturation_vapor_pressure(tmax_c)?;
        match (value(Quantity::RhMax), value(Quantity::RhMin), value(Quantity::RhMean)) {
            (Some(rh_max), Some(rh_min), _) => Ok((e_min * rh_max + e_max * rh_min) / 200.0), // Eq. 17
            (Some(rh_max), None, _) => {
                self.flag(day, Assumption::HumidityFromMax);
                Ok(e_min * rh_max / 100.0) // Eq. 18
            }
            (None, _, Some(rh_mean)) => {
                self.flag(day, Assumption::HumidityFromMean);
                Ok(rh_mean / 100.0 * (e_min + e_max) / 2.0) // Eq. 19
            }
            _ if self.site.arid() => {
                self.flag(day, Assumption::DewFromTminArid);
                air::saturation_vapor_pressure((tmin_c - ARID_OFFSET_C).max(-90.0))
            }
            _ => {
                self.flag(day, Assumption::DewFromTmin);
                Ok(e_min)
            }
        }
    }

    /// Wind at 2 m, m/s.
    fn wind(&mut self, day: usize) -> Result<f64> {
        let Some(measured) = self.columns.value(Quantity::Wind, day) else {
            self.flag(day, Assumption::WindDefault);
            return Ok(WIND_DEFAULT_M_S);
        };
        if self.columns.wind_height_m.or(self.site.wind_height_m()).is_none() {
            self.flag(day, Assumption::WindHeight);
        }
        let wind = air::wind_at_2m(measured, height_m(self.columns.wind_height_m, self.site))?;
        if wind < WIND_FLOOR_M_S {
            self.flag(day, Assumption::WindFloor);
        }
        Ok(wind.max(WIND_FLOOR_M_S))
    }

    /// Solar radiation, MJ/m2: measured, else from sunshine, else from the temperature range.
    fn solar(&mut self, day: usize, tmin_c: f64, tmax_c: f64) -> Result<f64> {
        if let Some(measured) = self.columns.value(Quantity::Solar, day) {
            return Ok(measured);
        }
        let day_of_year = self.day_of_year(day);
        let (latitude_deg, elevation_m) = (self.site.latitude_deg(), self.site.elevation_m());
        if let Some(sunshine_h) = self.columns.value(Quantity::Sunshine, day) {
            self.flag(day, Assumption::SolarFromSun);
            return sun::solar_from_sunshine(sunshine_h, latitude_deg, day_of_year);
        }
        self.flag(day, Assumption::SolarFromRange);
        let k_rs = if self.site.coastal() { sun::K_RS_COASTAL } else { sun::K_RS_INTERIOR };
        let estimate = sun::solar_from_range(&sun::RangeDay { tmin_c, tmax_c, latitude_deg, elevation_m, day_of_year, k_rs })?;
        let outside = sun::extraterrestrial_radiation(latitude_deg, day_of_year)?;
        if estimate > 0.0 && estimate >= sun::clear_sky_radiation(outside, elevation_m)? {
            self.flag(day, Assumption::SolarCapped);
        }
        Ok(estimate)
    }

    fn day_of_year(&self, day: usize) -> f64 {
        self.columns.dates.get(day).map_or(1.0, |date| f64::from(date.day_of_year()))
    }

    /// Reference evapotranspiration, mm, never below zero.
    fn reference(&mut self, day: usize, weather: &et::DailyInput, reference: Reference) -> Result<f64> {
        let eto_mm = match (reference, self.columns.value(Quantity::Eto, day)) {
            (Reference::Given, Some(given)) => {
                self.flag(day, Assumption::EtoGiven);
                given
            }
            (Reference::Temperature, _) => {
                self.flag(day, Assumption::TemperatureOnly);
                et::reference_from_temperature(weather.tmin_c, weather.tmax_c, weather.latitude_deg, weather.day_of_year)?
            }
            _ => et::reference_daily(weather)?,
        };
        if eto_mm < 0.0 {
            self.flag(day, Assumption::EtoFloor);
        }
        Ok(eto_mm.max(0.0))
    }
}
