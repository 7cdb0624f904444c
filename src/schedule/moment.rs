//! Points in time to the minute: local standard time, because working windows are told by the clock on the wall.

use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

pub(crate) const DAY_MIN: i64 = 1440;
const HOUR_MIN: i64 = 60;

/// A minute of a day, local standard time. Written and read as `2026-07-14 05:40`; a day alone is its first minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Moment {
    date: Date,
    minute: i64,
}

impl Moment {
    /// Minute `minute` (0 to 1439) of a day.
    ///
    /// # Errors
    /// A day has no such minute.
    pub fn new(date: Date, minute: u32) -> Result<Self> {
        if i64::from(minute) < DAY_MIN {
            Ok(Self { date, minute: i64::from(minute) })
        } else {
            Err(Error::inconsistent(format!("minute {minute} of a day"), "A day has the minutes 0 to 1439."))
        }
    }

    /// The day's first minute.
    pub fn midnight(date: Date) -> Self {
        Self { date, minute: 0 }
    }

    /// The day.
    pub fn date(self) -> Date {
        self.date
    }

    /// Minute of the day, 0 to 1439.
    pub fn minute(self) -> u32 {
        u32::try_from(self.minute).unwrap_or(0)
    }

    /// So many minutes later, whole ones; stops at the ends of the calendar.
    #[must_use]
    pub fn plus_min(self, minutes: i64) -> Self {
        let all = self.minute.saturating_add(minutes);
        let days = i32::try_from(all.div_euclid(DAY_MIN)).unwrap_or(if all < 0 { i32::MIN } else { i32::MAX });
        Self { date: self.date + days, minute: all.rem_euclid(DAY_MIN) }
    }

    /// Minutes from `earlier` to this moment; negative if it lies before.
    pub fn minutes_since(self, earlier: Moment) -> i64 {
        i64::from(self.date - earlier.date) * DAY_MIN + self.minute - earlier.minute
    }

    /// Hours from `earlier` to this moment.
    pub fn hours_since(self, earlier: Moment) -> f64 {
        self.minutes_since(earlier) as f64 / HOUR_MIN as f64
    }

    /// Time on the clock: `5:40 am`.
    pub fn clock(self) -> String {
        Clock(self.minute).words()
    }

    /// Weekday and time, as a hand would write them: `Tue 5:40 am`.
    pub fn words(self) -> String {
        format!("{} {}", self.date.weekday(), self.clock())
    }

    /// The same with the date, where the weekday alone might be taken for one of the week that begins `today`: `Wed 2026-07-22
    /// 7:53 am`.
    ///
    /// ```
    /// use dibble::schedule::Moment;
    /// let (today, then) = ("2026-07-14".parse()?, "2026-07-22 07:53".parse::<Moment>()?);
    /// assert_eq!((then.words_from(today).as_str(), then.plus_min(-2880).words_from(today).as_str()), ("Wed 2026-07-22 7:53 am", "Mon 7:53 am"));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn words_from(self, today: Date) -> String {
        if self.date - today < 7 { self.words() } else { format!("{} {} {}", self.date.weekday(), self.date, self.clock()) }
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {:02}:{:02}", self.date, self.minute / HOUR_MIN, self.minute % HOUR_MIN)
    }
}

impl FromStr for Moment {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let t = text.trim();
        let Some((day, clock)) = t.split_once([' ', 'T']) else { return Ok(Self::midnight(t.parse()?)) };
        let clock = clock.trim().strip_suffix(":00").filter(|c| c.contains(':')).unwrap_or(clock);
        let Clock(minute) = clock.parse()?;
        Ok(Self::midnight(day.parse()?).plus_min(minute))
    }
}

impl TryFrom<String> for Moment {
    type Error = Error;
    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Moment> for String {
    fn from(moment: Moment) -> Self {
        moment.to_string()
    }
}

/// A time of the day to the minute, `0:00` to `24:00`. Reads `5:40`, `17:00`, `5:40 am`, `5 pm`; writes `05:40`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Clock(i64);

impl Clock {
    /// Hour 0 to 24 and minute 0 to 59.
    ///
    /// # Errors
    /// No such time.
    pub fn new(hour: u32, minute: u32) -> Result<Self> {
        let all = i64::from(hour) * HOUR_MIN + i64::from(minute);
        if minute < 60 && all <= DAY_MIN {
            Ok(Self(all))
        } else {
            Err(unreadable(&format!("{hour}:{minute:02}"), "there is no such time of the day"))
        }
    }

    pub(super) fn minutes(self) -> i64 {
        self.0
    }

    /// `5:40 am`, `noon`, `midnight`.
    pub fn words(self) -> String {
        let (hour, minute) = ((self.0 / HOUR_MIN) % 24, self.0 % HOUR_MIN);
        match (hour, minute) {
            (0, 0) => "midnight".into(),
            (12, 0) => "noon".into(),
            _ => format!("{}:{minute:02} {}", (hour + 11) % 12 + 1, if hour < 12 { "am" } else { "pm" }),
        }
    }
}

fn unreadable(given: &str, why: &str) -> Error {
    Error::unreadable("time", given, why, "Write it as 5:40, 17:00 or 5 pm.")
}

impl FromStr for Clock {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let t = text.trim().to_ascii_lowercase();
        match t.as_str() {
            "noon" => return Self::new(12, 0),
            "midnight" => return Self::new(0, 0),
            _ => {}
        }
        let (digits, half) = match (t.strip_suffix("am"), t.strip_suffix("pm")) {
            (Some(rest), _) => (rest.trim(), Some(0)),
            (_, Some(rest)) => (rest.trim(), Some(12)),
            _ => (t.as_str(), None),
        };
        let (hour, minute) = digits.split_once(':').unwrap_or((digits, "00"));
        let whole = |part: &str, most: usize| -> Result<u32> {
            let clean = (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
            part.parse().ok().filter(|_| clean).ok_or_else(|| unreadable(text, "it is not a time of the day"))
        };
        let (hour, minute) = (whole(hour, 2)?, if minute.len() == 2 { whole(minute, 2)? } else { 60 });
        let hour = match half {
            Some(_) if !(1..=12).contains(&hour) => return Err(unreadable(text, "am and pm go with 1 to 12")),
            Some(half) => hour % 12 + half,
            None => hour,
        };
        Self::new(hour, minute).map_err(|_| unreadable(text, "there is no such time of the day"))
    }
}

impl TryFrom<String> for Clock {
    type Error = Error;
    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Clock> for String {
    fn from(clock: Clock) -> Self {
        clock.to_string()
    }
}

impl fmt::Display for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:02}:{:02}", self.0 / HOUR_MIN, self.0 % HOUR_MIN))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_read_and_written_to_the_minute() {
        let moment: Moment = "2026-07-14 05:40".parse().unwrap();
        assert_eq!((moment.to_string().as_str(), moment.words().as_str()), ("2026-07-14 05:40", "Tue 5:40 am"));
        assert_eq!("2026-07-14T05:40:00".parse::<Moment>().unwrap(), moment);
        assert_eq!("2026-07-14".parse::<Moment>().unwrap().minute(), 0);
        assert_eq!(moment.plus_min(1100).to_string(), "2026-07-15 00:00");
        assert_eq!(moment.plus_min(1100).words(), "Wed midnight");
        assert_eq!(serde_json::to_string(&moment).unwrap(), "\"2026-07-14 05:40\"");
        let before: Moment = "2026-07-13 23:59".parse().unwrap();
        assert_eq!((before.minutes_since(moment), moment.hours_since(before)), (-341, 341.0 / 60.0));
        assert_eq!(before.plus_min(341), moment);
    }

    #[test]
    fn times_of_the_day_as_people_write_them() {
        for (text, minutes) in
            [("5:40", 340), ("05:40 AM", 340), ("5 pm", 1020), ("12 am", 0), ("12:30 pm", 750), ("24:00", 1440), ("noon", 720)]
        {
            assert_eq!(text.parse::<Clock>().unwrap().minutes(), minutes, "{text}");
        }
        for text in ["", "25:00", "5:7", "13 pm", "0 am", "24:01", "5:60", "dawn", "-5:00"] {
            assert!(text.parse::<Clock>().is_err(), "{text}");
        }
        assert_eq!(
            "13 pm".parse::<Clock>().unwrap_err().to_string(),
            "cannot read time \"13 pm\": am and pm go with 1 to 12. Write it as 5:40, 17:00 or 5 pm."
        );
    }
}
