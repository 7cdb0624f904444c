//! The date column: ISO days, or days and months in the one order that fits the whole column.

use crate::date::Date;
use crate::error::{Error, Result};

const WRITE_ISO: &str = "Write dates as 2026-07-14, in local standard time.";

/// A day and the time that may stand behind it.
pub(super) fn split_time(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text.find(|c: char| c == 'T' || c.is_whitespace()).unwrap_or(text.len());
    let (day, rest) = text.split_at(end);
    let digits = day.bytes().filter(u8::is_ascii_digit).count();
    if digits < 3 { (text, "") } else { (day, rest.trim_start_matches('T').trim()) }
}

/// Does a zone stand behind the time: `06:00Z`, `06:00+02:00`, `06:00 CET`?
pub(super) fn has_zone(time: &str) -> bool {
    let half_day = time.to_ascii_lowercase();
    let plain = half_day.trim_end_matches("am").trim_end_matches("pm");
    plain.contains(['+', '-', '−']) || plain.chars().any(char::is_alphabetic)
}

/// Hours since midnight, 0 to 24, out of `6`, `06:00`, `06:00:00` or `6:00 PM`.
pub(super) fn time_h(text: &str) -> Result<f64> {
    let refuse = |why: &str| Error::unreadable("time", text, why, "Write it as 06:00, in local standard time.");
    if has_zone(text) {
        return Err(refuse("it carries a time zone, and times here are local standard time"));
    }
    let lower = text.to_ascii_lowercase();
    let (clock, half_day) = match (lower.strip_suffix("am"), lower.strip_suffix("pm")) {
        (Some(clock), _) => (clock.trim(), Some(0.0)),
        (_, Some(clock)) => (clock.trim(), Some(12.0)),
        _ => (lower.trim(), None),
    };
    let fields: Option<Vec<f64>> = clock.split(':').map(|f| f.parse().ok().filter(|v: &f64| v.is_finite() && *v >= 0.0)).collect();
    let (hours, minutes, seconds) = match fields.unwrap_or_default().as_slice() {
        [h] => (*h, 0.0, 0.0),
        [h, m] => (*h, *m, 0.0),
        [h, m, s] => (*h, *m, *s),
        _ => return Err(refuse("it is not a time of day")),
    };
    let hours = match half_day {
        Some(_) if !(1.0..=12.0).contains(&hours) => return Err(refuse("it is not a time of day")),
        Some(add) => hours % 12.0 + add,
        None => hours,
    };
    let time = hours + minutes / 60.0 + seconds / 3600.0;
    if time > 24.0 || minutes >= 60.0 || seconds >= 61.0 { Err(refuse("it is not a time of day")) } else { Ok(time) }
}

/// A day as it was written, order of day and month still open.
#[derive(Debug, Clone, Copy)]
enum Written {
    Day(Date),
    Either { first: u32, second: u32, year: i32 },
}

fn written(text: &str) -> Result<Written> {
    let refuse = |why: &str| Error::unreadable("date", text, why, WRITE_ISO);
    let number = |field: &str| if field.len() <= 4 && field.bytes().all(|b| b.is_ascii_digit()) { field.parse::<u32>().ok() } else { None };
    if text.len() == 8 && text.bytes().all(|b| b.is_ascii_digit()) {
        let (year, month, day) = (text.get(..4), text.get(4..6), text.get(6..));
        let fields = year.zip(month).zip(day).map(|((y, m), d)| format!("{y}-{m}-{d}"));
        return fields.unwrap_or_default().parse().map(Written::Day).map_err(|_| refuse("there is no such day between 1800 and 2299"));
    }
    let mark = text.chars().find(|c| matches!(c, '-' | '/' | '.'));
    let fields: Vec<&str> = mark.map_or(Vec::new(), |mark| text.split(mark).collect());
    let [a, b, c] = fields.as_slice() else { return Err(refuse("it is not a day, month and year")) };
    let (Some(first), Some(second), Some(third)) = (number(a), number(b), number(c)) else {
        return Err(refuse("it is not a day, month and year"));
    };
    let year = |y: u32| i32::try_from(y).unwrap_or(i32::MAX);
    match (a.len(), c.len()) {
        (4, _) => Date::new(year(first), second, third).map(Written::Day).map_err(|_| refuse("there is no such day between 1800 and 2299")),
        (_, 4) => Ok(Written::Either { first, second, year: year(third) }),
        _ => Err(refuse("the year needs four digits")),
    }
}

/// Reads a column of dates; `place` names a row. `day_first` says the order of day and month where it is known.
///
/// # Errors
/// Dates that cannot be read, each with its row; an order of day and month that the column leaves open or contradicts.
pub(super) fn column(
    texts: &[&str],
    day_first: Option<bool>,
    place: impl Fn(usize) -> String,
) -> std::result::Result<Vec<Date>, Vec<Error>> {
    let mut problems = Vec::new();
    let mut days = Vec::with_capacity(texts.len());
    for (row, text) in texts.iter().enumerate() {
        match written(text.trim()) {
            Ok(day) => days.push(day),
            Err(error) => problems.push(error.at(place(row))),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let open: Vec<(usize, u32, u32)> = (0..)
        .zip(&days)
        .filter_map(|(row, day)| match *day {
            Written::Either { first, second, .. } => Some((row, first, second)),
            Written::Day(_) => None,
        })
        .collect();
    let day_first = match day_first {
        Some(known) => known,
        None => order(&open, texts, &place).map_err(|error| vec![error])?,
    };
    let mut problems = Vec::new();
    let mut dates = Vec::with_capacity(days.len());
    for (row, day) in days.into_iter().enumerate() {
        let date = match day {
            Written::Day(date) => Ok(date),
            Written::Either { first, second, year } if day_first => Date::new(year, second, first),
            Written::Either { first, second, year } => Date::new(year, first, second),
        };
        match date {
            Ok(date) => dates.push(date),
            Err(_) => {
                let order = if day_first {
                    "there is no such day between 1800 and 2299 (read as day, month, year)"
                } else {
                    "there is no such day between 1800 and 2299 (read as month, day, year)"
                };
                problems.push(Error::unreadable("date", texts.get(row).unwrap_or(&""), order, WRITE_ISO).at(place(row)));
            }
        }
    }
    if problems.is_empty() { Ok(dates) } else { Err(problems) }
}

/// Does the day stand first? Only a number above 12 tells, or dates that are the same either way.
fn order(open: &[(usize, u32, u32)], texts: &[&str], place: &impl Fn(usize) -> String) -> Result<bool> {
    let told = |row: usize| format!("\"{}\" in {}", texts.get(row).map_or("", |t| t.trim()), place(row));
    let day_first = open.iter().find(|(_, first, _)| *first > 12);
    let month_first = open.iter().find(|(_, _, second)| *second > 12);
    match (day_first, month_first) {
        (Some((a, ..)), Some((b, ..))) => Err(Error::inconsistent(
            format!("the dates mix two orders: {} has the day first and {} the month", told(*a), told(*b)),
            WRITE_ISO,
        )),
        (Some(_), None) => Ok(true),
        (None, Some(_)) => Ok(false),
        (None, None) => match open.iter().find(|(_, first, second)| first != second) {
            None => Ok(true),
            Some((row, ..)) => Err(Error::inconsistent(
                format!("the dates can be read as day/month or as month/day, for example {}", told(*row)),
                "Write them as 2026-07-14, or say which stands first: in the heading, Date (DD/MM/YYYY), or with the option for the order of dates.",
            )),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(texts: &[&str]) -> std::result::Result<Vec<String>, Vec<Error>> {
        column(texts, None, |row| format!("line {}", row + 2)).map(|dates| dates.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn days_are_read_where_the_whole_column_leaves_one_order() {
        assert_eq!(read(&["2026-07-14", "2026/7/5", "20260706"]).unwrap(), ["2026-07-14", "2026-07-05", "2026-07-06"]);
        assert_eq!(read(&["3/4/2026", "13/4/2026"]).unwrap(), ["2026-04-03", "2026-04-13"]);
        assert_eq!(read(&["3/4/2026", "3/14/2026"]).unwrap(), ["2026-03-04", "2026-03-14"]);
        assert_eq!(read(&["7.7.2026"]).unwrap(), ["2026-07-07"]);
        assert_eq!(column(&["3/4/2026"], Some(false), |_| String::new()).unwrap()[0].month(), 3);
        assert!(read(&["3/4/2026", "4/4/2026"]).is_err() && read(&["3/14/2026", "14/3/2026"]).is_err());
        for bad in ["", "7/1/26", "2026-13-01", "2026-02-30", "1/2", "//", "July", "-1-2-2026", "2026-07-14-1", "١/٢/2026", "é0260706"] {
            assert!(read(&[bad]).is_err(), "{bad}");
        }
    }

    #[test]
    fn times_are_read_and_zones_noticed() {
        for (text, hours) in
            [("0", 0.0), ("06:00", 6.0), ("6:30", 6.5), ("24:00", 24.0), ("12:00 AM", 0.0), ("12:00 pm", 12.0), ("1 PM", 13.0)]
        {
            assert_eq!(time_h(text).unwrap(), hours, "{text}");
        }
        for bad in
            ["", "25", "24:30", "6:60", "6:00Z", "06:00+02:00", "06:00 CET", "0 AM", "13 pm", "a", "1:2:3:4", "nan", "inf", "-1", "1e1"]
        {
            assert!(time_h(bad).is_err(), "{bad}");
        }
        assert!(has_zone("06:00:00-05:00") && has_zone("06:00 UTC") && !has_zone("6:00 PM") && !has_zone("06:00"));
        assert_eq!(split_time("2026-07-14T06:00"), ("2026-07-14", "06:00"));
        assert_eq!(split_time("14 July 2026"), ("14 July 2026", ""));
        assert_eq!(split_time(" 7/14/2026 6:00 PM "), ("7/14/2026", "6:00 PM"));
    }
}
