//! Complete daily forcing: every day has every number, and says what was taken for granted.

use super::daily_json::Written;
use super::report::GapReport;
use super::site::Site;
use crate::assumption::{Assumed, Assumption, Flags, count_days};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// What the ledger runs on, made by [`crate::weather::Weather::complete`]. No value is missing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "Written", into = "Written")]
pub struct Daily {
    pub(crate) site: Site,
    pub(crate) first: Date,
    pub(crate) tmin_c: Vec<f64>,
    pub(crate) tmax_c: Vec<f64>,
    pub(crate) vapor_pressure_kpa: Vec<f64>,
    pub(crate) rh_min_pct: Vec<f64>,
    pub(crate) wind_2m_m_s: Vec<f64>,
    pub(crate) solar_mj_m2: Vec<f64>,
    pub(crate) rain_mm: Vec<f64>,
    pub(crate) eto_mm: Vec<f64>,
    pub(crate) forecast: Vec<bool>,
    pub(crate) flags: Vec<Flags>,
    pub(crate) report: GapReport,
}

impl Daily {
    /// The place.
    pub fn site(&self) -> &Site {
        &self.site
    }
    /// The first day.
    pub fn first(&self) -> Date {
        self.first
    }
    /// The last day.
    pub fn last(&self) -> Date {
        self.date(self.len().saturating_sub(1))
    }
    /// Number of days.
    pub fn len(&self) -> usize {
        self.tmin_c.len()
    }
    /// Never true.
    pub fn is_empty(&self) -> bool {
        self.tmin_c.is_empty()
    }
    /// The date of day `index`, counted from 0.
    pub fn date(&self, index: usize) -> Date {
        self.first + i32::try_from(index).unwrap_or(i32::MAX)
    }
    /// The index of a date, if it lies within.
    pub fn index_of(&self, date: Date) -> Option<usize> {
        usize::try_from(date - self.first).ok().filter(|&i| i < self.len())
    }
    /// Lowest air temperature, degrees Celsius.
    pub fn tmin_c(&self) -> &[f64] {
        &self.tmin_c
    }
    /// Highest air temperature, degrees Celsius.
    pub fn tmax_c(&self) -> &[f64] {
        &self.tmax_c
    }
    /// Actual vapor pressure, kPa.
    pub fn vapor_pressure_kpa(&self) -> &[f64] {
        &self.vapor_pressure_kpa
    }
    /// Lowest relative humidity, percent: measured, or from vapor pressure and highest temperature (FAO-56 Eq. 63).
    pub fn rh_min_pct(&self) -> &[f64] {
        &self.rh_min_pct
    }
    /// Wind speed at 2 m, m/s, at least 0.5.
    pub fn wind_2m_m_s(&self) -> &[f64] {
        &self.wind_2m_m_s
    }
    /// Solar radiation, MJ/m2.
    pub fn solar_mj_m2(&self) -> &[f64] {
        &self.solar_mj_m2
    }
    /// Rain, mm.
    pub fn rain_mm(&self) -> &[f64] {
        &self.rain_mm
    }
    /// Reference evapotranspiration of short grass, mm.
    pub fn eto_mm(&self) -> &[f64] {
        &self.eto_mm
    }
    /// Is the day a forecast?
    pub fn forecast(&self) -> &[bool] {
        &self.forecast
    }
    /// What was taken for granted, day by day.
    pub fn flags(&self) -> &[Flags] {
        &self.flags
    }
    /// What the records held, lacked, and what stood in for it.
    pub fn gap_report(&self) -> &GapReport {
        &self.report
    }

    /// What was taken for granted, each with its number of days.
    pub fn assumptions(&self) -> Vec<Assumed> {
        let coefficient = if self.site.coastal() { "kRs 0.19, coastal" } else { "kRs 0.16, interior" };
        count_days(&self.flags)
            .into_iter()
            .map(|row| {
                if row.key == Assumption::SolarFromRange.key() {
                    Assumed { value: coefficient.into(), unit: String::new(), amounts: Vec::new(), ..row }
                } else {
                    row
                }
            })
            .collect()
    }

    /// The days from `from` to `to`, both included.
    ///
    /// # Errors
    /// `from` after `to`, or a day outside.
    pub fn between(&self, from: Date, to: Date) -> Result<Daily> {
        let outside = || {
            Error::inconsistent(
                format!("{from} to {to} is not within the weather, {} to {}", self.first, self.last()),
                "Give weather for these days, or other days.",
            )
        };
        let (a, b) = self.index_of(from).zip(self.index_of(to)).filter(|(a, b)| a <= b).ok_or_else(outside)?;
        let cut = |v: &Vec<f64>| v.get(a..=b).unwrap_or_default().to_vec();
        Ok(Daily {
            site: self.site,
            first: from,
            tmin_c: cut(&self.tmin_c),
            tmax_c: cut(&self.tmax_c),
            vapor_pressure_kpa: cut(&self.vapor_pressure_kpa),
            rh_min_pct: cut(&self.rh_min_pct),
            wind_2m_m_s: cut(&self.wind_2m_m_s),
            solar_mj_m2: cut(&self.solar_mj_m2),
            rain_mm: cut(&self.rain_mm),
            eto_mm: cut(&self.eto_mm),
            forecast: self.forecast.get(a..=b).unwrap_or_default().to_vec(),
            flags: self.flags.get(a..=b).unwrap_or_default().to_vec(),
            report: self.report.clone(),
        })
    }

    /// With `days` more days after the last, rainless, each with the mean of the last `mean_of` days; they are marked as forecast
    /// and as [`Assumption::ForecastMean`].
    ///
    /// # Errors
    /// `mean_of` is 0 or more than there are days; more than ten years are asked for.
    pub fn extended(mut self, days: usize, mean_of: usize) -> Result<Daily> {
        if mean_of == 0 || mean_of > self.len() || days > 3660 {
            return Err(Error::inconsistent(
                format!("cannot extend the weather of {} days by {days} days with the mean of its last {mean_of}", self.len()),
                "Extend by up to 3660 days, with the mean of at least one day and no more than there are.",
            ));
        }
        let dry = |values: &mut Vec<f64>| values.resize(values.len() + days, 0.0);
        let mean = |values: &mut Vec<f64>| {
            let tail = values.get(values.len() - mean_of..).unwrap_or_default();
            let mean = tail.iter().sum::<f64>() / mean_of as f64;
            values.resize(values.len() + days, mean);
        };
        [
            &mut self.tmin_c,
            &mut self.tmax_c,
            &mut self.vapor_pressure_kpa,
            &mut self.rh_min_pct,
            &mut self.wind_2m_m_s,
            &mut self.solar_mj_m2,
            &mut self.eto_mm,
        ]
        .into_iter()
        .for_each(mean);
        dry(&mut self.rain_mm);
        let mut assumed = Flags::NONE;
        assumed.insert(Assumption::ForecastMean);
        self.forecast.resize(self.rain_mm.len(), true);
        self.flags.resize(self.rain_mm.len(), assumed);
        Ok(self)
    }

    /// The same weather with another rain on one day, mm: "what if it rains".
    ///
    /// # Errors
    /// A day outside the weather, or an impossible rain.
    pub fn with_rain(mut self, date: Date, rain_mm: f64) -> Result<Daily> {
        let rain_mm = bounds::RAIN_MM.check(rain_mm)?;
        let (first, last) = (self.first, self.last());
        let slot = self.index_of(date).and_then(|i| self.rain_mm.get_mut(i)).ok_or_else(|| {
            Error::inconsistent(format!("{date} is not within the weather, {first} to {last}"), "Give a day of the weather.")
        })?;
        *slot = rain_mm;
        Ok(self)
    }
}
