//! Calendar days as epoch days (days since 1970-01-01), so that kernels count and files read ISO dates.

use crate::error::{Error, Result};
use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::{Add, Sub};
use std::str::FromStr;

/// A calendar day, 1800-01-01 to 2299-12-31. Ordered, copied, written as `2026-07-14`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Date(i32);

const FIRST: i32 = -62_091; // 1800-01-01
const LAST: i32 = 120_529; // 2299-12-31
const EPOCH_FROM_CE: i32 = 719_163; // day number of 1970-01-01 counted from 0001-01-01
const OUTSIDE: &str = "it lies outside the years 1800 to 2299";

impl Date {
    /// From year, month and day.
    ///
    /// # Errors
    /// No such day, or outside 1800 to 2299.
    pub fn new(year: i32, month: u32, day: u32) -> Result<Self> {
        NaiveDate::from_ymd_opt(year, month, day)
            .map(|d| d.num_days_from_ce() - EPOCH_FROM_CE)
            .and_then(|d| Self::from_epoch_day(d).ok())
            .ok_or_else(|| unreadable(&format!("{year:04}-{month:02}-{day:02}"), "there is no such day between 1800 and 2299"))
    }

    /// From days since 1970-01-01.
    ///
    /// # Errors
    /// Outside 1800 to 2299.
    pub fn from_epoch_day(day: i32) -> Result<Self> {
        if (FIRST..=LAST).contains(&day) { Ok(Self(day)) } else { Err(unreadable(&format!("epoch day {day}"), OUTSIDE)) }
    }

    /// Days since 1970-01-01.
    pub fn epoch_day(self) -> i32 {
        self.0
    }

    fn calendar(self) -> NaiveDate {
        NaiveDate::from_num_days_from_ce_opt(self.0 + EPOCH_FROM_CE).unwrap_or_default()
    }

    /// Year.
    pub fn year(self) -> i32 {
        self.calendar().year()
    }
    /// Month, 1 to 12.
    pub fn month(self) -> u32 {
        self.calendar().month()
    }
    /// Day of the month, 1 to 31.
    pub fn day(self) -> u32 {
        self.calendar().day()
    }
    /// Day of the year, 1 to 366.
    pub fn day_of_year(self) -> u32 {
        self.calendar().ordinal()
    }
    /// "Tue"
    pub fn weekday(self) -> &'static str {
        use chrono::Weekday::{Fri, Mon, Sat, Sun, Thu, Tue, Wed};
        match self.calendar().weekday() {
            Mon => "Mon",
            Tue => "Tue",
            Wed => "Wed",
            Thu => "Thu",
            Fri => "Fri",
            Sat => "Sat",
            Sun => "Sun",
        }
    }
}

fn unreadable(given: &str, why: &str) -> Error {
    Error::unreadable("date", given, why, "Write it as 2026-07-14.")
}

impl FromStr for Date {
    type Err = Error;

    /// Reads `2026-07-14`. A time or a time zone is refused: days here are local standard time.
    fn from_str(text: &str) -> Result<Self> {
        let t = text.trim();
        if t.len() > 10 && t.get(..10).is_some_and(|day| NaiveDate::parse_from_str(day, "%Y-%m-%d").is_ok()) {
            return Err(unreadable(text, "it carries a time or a time zone, and a day here is local standard time"));
        }
        let parsed = if t.len() == 10 { NaiveDate::parse_from_str(t, "%Y-%m-%d").ok() } else { None };
        let day = parsed.ok_or_else(|| unreadable(text, "it is not a day written as year-month-day"))?;
        Self::from_epoch_day(day.num_days_from_ce() - EPOCH_FROM_CE).map_err(|_| unreadable(text, OUTSIDE))
    }
}

impl TryFrom<String> for Date {
    type Error = Error;
    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Date> for String {
    fn from(date: Date) -> Self {
        date.to_string()
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.calendar(), f)
    }
}

/// Days later; stops at the ends of the calendar.
impl Add<i32> for Date {
    type Output = Date;
    fn add(self, days: i32) -> Date {
        Date(self.0.saturating_add(days).clamp(FIRST, LAST))
    }
}

/// Days from the right date to the left one.
impl Sub for Date {
    type Output = i32;
    fn sub(self, other: Date) -> i32 {
        self.0 - other.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_iso_days_and_counts_them() {
        let date: Date = "2026-07-14".parse().unwrap();
        assert_eq!((date.year(), date.month(), date.day(), date.day_of_year()), (2026, 7, 14, 195));
        assert_eq!(date.weekday(), "Tue");
        assert_eq!((date + 20).to_string(), "2026-08-03");
        assert_eq!((date + 20) - date, 20);
        assert_eq!(Date::new(1970, 1, 1).unwrap().epoch_day(), 0);
        assert_eq!(Date::new(1800, 1, 1).unwrap().epoch_day(), FIRST);
        assert_eq!(Date::new(2299, 12, 31).unwrap().epoch_day(), LAST);
    }

    #[test]
    fn refuses_times_zones_and_days_that_do_not_exist() {
        let zone = "2026-07-14T06:00:00+02:00".parse::<Date>().unwrap_err();
        assert_eq!(
            zone.to_string(),
            "cannot read date \"2026-07-14T06:00:00+02:00\": it carries a time or a time zone, and a day here is local standard time. Write it as 2026-07-14."
        );
        assert_eq!(
            "9999-12-31".parse::<Date>().unwrap_err().to_string(),
            "cannot read date \"9999-12-31\": it lies outside the years 1800 to 2299. Write it as 2026-07-14."
        );
        for bad in ["", "2026-02-30", "14.7.2026", "2026-7-14", "+2026-7-1", "20260714", "9999-01-01", "é026-07-14"] {
            assert!(bad.parse::<Date>().is_err(), "{bad}");
        }
    }

    #[test]
    fn json_round_trip() {
        let date = Date::new(2024, 2, 29).unwrap();
        let text = serde_json::to_string(&date).unwrap();
        assert_eq!(text, "\"2024-02-29\"");
        assert_eq!(serde_json::from_str::<Date>(&text).unwrap(), date);
    }
}
