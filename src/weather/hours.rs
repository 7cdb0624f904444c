//! Hour records to day records: extremes, means and sums of 24 hours, and reference evapotranspiration hour by hour if asked.

use super::problems::{check_span, collected};
use super::quantity::DayColumns;
use super::report::{self, Fault, Why};
use super::site::Site;
use super::{Quantity, Weather, hourly_reference};
use crate::air;
use crate::bounds::{self, Bound};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::et::HourlyForm;
use crate::words::words;

words! {
    /// Which end of the hour its time names.
    pub enum Stamp: "side of the hour" {
        /// The hour begins at the time given: 0 to 23.
        Start = "start",
        /// The hour ends at the time given: 1 to 24, where 0 is the last hour of the day before.
        End = "end",
    }
}

/// Hour records as columns. An empty column was not measured; NaN is a missing value. Times are local standard time.
#[derive(Debug, Clone, Default)]
pub struct HourColumns {
    /// The day of each record, in any order.
    pub dates: Vec<Date>,
    /// The hour that its time names, 0 to 24.
    pub hours: Vec<u32>,
    /// Mean air temperature, degrees Celsius.
    pub t_c: Vec<f64>,
    /// Dew point, degrees Celsius.
    pub dew_c: Vec<f64>,
    /// Actual vapor pressure, kPa.
    pub vapor_pressure_kpa: Vec<f64>,
    /// Relative humidity, percent.
    pub rh_pct: Vec<f64>,
    /// Wind speed at the sensor's height, m/s.
    pub wind_m_s: Vec<f64>,
    /// Solar radiation of the hour, MJ/m2; 1 W/m2 is 0.0036.
    pub solar_mj_m2: Vec<f64>,
    /// Rain of the hour, mm.
    pub rain_mm: Vec<f64>,
    /// Height of the wind sensor, m, where the records say it.
    pub wind_height_m: Option<f64>,
    /// Is the hour a forecast? Empty for none.
    pub forecast: Vec<bool>,
}

impl HourColumns {
    /// The same with times that name the beginning of each hour.
    ///
    /// # Errors
    /// Columns of different length, an hour outside 0 to 24, an hour given twice, no hour.
    pub fn by_start(self, stamp: Stamp) -> Result<Self> {
        self.by_start_at(stamp, |row| format!("row {}", row + 1))
    }

    pub(super) fn by_start_at(mut self, stamp: Stamp, place: impl Fn(usize) -> String) -> Result<Self> {
        slots(&self, stamp, place)?;
        let back = i64::from(stamp == Stamp::End);
        for (date, hour) in self.dates.iter_mut().zip(&mut self.hours) {
            let start = i64::from(*hour) - back;
            *date = *date + i32::try_from(start.div_euclid(24)).unwrap_or(0);
            *hour = u32::try_from(start.rem_euclid(24)).unwrap_or(0);
        }
        Ok(self)
    }
}

/// How hours become days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HourOptions {
    /// Which end of the hour its time names.
    pub stamp: Stamp,
    /// Hours that a day must have for its extremes and means, 1 to 24. Sums (rain, radiation) always need all 24.
    pub least_hours: u32,
    /// Sum reference evapotranspiration hour by hour in this form into `eto_mm`;
    /// [`crate::weather::Reference::Given`] then uses it.
    pub reference: Option<HourlyForm>,
}

impl Default for HourOptions {
    fn default() -> Self {
        Self { stamp: Stamp::Start, least_hours: 24, reference: None }
    }
}

/// Hours from the first day's midnight on, without a break; NaN where there is none.
pub(super) struct Hours {
    pub first: Date,
    pub t_c: Vec<f64>,
    pub vapor_pressure_kpa: Vec<f64>,
    pub rh_pct: Vec<f64>,
    pub wind_m_s: Vec<f64>,
    pub solar_mj_m2: Vec<f64>,
    pub rain_mm: Vec<f64>,
    pub wind_height_m: Option<f64>,
}

const DAY: usize = 24;

impl Weather {
    /// Day records from hour records: lowest and highest temperature, mean vapor pressure and wind, lowest and highest relative
    /// humidity, sums of radiation and rain.
    ///
    /// A day with too few hours of a quantity has no value of it, and [`Weather::faults`] says so; so for impossible hours.
    ///
    /// # Errors
    /// No record, columns of different length, an hour outside 0 to 24, an hour given twice; with `options.reference`, a site
    /// without longitude or offset from UTC.
    pub fn from_hours(columns: HourColumns, site: &Site, options: &HourOptions) -> Result<Self> {
        Self::from_hour_rows(columns, site, options, |row| format!("row {}", row + 1))
    }

    pub(super) fn from_hour_rows(
        columns: HourColumns,
        site: &Site,
        options: &HourOptions,
        place: impl Fn(usize) -> String,
    ) -> Result<Self> {
        let least = options.least_hours;
        if !(1..=24).contains(&least) {
            return Err(Error::inconsistent(format!("least_hours is {least}"), "Give 1 to 24 hours."));
        }
        let slots = slots(&columns, options.stamp, place)?;
        let mut faults = Vec::new();
        let hours = Hours::new(&columns, &slots, &mut faults)?;
        let days = hours.t_c.len() / DAY;
        let mut day = DayColumns { dates: (0..).map(|d| hours.first + d).take(days).collect(), ..DayColumns::default() };
        day.wind_height_m = columns.wind_height_m;
        let mut gather = |what: Quantity, values: &[f64], needed: u32, of: fn(&[f64]) -> f64| {
            *day.get_mut(what) = by_day(what, values, needed, of, hours.first, &mut faults);
        };
        let lowest = |v: &[f64]| v.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = |v: &[f64]| v.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum = |v: &[f64]| v.iter().sum::<f64>();
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
        gather(Quantity::Tmin, &hours.t_c, least, lowest);
        gather(Quantity::Tmax, &hours.t_c, least, highest);
        gather(Quantity::VaporPressure, &hours.vapor_pressure_kpa, least, mean);
        gather(Quantity::RhMin, &hours.rh_pct, least, lowest);
        gather(Quantity::RhMax, &hours.rh_pct, least, highest);
        gather(Quantity::Wind, &hours.wind_m_s, least, mean);
        gather(Quantity::Solar, &hours.solar_mj_m2, 24, sum);
        gather(Quantity::Rain, &hours.rain_mm, 24, sum);
        let mut notes = Vec::new();
        if let Some(form) = options.reference {
            day.eto_mm = hourly_reference::sums(&hours, site, form, &mut notes)?;
        }
        day.forecast = vec![false; days];
        for (slot, _) in slots.hours.iter().zip(&columns.forecast).filter(|(_, forecast)| **forecast) {
            if let Some(forecast) = day.forecast.get_mut(slot / DAY) {
                *forecast = true;
            }
        }
        let mut weather = Self::from_rows(day, |row| format!("day {}", row + 1))?;
        for (recorded, hours) in weather.recorded.iter_mut().zip(slots.taken.chunks(DAY)) {
            *recorded = hours.iter().any(|taken| *taken);
        }
        weather.faults.extend(faults);
        report::sort(&mut weather.faults);
        weather.notes = notes;
        Ok(weather)
    }
}

/// Where each record goes, counted in hours from the first day's midnight.
struct Slots {
    first: Date,
    hours: Vec<usize>,
    taken: Vec<bool>,
}

fn slots(columns: &HourColumns, stamp: Stamp, place: impl Fn(usize) -> String) -> Result<Slots> {
    let rows = columns.dates.len();
    let lengths = [
        ("hours", columns.hours.len()),
        ("t_c", columns.t_c.len()),
        ("dew_c", columns.dew_c.len()),
        ("vapor_pressure_kpa", columns.vapor_pressure_kpa.len()),
        ("rh_pct", columns.rh_pct.len()),
        ("wind_m_s", columns.wind_m_s.len()),
        ("solar_mj_m2", columns.solar_mj_m2.len()),
        ("rain_mm", columns.rain_mm.len()),
        ("forecast", columns.forecast.len()),
    ];
    let short = |(name, length): (&str, usize)| {
        let hint = "Give one value for each date, NaN where it is missing.";
        Error::inconsistent(format!("column {name} has {length} values and dates has {rows}"), hint)
    };
    let wrong = lengths.into_iter().filter(|&(name, length)| length != rows && (length != 0 || name == "hours")).map(short);
    if let Some(error) = collected(wrong.collect()) {
        return Err(error);
    }

    let mut problems = Vec::new();
    let mut starts = Vec::with_capacity(rows);
    for (row, (date, &hour)) in columns.dates.iter().zip(&columns.hours).enumerate() {
        let day = i64::from(date.epoch_day()) * 24;
        match stamp {
            _ if hour > 24 => problems.push(bounds::HOUR.refuse(f64::from(hour)).at(place(row))),
            Stamp::Start => starts.push((day + i64::from(hour), row)),
            Stamp::End => starts.push((day + i64::from(hour) - 1, row)),
        }
    }
    let mut order = starts.clone();
    order.sort_unstable();
    for pair in order.windows(2) {
        if let [(a, i), (b, j)] = pair
            && a == b
        {
            let date = columns.dates.get(*i).map(ToString::to_string).unwrap_or_default();
            let hour = columns.hours.get(*i).copied().unwrap_or(0);
            problems.push(Error::inconsistent(
                format!("{date} {hour:02}:00 is given twice, in {} and {}", place(*i), place(*j)),
                "Keep one record for each hour, in local standard time without daylight saving.",
            ));
        }
    }
    if let Some(error) = collected(problems) {
        return Err(error);
    }
    let (Some((first, _)), Some((last, _))) = (order.first(), order.last()) else {
        return Err(Error::missing("any weather record", "Give one row for each hour, with at least t_c and rain_mm."));
    };
    let (first_day, last_day) = (first.div_euclid(24), last.div_euclid(24));
    let from_midnight = |start: i64| usize::try_from(start - first_day * 24).unwrap_or(usize::MAX);
    let date = |day: i64| Date::from_epoch_day(i32::try_from(day).unwrap_or(i32::MAX));
    let first = date(first_day)?;
    let length = check_span(first, date(last_day)?, order.len().div_ceil(DAY))? * DAY;
    let hours: Vec<usize> = starts.iter().map(|(start, _)| from_midnight(*start)).collect();
    let mut taken = vec![false; length];
    for &hour in &hours {
        if let Some(slot) = taken.get_mut(hour) {
            *slot = true;
        }
    }
    Ok(Slots { first, hours, taken })
}

impl Hours {
    fn new(columns: &HourColumns, slots: &Slots, faults: &mut Vec<Fault>) -> Result<Self> {
        let mut spread = |bound: Bound, values: &[f64]| {
            let mut hours = vec![f64::NAN; slots.taken.len()];
            for (&slot, &value) in slots.hours.iter().zip(values) {
                if bound.contains(value) {
                    if let Some(hour) = hours.get_mut(slot) {
                        *hour = value;
                    }
                } else if !value.is_nan() {
                    let when = (slots.first + i32::try_from(slot / DAY).unwrap_or(i32::MAX), u32::try_from(slot % DAY).ok());
                    faults.push(Fault::new(when, &bound, Some(value), Why::OutOfRange { min: bound.min, max: bound.max }));
                }
            }
            hours
        };
        let t_c = spread(bounds::T_C, &columns.t_c);
        let dew_c = spread(bounds::DEW_C, &columns.dew_c);
        let mut vapor_pressure_kpa = spread(bounds::VAPOR_PRESSURE_KPA, &columns.vapor_pressure_kpa);
        let mut rh_pct = spread(bounds::RH_PCT, &columns.rh_pct);
        for (((&t_c, &dew_c), e_a), rh_pct) in t_c.iter().zip(&dew_c).zip(&mut vapor_pressure_kpa).zip(&mut rh_pct) {
            if e_a.is_nan() && !dew_c.is_nan() {
                *e_a = air::saturation_vapor_pressure(dew_c)?;
            }
            if t_c.is_nan() {
                continue;
            }
            let e_s = air::saturation_vapor_pressure(t_c)?;
            match (e_a.is_nan(), rh_pct.is_nan()) {
                (true, false) => *e_a = *rh_pct / 100.0 * e_s, // Eq. 54
                (false, true) => *rh_pct = (*e_a / e_s * 100.0).min(100.0),
                _ => {}
            }
        }
        Ok(Self {
            first: slots.first,
            vapor_pressure_kpa,
            rh_pct,
            wind_m_s: spread(bounds::WIND_M_S, &columns.wind_m_s),
            solar_mj_m2: spread(bounds::SOLAR_MJ_M2_H, &columns.solar_mj_m2),
            rain_mm: spread(bounds::RAIN_MM, &columns.rain_mm),
            wind_height_m: columns.wind_height_m,
            t_c,
        })
    }
}

/// One value for each day of 24 hours; a column without any hour stays empty.
fn by_day(what: Quantity, hours: &[f64], needed: u32, of: fn(&[f64]) -> f64, first: Date, faults: &mut Vec<Fault>) -> Vec<f64> {
    if hours.iter().all(|v| v.is_nan()) {
        return Vec::new();
    }
    let mut known = Vec::with_capacity(DAY);
    let mut days = Vec::with_capacity(hours.len() / DAY);
    for (date, hours) in (0..).map(|day| first + day).zip(hours.chunks(DAY)) {
        known.clear();
        known.extend(hours.iter().copied().filter(|v| !v.is_nan()));
        let count = u32::try_from(known.len()).unwrap_or(0);
        days.push(if count >= needed { of(&known) } else { f64::NAN });
        if (1..needed).contains(&count) {
            faults.push(Fault::new((date, None), &what.bound(), None, Why::TooFewHours { hours: count, needed }));
        }
    }
    days
}
