//! Weather records: read, checked, and made complete for the water ledger.
//!
//! [`Weather`] holds what was measured, day by day without a break. A value that cannot be true is set aside, counts as missing
//! and is listed ([`Weather::gap_report`]). [`Weather::complete`] fills what the published methods can fill, says so for each
//! day, and refuses what nobody can know: rain.

mod cells;
mod check;
mod csv;
mod daily;
mod daily_json;
mod dates;
mod fill;
mod gaps;
mod header;
mod hourly_reference;
mod hours;
mod hours_csv;
mod json;
mod named;
mod problems;
mod quantity;
mod report;
mod site;
mod table;
mod unit;

pub use self::csv::CsvOptions;
pub use daily::Daily;
pub use gaps::{DayGap, Gaps, RainGap, Reference};
pub use hours::{HourColumns, HourOptions, Stamp};
pub use named::heading_means;
pub use quantity::{DayColumns, Quantity};
pub use report::{ColumnGaps, Fault, GapReport, Why};
pub use site::Site;

use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use problems::collected;
use serde::{Deserialize, Serialize};

/// Checked day records from the first to the last day, without a break. A missing value is NaN.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "json::Written", into = "json::Written")]
pub struct Weather {
    first: Date,
    columns: DayColumns,
    /// Has this day a record?
    recorded: Vec<bool>,
    /// Did the block's own gauge give this day's rain? Empty without one.
    gauged: Vec<bool>,
    faults: Vec<Fault>,
    notes: Vec<String>,
}

impl Weather {
    /// Records from columns. Days may come in any order and may be absent; absent ones become days without a record. Values that
    /// cannot be true are set aside and listed as [`Weather::faults`].
    ///
    /// # Errors
    /// No record, columns of different length, a day that is given twice.
    pub fn from_columns(columns: DayColumns) -> Result<Self> {
        columns.check_lengths()?;
        Self::from_rows(columns, |row| format!("row {}", row + 1))
    }

    /// As [`Weather::from_columns`]; `place` names a row in messages.
    fn from_rows(given: DayColumns, place: impl Fn(usize) -> String) -> Result<Self> {
        let mut order: Vec<(Date, usize)> = given.dates.iter().copied().zip(0..).collect();
        order.sort_unstable();
        let (Some(&(first, _)), Some(&(last, _))) = (order.first(), order.last()) else {
            return Err(Error::missing("any weather record", "Give one row for each day, with at least tmin_c, tmax_c and rain_mm."));
        };
        let twice = order.windows(2).filter_map(|pair| match pair {
            [(a, i), (b, j)] if a == b => Some(Error::inconsistent(
                format!("{a} is given twice, in {} and {}", place(*i), place(*j)),
                "Keep one record for each day.",
            )),
            _ => None,
        });
        if let Some(error) = collected(twice.collect()) {
            return Err(error);
        }

        let days = problems::check_span(first, last, order.len())?;
        let slot = |date: Date| usize::try_from(date - first).unwrap_or(usize::MAX);
        let mut columns = DayColumns { dates: (0..).map(|d| first + d).take(days).collect(), ..DayColumns::default() };
        columns.wind_height_m = bounds::WIND_HEIGHT_M.check_option(given.wind_height_m)?;
        columns.forecast = spread(&given.dates, &given.forecast, &slot, vec![false; days]);
        for what in given.measured() {
            *columns.get_mut(what) = spread(&given.dates, given.get(what), &slot, vec![f64::NAN; days]);
        }
        let recorded = spread(&given.dates, &vec![true; given.dates.len()], &slot, vec![false; days]);
        let mut faults = Vec::new();
        check::values(&mut columns, &mut faults)?;
        report::sort(&mut faults);
        Ok(Self { first, columns, recorded, gauged: Vec::new(), faults, notes: Vec::new() })
    }

    /// The same records with days from `date` on marked as forecast.
    #[must_use]
    pub fn with_forecast_from(mut self, date: Date) -> Self {
        for (day, forecast) in self.columns.dates.iter().zip(&mut self.columns.forecast) {
            *forecast |= *day >= date;
        }
        self
    }

    /// The same records with one more remark of whoever read them.
    #[must_use]
    pub fn with_note(mut self, note: impl Into<String>) -> Self {
        self.notes.push(note.into());
        self
    }

    /// The same records with the rain of a block's own gauge over the station's. NaN is a day that was not read; there, and
    /// outside the gauge's days, the station's rain stays, and [`Weather::complete`] says so.
    ///
    /// # Errors
    /// Different lengths, a day given twice, or a day outside the records.
    pub fn with_block_rain(mut self, dates: &[Date], rain_mm: &[f64]) -> Result<Self> {
        let gauge = DayColumns { dates: dates.to_vec(), rain_mm: rain_mm.to_vec(), ..DayColumns::default() };
        if rain_mm.is_empty() {
            return Err(Error::missing("rain_mm of the block's gauge", "Give one value for each date, NaN where it was not read."));
        }
        let gauge = Self::from_columns(gauge).map_err(|e| e.at("block's rain gauge"))?;
        let outside: Vec<Date> = dates.iter().copied().filter(|&d| d < self.first() || d > self.last()).collect();
        if !outside.is_empty() {
            return Err(Error::inconsistent(
                format!(
                    "the block's rain gauge was read {} outside the weather records ({} to {})",
                    problems::on_days(&outside),
                    self.first(),
                    self.last()
                ),
                "Give weather for these days, or leave them out.",
            ));
        }
        if self.columns.rain_mm.is_empty() {
            self.columns.rain_mm = vec![f64::NAN; self.len()];
        }
        self.gauged = vec![false; self.len()];
        let offset = usize::try_from(gauge.first() - self.first()).unwrap_or(0);
        let rows = self.columns.rain_mm.iter_mut().zip(&mut self.gauged).skip(offset);
        for ((rain, gauged), &read) in rows.zip(&gauge.columns.rain_mm) {
            if !read.is_nan() {
                *rain = read;
                *gauged = true;
            }
        }
        self.faults.extend(gauge.faults);
        report::sort(&mut self.faults);
        Ok(self)
    }

    /// The first day.
    pub fn first(&self) -> Date {
        self.first
    }
    /// The last day.
    pub fn last(&self) -> Date {
        self.columns.dates.last().copied().unwrap_or(self.first)
    }
    /// The first day that is a forecast.
    pub fn first_forecast(&self) -> Option<Date> {
        let days = self.columns.dates.iter().zip(&self.columns.forecast);
        days.filter(|(_, forecast)| **forecast).map(|(date, _)| *date).next()
    }
    /// Days from the first to the last.
    pub fn len(&self) -> usize {
        self.columns.dates.len()
    }
    /// Never true: records hold at least one day.
    pub fn is_empty(&self) -> bool {
        self.columns.dates.is_empty()
    }
    /// The checked columns, one value for each day from the first to the last; NaN is missing.
    pub fn columns(&self) -> &DayColumns {
        &self.columns
    }
    /// Values that were set aside, by date.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }
    /// Remarks of the reader: columns that were not read, units taken for granted.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// What the records hold and lack, before anything is filled.
    pub fn gap_report(&self) -> GapReport {
        report::of(self)
    }
}

/// Puts each row's value into the slot of its day.
fn spread<T: Copy>(dates: &[Date], values: &[T], slot: &impl Fn(Date) -> usize, mut into: Vec<T>) -> Vec<T> {
    for (&date, &value) in dates.iter().zip(values) {
        if let Some(place) = into.get_mut(slot(date)) {
            *place = value;
        }
    }
    into
}
