//! What was found wrong or missing in the records, and what stood in for it.

use super::Weather;
use super::quantity::Quantity;
use crate::assumption::Assumed;
use crate::bounds::Bound;
use crate::date::Date;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Why a value was set aside.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Why {
    /// Outside the permitted range, which is given.
    OutOfRange {
        /// Smallest permitted value.
        min: f64,
        /// Largest permitted value.
        max: f64,
    },
    /// The day's lowest temperature lies above its highest: neither is used.
    TminAboveTmax,
    /// The dew point lies above the day's highest temperature.
    DewAboveTmax,
    /// The vapor pressure lies above saturation at the day's highest temperature.
    Supersaturated,
    /// The lowest relative humidity lies above the highest: neither is used.
    RhMinAboveRhMax,
    /// More radiation than a clear sky lets through.
    AboveClearSky {
        /// Clear-sky radiation, MJ/m2.
        clear_sky_mj_m2: f64,
    },
    /// Hardly any radiation although the sun stood in the sky.
    Dark {
        /// Radiation outside the atmosphere, MJ/m2.
        outside_mj_m2: f64,
    },
    /// More sunshine than daylight.
    AboveDaylight {
        /// Length of the day, h.
        daylight_h: f64,
    },
    /// The same value for so many days that the sensor must be stuck.
    Stuck {
        /// Length of the run, days.
        days: usize,
    },
    /// Too few hour records for the day.
    TooFewHours {
        /// Hours with a value.
        hours: u32,
        /// Hours needed.
        needed: u32,
    },
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Why::OutOfRange { min, max } => write!(f, "possible are {min} to {max}"),
            Why::TminAboveTmax => write!(f, "the lowest temperature is above the highest"),
            Why::DewAboveTmax => write!(f, "the dew point is above the highest temperature"),
            Why::Supersaturated => write!(f, "it is above saturation at the highest temperature"),
            Why::RhMinAboveRhMax => write!(f, "the lowest humidity is above the highest"),
            Why::AboveClearSky { clear_sky_mj_m2 } => write!(f, "a clear sky gives {clear_sky_mj_m2:.1}"),
            Why::Dark { outside_mj_m2 } => write!(f, "too dark for a day with {outside_mj_m2:.1} above the clouds"),
            Why::AboveDaylight { daylight_h } => write!(f, "the day is {daylight_h:.1} h long"),
            Why::Stuck { days } => write!(f, "the same value on {days} days in a row, so the sensor is stuck"),
            Why::TooFewHours { hours, needed } => write!(f, "only {hours} of the {needed} hours needed"),
        }
    }
}

/// One value that was set aside: it counts as missing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fault {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// The hour of the day that the record starts at, for hour records.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hour: Option<u32>,
    /// The quantity: the name of its column, like `tmin_c`.
    pub what: String,
    /// The value in the column's unit; `None` if it was infinite, or if there is no single value.
    pub value: Option<f64>,
    /// Unit of the value.
    pub unit: String,
    /// Why it is not used.
    pub why: Why,
}

impl Fault {
    /// A value of a day or hour that is not used.
    pub(super) fn new(when: (Date, Option<u32>), bound: &Bound, value: Option<f64>, why: Why) -> Self {
        let value = value.filter(|v| v.is_finite());
        Self { date: when.0, hour: when.1, what: bound.name.into(), value, unit: bound.unit.into(), why }
    }

    /// Is it the day's value of this quantity?
    pub(super) fn is_of(&self, what: Quantity) -> bool {
        self.hour.is_none() && self.what == what.name()
    }
}

/// Puts faults in the order of time.
pub(super) fn sort(faults: &mut [Fault]) {
    let place = |name: &str| Quantity::ALL.iter().position(|q| q.name() == name);
    faults.sort_by_cached_key(|f| (f.date, f.hour, place(&f.what)));
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.date)?;
        if let Some(hour) = self.hour {
            write!(f, " {hour:02}:00")?;
        }
        write!(f, " {}", self.what)?;
        match (self.value, self.why) {
            (Some(value), _) => write!(f, " {} {}", tidy(value), self.unit)?,
            (None, Why::OutOfRange { .. }) => write!(f, " not finite")?,
            (None, _) => {}
        }
        write!(f, ": {}", self.why)
    }
}

/// Rounded to six significant digits, so that a converted unit does not print its rounding error.
fn tidy(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}

/// One column of the report.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ColumnGaps {
    /// Which quantity.
    pub what: Quantity,
    /// Days with a usable value.
    pub present: usize,
    /// Days without one, faulty ones not counted.
    pub missing: usize,
    /// Days with a value that was set aside.
    pub faulty: usize,
}

/// What the records hold, what they lack, and what stood in for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GapReport {
    /// Schema of this result.
    pub schema: u32,
    /// First day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub first: Date,
    /// Number of days from the first to the last record.
    pub days: usize,
    /// Days with no record at all.
    pub days_absent: usize,
    /// The columns that were given.
    pub columns: Vec<ColumnGaps>,
    /// Values that were set aside, by date.
    pub faults: Vec<Fault>,
    /// Remarks of the reader: columns not read, units taken for granted.
    pub notes: Vec<String>,
    /// Methods that filled the gaps, each with its number of days; empty until [`crate::weather::Weather::complete`] has run.
    pub filled: Vec<Assumed>,
}

/// Faults that [`GapReport`] prints one by one; the rest is counted.
const FAULTS_SHOWN: usize = 20;

impl fmt::Display for GapReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let last = self.first + i32::try_from(self.days.saturating_sub(1)).unwrap_or(i32::MAX);
        writeln!(f, "{} to {last}, {} days, {} without a record", self.first, self.days, self.days_absent)?;
        writeln!(f, "{:<20} {:>8} {:>8} {:>8}", "column", "present", "missing", "faulty")?;
        for column in &self.columns {
            writeln!(f, "{:<20} {:>8} {:>8} {:>8}", column.what.name(), column.present, column.missing, column.faulty)?;
        }
        if !self.faults.is_empty() {
            writeln!(f, "set aside, counted as missing:")?;
            for fault in self.faults.iter().take(FAULTS_SHOWN) {
                writeln!(f, "  {fault}")?;
            }
            if self.faults.len() > FAULTS_SHOWN {
                writeln!(f, "  and {} more", self.faults.len() - FAULTS_SHOWN)?;
            }
        }
        if !self.filled.is_empty() {
            writeln!(f, "filled:")?;
            for assumed in &self.filled {
                writeln!(f, "  {assumed}")?;
            }
        }
        for note in &self.notes {
            writeln!(f, "note: {note}")?;
        }
        Ok(())
    }
}

/// The report of records before anything is filled.
pub(super) fn of(weather: &Weather) -> GapReport {
    let mut columns: Vec<ColumnGaps> = weather
        .columns
        .measured()
        .map(|what| {
            let present = weather.columns.get(what).iter().filter(|v| !v.is_nan()).count();
            ColumnGaps { what, present, missing: weather.len() - present, faulty: 0 }
        })
        .collect();
    for column in &mut columns {
        // A faulty day of a block's gauge may have the station's value, so the count stays within the missing days.
        let set_aside = weather.faults.iter().filter(|f| f.is_of(column.what)).count();
        column.faulty = set_aside.min(column.missing);
        column.missing -= column.faulty;
    }
    GapReport {
        schema: 1,
        first: weather.first(),
        days: weather.len(),
        days_absent: weather.recorded.iter().filter(|recorded| !**recorded).count(),
        columns,
        faults: weather.faults.clone(),
        notes: weather.notes.clone(),
        filled: Vec::new(),
    }
}
