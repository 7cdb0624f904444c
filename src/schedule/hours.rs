//! Hours that wind or heat close, from hour records of a forecast.

use super::moment::Moment;
use super::window::Closed;
use crate::bounds;
use crate::error::{Error, Result};
use crate::weather::HourColumns;

/// Above what no set runs: wind at the sensor's height, m/s, and air temperature, deg C; `None` for no limit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HourLimits {
    /// Wind speed, m/s.
    pub wind_m_s: Option<f64>,
    /// Air temperature, deg C.
    pub t_c: Option<f64>,
}

/// The hours above a limit, joined where they follow on each other; `hours` name the beginning of each hour. A missing
/// value closes nothing.
///
/// # Errors
/// A limit out of range; columns of different length; an hour that is none.
///
/// ```
/// use dibble::schedule::{HourLimits, closed_hours};
/// use dibble::weather::HourColumns;
/// let hours = HourColumns {
///     dates: vec!["2026-07-14".parse()?; 4],
///     hours: vec![9, 10, 11, 12],
///     wind_m_s: vec![2.0, 5.0, 6.0, 3.0],
///     ..HourColumns::default()
/// };
/// let closed = closed_hours(&hours, HourLimits { wind_m_s: Some(4.5), t_c: None })?;
/// assert_eq!(closed.iter().map(|c| format!("{} to {}: {}", c.from, c.to, c.why)).collect::<Vec<_>>(), ["2026-07-14 10:00 to 2026-07-14 12:00: wind"]);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn closed_hours(hours: &HourColumns, limits: HourLimits) -> Result<Vec<Closed>> {
    bounds::WIND_M_S.check_option(limits.wind_m_s)?;
    bounds::T_C.check_option(limits.t_c)?;
    let n = hours.dates.len();
    let fits = |column: &Vec<f64>| column.is_empty() || column.len() == n;
    if hours.hours.len() != n || !fits(&hours.wind_m_s) || !fits(&hours.t_c) {
        return Err(Error::inconsistent(
            format!("hour columns differ in length from the {n} dates"),
            "Give every column the same length, or leave it empty.",
        ));
    }
    let above = |column: &[f64], row: usize, limit: Option<f64>| limit.is_some_and(|l| column.get(row).is_some_and(|v| *v > l));
    let mut found: Vec<Closed> = Vec::new();
    for (row, (date, hour)) in hours.dates.iter().zip(&hours.hours).enumerate() {
        let why = match (above(&hours.wind_m_s, row, limits.wind_m_s), above(&hours.t_c, row, limits.t_c)) {
            (true, true) => "wind and heat",
            (true, false) => "wind",
            (false, true) => "heat",
            (false, false) => continue,
        };
        let from = Moment::midnight(*date).plus_min(60 * i64::from(bounds::HOUR.check(f64::from(*hour)).map(|_| *hour)?));
        found.push(Closed { from, to: from.plus_min(60), why: why.into() });
    }
    found.sort_by_key(|c| c.from);
    let mut joined: Vec<Closed> = Vec::new();
    for closed in found {
        match joined.last_mut() {
            Some(last) if last.to == closed.from && last.why == closed.why => last.to = closed.to,
            _ => joined.push(closed),
        }
    }
    Ok(joined)
}
