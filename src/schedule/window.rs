//! When work may be done: working windows by weekday, less the hours that wind or heat close.

use super::moment::{Clock, DAY_MIN, Moment};
use crate::error::{Error, Result};
use crate::words::{same, words};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// Days of the week, one bit each, Monday first. Reads `every day`, `Mon-Fri`, `Mon, Wed, Sat`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Weekdays(u8);

const NAMES: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
const EVERY_DAY: u8 = 0b111_1111;

impl Weekdays {
    /// All seven.
    pub const EVERY_DAY: Weekdays = Weekdays(EVERY_DAY);

    /// Is this day one of them?
    pub fn contains(self, date: crate::date::Date) -> bool {
        NAMES.iter().position(|n| *n == date.weekday()).is_some_and(|day| self.0 & (1 << day) != 0)
    }
}

impl Default for Weekdays {
    fn default() -> Self {
        Self::EVERY_DAY
    }
}

impl FromStr for Weekdays {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let refuse = |why: &str| Error::unreadable("days", text, why, "Write \"every day\", \"Mon-Fri\" or \"Mon, Wed, Sat\".");
        if same(text, "every day") || same(text, "daily") {
            return Ok(Self::EVERY_DAY);
        }
        let day = |name: &str| {
            let name = name.trim().to_ascii_lowercase();
            let known = NAMES.iter().position(|n| name.len() >= 3 && name.is_ascii() && name.starts_with(&n.to_ascii_lowercase()));
            known.ok_or_else(|| refuse("it names a day that is none"))
        };
        let mut bits = 0;
        for part in text.split(',') {
            let (first, last) = part.split_once(['-', '–']).map_or_else(|| day(part).map(|d| (d, d)), |(a, b)| Ok((day(a)?, day(b)?)))?;
            let count = (last + 7 - first) % 7;
            for step in 0..=count {
                bits |= 1 << ((first + step) % 7);
            }
        }
        Ok(Self(bits))
    }
}

impl TryFrom<String> for Weekdays {
    type Error = Error;
    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Weekdays> for String {
    fn from(days: Weekdays) -> Self {
        days.to_string()
    }
}

impl fmt::Display for Weekdays {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0 == EVERY_DAY {
            return f.write_str("every day");
        }
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for day in (0..7).filter(|d| self.0 & (1 << d) != 0) {
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == day => *last = day,
                _ => runs.push((day, day)),
            }
        }
        let name = |day: usize| NAMES.get(day).copied().unwrap_or("");
        let parts: Vec<String> =
            runs.into_iter().map(|(a, b)| if a == b { name(a).into() } else { format!("{}-{}", name(a), name(b)) }).collect();
        f.write_str(&parts.join(", "))
    }
}

words! {
    /// Whether a window is worked without asking.
    #[derive(Default)]
    pub enum Use: "use of a window" {
        /// Every time it opens.
        #[default]
        Always = "always",
        /// Only where the week cannot be done otherwise, such as at night.
        IfNeeded = "if_needed",
    }
}

/// A working window: the pump may run and hoses may be moved. `to` at or before `from` is on the next day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Window {
    /// Days on which it opens.
    #[serde(default)]
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub days: Weekdays,
    /// Time that it opens.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Clock,
    /// Time that it closes.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub to: Clock,
    /// Always, or only if needed.
    #[serde(default)]
    pub when: Use,
}

impl Window {
    /// Open every day between two times.
    ///
    /// # Errors
    /// A time that is none.
    pub fn daily(from: &str, to: &str) -> Result<Self> {
        Ok(Self { days: Weekdays::EVERY_DAY, from: from.parse()?, to: to.parse()?, when: Use::Always })
    }

    /// Minutes that it is open.
    pub fn length_min(&self) -> i64 {
        let (from, to) = (self.from.minutes(), self.to.minutes());
        if to > from { to - from } else { to + DAY_MIN - from }
    }

    /// Does it open at all?
    ///
    /// # Errors
    /// No day, or no minute.
    pub fn check(&self) -> Result<()> {
        if self.days.0 == 0 || self.from == self.to || self.from.minutes() == DAY_MIN {
            let what = format!("the working window {} from {} to {} never opens", self.days, self.from, self.to);
            return Err(Error::inconsistent(what, "Give a day and two times, such as from 5:00 to 11:00; 0:00 to 24:00 is the whole day."));
        }
        Ok(())
    }
}

impl fmt::Display for Window {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} to {}", self.days, self.from.words(), self.to.words())
    }
}

/// Hours in which no work is done, whatever the windows say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Closed {
    /// First closed minute.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Moment,
    /// First minute that is open again.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub to: Moment,
    /// Why.
    pub why: String,
}

/// Working windows and what closes them.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Windows {
    /// The windows; they may overlap.
    pub windows: Vec<Window>,
    /// Hours in which nothing is done.
    #[serde(default)]
    pub closed: Vec<Closed>,
}

impl Windows {
    /// These windows, nothing closed.
    pub fn new(windows: Vec<Window>) -> Self {
        Self { windows, closed: Vec::new() }
    }

    /// The same with the windows that are kept for need, or with `None` left of them.
    #[must_use]
    pub fn with_needed(&self) -> Self {
        let windows = self.windows.iter().map(|w| Window { when: Use::Always, ..*w }).collect();
        Self { windows, closed: self.closed.clone() }
    }

    /// Are some windows kept for need?
    pub fn has_needed(&self) -> bool {
        self.windows.iter().any(|w| w.when == Use::IfNeeded)
    }

    /// The same with one more window.
    #[must_use]
    pub fn with(&self, window: Window) -> Self {
        let mut more = self.clone();
        more.windows.push(window);
        more
    }

    /// Spans that are open from `now` on, over so many days; overlaps joined.
    ///
    /// # Errors
    /// No window, or one that never opens; a closed span that ends before it begins.
    pub fn open(&self, now: Moment, days: u32) -> Result<Vec<(Moment, Moment)>> {
        let origin = Moment::midnight(now.date());
        let spans = self.spans(now, days)?;
        Ok(spans.into_iter().map(|(a, b)| (origin.plus_min(a), origin.plus_min(b))).collect())
    }

    /// As [`Windows::open`], in minutes from the midnight before `now`.
    pub(super) fn spans(&self, now: Moment, days: u32) -> Result<Vec<(i64, i64)>> {
        let problems = self.windows.iter().filter_map(|w| w.check().err()).chain(self.closed.iter().filter_map(|c| c.check().err()));
        if let Some(error) = Error::several(problems.collect()) {
            return Err(error);
        }
        if !self.windows.iter().any(|w| w.when == Use::Always) {
            return Err(Error::missing("windows", "Give at least one working window, such as every day from 6:00 to 20:00."));
        }
        let origin = Moment::midnight(now.date());
        let first = i64::from(now.minute());
        let mut spans = Vec::new();
        // the window of the night before may still be open
        for day in -1..i64::from(days) {
            let date = origin.plus_min(day * DAY_MIN).date();
            for window in self.windows.iter().filter(|w| w.when == Use::Always && w.days.contains(date)) {
                let from = day * DAY_MIN + window.from.minutes();
                spans.push((from.max(first), from + window.length_min()));
            }
        }
        spans.retain(|(from, to)| from < to);
        spans.sort_unstable();
        let mut joined: Vec<(i64, i64)> = Vec::new();
        for (from, to) in spans {
            match joined.last_mut() {
                Some((_, end)) if *end >= from => *end = (*end).max(to),
                _ => joined.push((from, to)),
            }
        }
        for closed in &self.closed {
            let (from, to) = (closed.from.minutes_since(origin), closed.to.minutes_since(origin));
            joined = joined.into_iter().flat_map(|(a, b)| [(a, b.min(from)), (a.max(to), b)]).filter(|(a, b)| a < b).collect();
        }
        Ok(joined)
    }
}

impl Closed {
    fn check(&self) -> Result<()> {
        if self.from < self.to {
            return Ok(());
        }
        Err(Error::inconsistent(format!("a closed span runs from {} to {}", self.from, self.to), "Give the earlier time first."))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(windows: &Windows, now: &str, days: u32) -> Vec<String> {
        let spans = windows.open(now.parse().unwrap(), days).unwrap();
        spans.into_iter().map(|(a, b)| format!("{} to {}", a.words(), b.words())).collect()
    }

    #[test]
    fn weekdays_as_people_write_them() {
        let shown = |text: &str| text.parse::<Weekdays>().map(|d| d.to_string()).map_err(|e| e.to_string());
        assert_eq!(shown("Mon-Fri"), Ok("Mon-Fri".into()));
        assert_eq!(shown("saturday, Sun, tue"), Ok("Tue, Sat-Sun".into()));
        assert_eq!(shown("Fri-Mon"), Ok("Mon, Fri-Sun".into()));
        assert_eq!(shown("Every day"), Ok("every day".into()));
        assert_eq!(
            shown("Mo"),
            Err("cannot read days \"Mo\": it names a day that is none. Write \"every day\", \"Mon-Fri\" or \"Mon, Wed, Sat\".".into())
        );
    }

    #[test]
    fn windows_join_cross_midnight_and_are_closed_by_wind() {
        let mut windows = Windows::new(vec![Window::daily("20:00", "2:00").unwrap(), Window::daily("5:00", "9:00").unwrap()]);
        assert_eq!(
            open(&windows, "2026-07-14 01:00", 1),
            ["Tue 1:00 am to Tue 2:00 am", "Tue 5:00 am to Tue 9:00 am", "Tue 8:00 pm to Wed 2:00 am"]
        );
        windows.closed.push(Closed {
            from: "2026-07-14 07:00".parse().unwrap(),
            to: "2026-07-14 08:00".parse().unwrap(),
            why: "wind".into(),
        });
        windows = windows.with(Window::daily("8:30", "12:00").unwrap());
        assert_eq!(
            open(&windows, "2026-07-14 03:00", 1),
            ["Tue 5:00 am to Tue 7:00 am", "Tue 8:00 am to Tue noon", "Tue 8:00 pm to Wed 2:00 am"]
        );
    }

    #[test]
    fn a_window_that_never_opens_is_refused() {
        let never = Windows::new(vec![Window::daily("6:00", "6:00").unwrap()]);
        assert_eq!(
            never.open("2026-07-14".parse().unwrap(), 7).unwrap_err().to_string(),
            "the working window every day from 06:00 to 06:00 never opens. Give a day and two times, such as from 5:00 to 11:00; 0:00 to 24:00 is the whole day."
        );
        let only_nights = Windows::new(vec![Window { when: Use::IfNeeded, ..Window::daily("20:00", "2:00").unwrap() }]);
        assert!(only_nights.open("2026-07-14".parse().unwrap(), 7).unwrap_err().is_missing());
    }
}
