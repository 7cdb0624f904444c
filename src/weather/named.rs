//! Columns by their heading, for callers who have a table of their own (a dataframe).

use super::header::{self, Meaning};
use super::hours::HourColumns;
use super::quantity::{DayColumns, Quantity};
use super::unit::Span;
use crate::error::{Error, Result};
use crate::units::System;

/// What a heading means to the weather reader: `date`, `time`, `forecast`, `t_c` or the name of a [`Quantity`]; `None` for
/// one that is not read.
///
/// ```
/// use dibble::weather::heading_means;
/// assert_eq!(heading_means("Max temp (F)"), Some("tmax_c"));
/// assert_eq!(heading_means("wind direction"), None);
/// ```
pub fn heading_means(heading: &str) -> Option<&'static str> {
    Some(match header::read(heading)?.meaning {
        Meaning::Date => "date",
        Meaning::Time => "time",
        Meaning::Forecast => "forecast",
        Meaning::Air => "t_c",
        Meaning::Day(quantity) => quantity.name(),
    })
}

fn put(column: &mut Vec<f64>, heading: &str, values: Vec<f64>) -> Result<()> {
    if !column.is_empty() {
        return Err(Error::inconsistent(
            format!("column \"{heading}\" means the same as one before"),
            "Keep one of them, or rename the other.",
        ));
    }
    *column = values;
    Ok(())
}

impl DayColumns {
    /// Takes a column by its heading, converted from the unit that the heading names, else from that of `units`. Returns
    /// whether it is one that is read: dates, times and forecast marks are not numbers and are left to the caller.
    ///
    /// ```
    /// use dibble::weather::DayColumns;
    /// let mut columns = DayColumns::default();
    /// assert!(columns.insert("rain (in)", vec![0.5, f64::NAN], None)?);
    /// assert_eq!(columns.rain_mm[0], 12.7);
    /// assert!(!columns.insert("wind direction", vec![180.0, 90.0], None)?);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    ///
    /// # Errors
    /// No unit, an unknown one, or a second column of the same meaning.
    pub fn insert(&mut self, heading: &str, mut values: Vec<f64>, units: Option<System>) -> Result<bool> {
        let Some(read) = header::read(heading) else { return Ok(false) };
        let Meaning::Day(quantity) = read.meaning else { return Ok(false) };
        quantity.to_own_unit(heading, read.unit.as_deref(), units, Span::Day, &mut values)?;
        put(self.get_mut(quantity), heading, values)?;
        if quantity == Quantity::Wind {
            self.wind_height_m = read.height_m;
        }
        Ok(true)
    }
}

impl HourColumns {
    /// Takes a column by its heading, as [`DayColumns::insert`] does for days.
    ///
    /// # Errors
    /// No unit, an unknown one, or a second column of the same meaning.
    pub fn insert(&mut self, heading: &str, mut values: Vec<f64>, units: Option<System>) -> Result<bool> {
        let Some(read) = header::read(heading) else { return Ok(false) };
        let quantity = match read.meaning {
            Meaning::Air => Quantity::Tmin,
            Meaning::Day(quantity) => quantity,
            _ => return Ok(false),
        };
        let column = match (read.meaning, quantity) {
            (Meaning::Air, _) => &mut self.t_c,
            (_, Quantity::Dew) => &mut self.dew_c,
            (_, Quantity::VaporPressure) => &mut self.vapor_pressure_kpa,
            (_, Quantity::RhMean) => &mut self.rh_pct,
            (_, Quantity::Wind) => &mut self.wind_m_s,
            (_, Quantity::Solar) => &mut self.solar_mj_m2,
            (_, Quantity::Rain) => &mut self.rain_mm,
            _ => return Ok(false),
        };
        quantity.to_own_unit(heading, read.unit.as_deref(), units, Span::Hour, &mut values)?;
        put(column, heading, values)?;
        if quantity == Quantity::Wind {
            self.wind_height_m = read.height_m;
        }
        Ok(true)
    }
}
