//! Weather as JSON: a missing value is null, and what is read back equals what was written bit for bit.

use super::Weather;
use super::problems::collected;
use super::quantity::{DayColumns, Quantity};
use super::report::Fault;
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

const SCHEMA: u32 = 1;

/// The written form of [`Weather`].
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Written {
    /// Schema of this file.
    schema: u32,
    /// First day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    first: Date,
    /// Number of days.
    days: usize,
    /// One value for each day, null where it is missing, under the name of the quantity.
    columns: BTreeMap<Quantity, Vec<Option<f64>>>,
    /// Days (counted from 0) without any record.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    absent: Vec<usize>,
    /// Days (counted from 0) that are a forecast.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    forecast: Vec<usize>,
    /// Days (counted from 0) whose rain is from the block's own gauge; null without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    gauged: Option<Vec<usize>>,
    /// Height of the wind sensor, m, where the records said it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wind_height_m: Option<f64>,
    /// Values that were set aside.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    faults: Vec<Fault>,
    /// Remarks of the reader.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    notes: Vec<String>,
}

fn where_true(marks: &[bool]) -> Vec<usize> {
    (0..).zip(marks).filter_map(|(day, &mark)| mark.then_some(day)).collect()
}

fn marks(days: usize, which: &[usize], what: &str) -> Result<Vec<bool>> {
    let mut marks = vec![false; days];
    for &day in which {
        let mark = marks.get_mut(day).ok_or_else(|| {
            Error::inconsistent(format!("{what} names day {day} of {days} days"), "Days are counted from 0 at the first.")
        })?;
        *mark = true;
    }
    Ok(marks)
}

impl From<Weather> for Written {
    fn from(weather: Weather) -> Self {
        let absent: Vec<bool> = weather.recorded.iter().map(|r| !r).collect();
        let nullable = |column: &[f64]| column.iter().map(|&v| (!v.is_nan()).then_some(v)).collect();
        Written {
            schema: SCHEMA,
            first: weather.first,
            days: weather.len(),
            columns: weather.columns.measured().map(|q| (q, nullable(weather.columns.get(q)))).collect(),
            absent: where_true(&absent),
            forecast: where_true(&weather.columns.forecast),
            gauged: (!weather.gauged.is_empty()).then(|| where_true(&weather.gauged)),
            wind_height_m: weather.columns.wind_height_m,
            faults: weather.faults,
            notes: weather.notes,
        }
    }
}

impl TryFrom<Written> for Weather {
    type Error = Error;

    fn try_from(written: Written) -> Result<Self> {
        let Written { schema, first, days, columns: read, absent, forecast, gauged, wind_height_m, faults, notes } = written;
        if schema > SCHEMA {
            return Err(Error::inconsistent(
                format!("the weather was written with schema {schema} and this version reads up to {SCHEMA}"),
                "Use a newer version.",
            ));
        }
        let span = Date::from_epoch_day(i32::try_from(days).ok().and_then(|d| first.epoch_day().checked_add(d - 1)).unwrap_or(i32::MAX));
        if days == 0 || span.is_err() {
            return Err(Error::inconsistent(
                format!("{days} days from {first} is not a span of days"),
                "Give at least one day, up to 2299.",
            ));
        }
        let mut columns = DayColumns { dates: (0..).map(|d| first + d).take(days).collect(), ..DayColumns::default() };
        let mut problems = Vec::new();
        for (what, values) in read {
            let values: Vec<f64> = values.into_iter().map(|v| v.unwrap_or(f64::NAN)).collect();
            problems.extend(what.bound().check_slice(&values).err());
            *columns.get_mut(what) = values;
        }
        match bounds::WIND_HEIGHT_M.check_option(wind_height_m) {
            Ok(height) => columns.wind_height_m = height,
            Err(error) => problems.push(error),
        }
        problems.extend(columns.check_lengths().err());
        if let Some(error) = collected(problems) {
            return Err(error);
        }
        columns.forecast = marks(days, &forecast, "forecast")?;
        let recorded = marks(days, &absent, "absent")?.into_iter().map(|absent| !absent).collect();
        let gauged = gauged.map_or(Ok(Vec::new()), |g| marks(days, &g, "gauged"))?;
        Ok(Weather { first, columns, recorded, gauged, faults, notes })
    }
}
