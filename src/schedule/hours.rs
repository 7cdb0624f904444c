//! Hours that wind or heat close, from hour records of a forecast.

use super::moment::Moment;
use super::window::Closed;
use crate::bounds;
use crate::error::{Error, Result};
use crate::weather::HourColumns;
use serde::{Deserialize, Serialize};

/// Above what no set runs: wind at the sensor's height, m/s, and air temperature, deg C; `None` for no limit.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HourLimits {
    /// Wind speed, m/s.
    pub wind_m_s: Option<f64>,
    /// Air temperature, deg C.
    pub t_c: Option<f64>,
}

/// What the hours of a forecast close.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ClosedHours {
    /// Begin of the first hour.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Moment,
    /// End of the last hour: nothing is known beyond it, and nothing closed.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub to: Moment,
    /// Above what an hour is closed.
    pub limits: HourLimits,
    /// The closed hours, in order; those of one reason that follow on each other are joined.
    pub closed: Vec<Closed>,
}

/// The hours above a limit; `hours` name the beginning of each hour, as [`HourColumns::parse_csv`] has it. A missing value closes
/// nothing.
///
/// # Errors
/// No limit, or one out of range; no hour; columns of different length; an hour that is none; no measurement that the limit is
/// about; a value out of range.
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
/// let found = closed_hours(&hours, HourLimits { wind_m_s: Some(4.5), t_c: None })?;
/// let words: Vec<_> = found.closed.iter().map(|c| format!("{} to {}: {}", c.from, c.to, c.why)).collect();
/// assert_eq!(words, ["2026-07-14 10:00 to 2026-07-14 12:00: wind"]);
/// assert_eq!(found.to.to_string(), "2026-07-14 13:00");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn closed_hours(hours: &HourColumns, limits: HourLimits) -> Result<ClosedHours> {
    bounds::WIND_M_S.check_option(limits.wind_m_s)?;
    bounds::T_C.check_option(limits.t_c)?;
    if limits == HourLimits::default() {
        return Err(Error::missing("a limit", "Give the wind, the heat or both above which no set runs."));
    }
    let n = hours.dates.len();
    let fits = |column: &Vec<f64>| column.is_empty() || column.len() == n;
    if hours.hours.len() != n || !fits(&hours.wind_m_s) || !fits(&hours.t_c) {
        return Err(Error::inconsistent(
            format!("hour columns differ in length from the {n} dates"),
            "Give every column the same length, or leave it empty.",
        ));
    }
    let asked = [("wind", limits.wind_m_s, &hours.wind_m_s), ("temperature", limits.t_c, &hours.t_c)];
    if let Some((what, ..)) = asked.into_iter().find(|(_, limit, column)| limit.is_some() && column.iter().all(|v| v.is_nan())) {
        return Err(Error::missing(format!("the {what} of the hours"), "Give hours that hold it, or leave its limit out."));
    }
    let above = |row: usize, limit: Option<f64>, column: &[f64], bound: &bounds::Bound| -> Result<bool> {
        let (Some(limit), Some(value)) = (limit, column.get(row).filter(|v| !v.is_nan())) else { return Ok(false) };
        Ok(bound.check(*value)? > limit)
    };
    let mut found: Vec<Closed> = Vec::new();
    let (mut first, mut last): (Option<Moment>, Option<Moment>) = (None, None);
    for (row, (date, hour)) in hours.dates.iter().zip(&hours.hours).enumerate() {
        let from = Moment::midnight(*date).plus_min(60 * i64::from(bounds::HOUR.check(f64::from(*hour)).map(|_| *hour)?));
        let to = from.plus_min(60);
        first = Some(first.map_or(from, |f| f.min(from)));
        last = last.max(Some(to));
        let at = |e: Error| e.at(from.to_string());
        let windy = above(row, limits.wind_m_s, &hours.wind_m_s, &bounds::WIND_M_S).map_err(at)?;
        let hot = above(row, limits.t_c, &hours.t_c, &bounds::T_C).map_err(at)?;
        let why = match (windy, hot) {
            (true, true) => "wind and heat",
            (true, false) => "wind",
            (false, true) => "heat",
            (false, false) => continue,
        };
        found.push(Closed { from, to, why: why.into() });
    }
    let (Some(from), Some(to)) = (first, last) else {
        return Err(Error::missing("any hour", "Give one record for each hour of the forecast."));
    };
    found.sort_by_key(|c| c.from);
    let mut closed: Vec<Closed> = Vec::new();
    for one in found {
        match closed.last_mut() {
            Some(last) if last.to == one.from && last.why == one.why => last.to = one.to,
            _ => closed.push(one),
        }
    }
    Ok(ClosedHours { from, to, limits, closed })
}

impl ClosedHours {
    /// What it closes of the working windows within so many days from `now` on; an hour that no window holds closes nothing.
    ///
    /// # Errors
    /// Hours that are over at `now`.
    pub(crate) fn within(&self, open: &[(Moment, Moment)], now: Moment) -> Result<Self> {
        if self.to <= now {
            let what = format!("the hourly forecast ends {}, and the plan begins {now}", self.to);
            return Err(Error::inconsistent(what, "Give hours from that morning on, or leave them out."));
        }
        let part = |c: &Closed| {
            let cut = open.iter().filter(|(from, to)| c.from < *to && *from < c.to);
            cut.map(|(from, to)| Closed { from: c.from.max(*from), to: c.to.min(*to), why: c.why.clone() }).collect::<Vec<_>>()
        };
        Ok(Self { closed: self.closed.iter().flat_map(part).collect(), ..self.clone() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::{CsvOptions, Stamp};

    const BOTH: HourLimits = HourLimits { wind_m_s: Some(5.0), t_c: Some(30.0) };

    fn parsed(text: &str) -> Result<HourColumns> {
        HourColumns::parse_csv(text, &CsvOptions::default(), Stamp::Start)
    }

    fn found(text: &str) -> Result<ClosedHours> {
        parsed(text).and_then(|hours| closed_hours(&hours, BOTH))
    }

    #[test]
    fn hours_that_end_at_their_time_close_from_an_hour_before_and_join_over_midnight() {
        let text = "date,hour ending,temp (C),wind (m/s)\n2026-07-14,24:00,20,6\n2026-07-15,1:00,20,7\n2026-07-15,2:00,,5\n\
                    2026-07-15,13:00,31,2\n2026-07-15,14:00,31,8\n2026-07-15,0:00,20,6\n";
        let error = found(text).map(|_| ()).map_err(|e| e.to_string());
        assert!(error.is_err_and(|e| e.contains("is given twice, in line 2 and line 7")));
        let hours = found(&text.replace("2026-07-15,0:00,20,6\n", "")).unwrap();
        let told: Vec<String> = hours.closed.iter().map(|c| format!("{} to {} {}", c.from, c.to, c.why)).collect();
        assert_eq!(
            told,
            [
                "2026-07-14 23:00 to 2026-07-15 01:00 wind",
                "2026-07-15 12:00 to 2026-07-15 13:00 heat",
                "2026-07-15 13:00 to 2026-07-15 14:00 wind and heat"
            ]
        );
        assert_eq!((hours.from.to_string(), hours.to.to_string()), ("2026-07-14 23:00".into(), "2026-07-15 14:00".into()));
    }

    #[test]
    fn what_says_nothing_about_the_limit_is_refused() {
        let hours = parsed("date,time,wind (m/s)\n2026-07-14,9:00,4\n").unwrap();
        let message = |limits: HourLimits| closed_hours(&hours, limits).unwrap_err().to_string();
        assert_eq!(message(HourLimits::default()), "a limit is missing. Give the wind, the heat or both above which no set runs.");
        assert_eq!(message(BOTH), "the temperature of the hours is missing. Give hours that hold it, or leave its limit out.");
        assert_eq!(
            found("date,time,temp (C),wind (m/s)\n2026-07-14,9:00,20,999\n").unwrap_err().to_string(),
            "2026-07-14 09:00: wind_m_s is 999 m/s: wind speed must be from 0 to 60 m/s. Give meters per second; 1 mph is 0.447 m/s."
        );
    }
}
