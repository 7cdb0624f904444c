//! Past years put behind the records of this one.

use crate::date::Date;
use crate::error::{Error, Result};
use crate::weather::{DayColumns, Quantity, Site, Weather};

/// The records to yesterday, the first `forecast` days that were foreseen, and from there on the days of a past year, up to
/// `days` days from today on.
pub(super) struct Behind<'w> {
    pub weather: &'w Weather,
    pub history: &'w Weather,
    pub today: Date,
    pub forecast: usize,
    pub days: usize,
}

impl Behind<'_> {
    /// Years of the history whose days reach from today's date on as far as is asked for: complete, and none that lies in the
    /// time to come.
    pub fn years(&self) -> (Vec<i32>, Vec<String>) {
        let (mut years, mut left_out) = (Vec::new(), Vec::new());
        for year in self.history.first().year()..=self.history.last().year() {
            let Some((from, to)) = self.span(year) else { continue };
            let whole = from >= self.history.first() && to <= self.history.last() && self.gaps(from, to) == 0;
            if to >= self.today {
                continue; // that year is still being lived through
            }
            if whole {
                years.push(year);
            } else {
                left_out.push(format!("{year}: its records do not hold every day from {from} to {to}"));
            }
        }
        (years, left_out)
    }

    /// First and last day of the past year that are needed.
    fn span(&self, year: i32) -> Option<(Date, Date)> {
        // February 29th of a year that has none is its 28th
        let day = |d| Date::new(year, self.today.month(), d).ok();
        let start = day(self.today.day()).or_else(|| day(28))?;
        let last = i32::try_from(self.days).ok()? - 1;
        Some((start + i32::try_from(self.forecast).ok()?, start + last))
    }

    /// Days without temperature or rain.
    fn gaps(&self, from: Date, to: Date) -> usize {
        let columns = self.history.columns();
        let slot = |date: Date| usize::try_from(date - self.history.first()).unwrap_or(usize::MAX);
        let missing = |values: &[f64], day: usize| values.get(day).is_none_or(|v| v.is_nan());
        let needed = [Quantity::Tmin, Quantity::Tmax, Quantity::Rain];
        (slot(from)..=slot(to)).filter(|&day| needed.iter().any(|q| missing(columns.get(*q), day))).count()
    }

    /// The weather with the days of `year` behind it.
    pub fn with(&self, year: i32) -> Result<Weather> {
        let (from, to) = self.span(year).ok_or_else(|| Error::internal("an outlook", "a year outside the calendar"))?;
        let (now, past) = (self.weather.columns(), self.history.columns());
        let yesterday_and_forecast = self.today + (i32::try_from(self.forecast).unwrap_or(0) - 1);
        let kept = usize::try_from(yesterday_and_forecast - self.weather.first() + 1).unwrap_or(0).min(self.weather.len());
        let begin = usize::try_from(from - self.history.first()).unwrap_or(0);
        let length = usize::try_from(to - from + 1).unwrap_or(0);
        let dates: Vec<Date> = (0..).map(|n| self.weather.first() + n).take(kept + length).collect();
        let forecast = dates.iter().map(|date| *date >= self.today).collect();
        let mut columns = DayColumns { dates, forecast, wind_height_m: now.wind_height_m, ..DayColumns::default() };
        for &quantity in Quantity::ALL {
            let (mine, theirs) = (now.get(quantity), past.get(quantity));
            if mine.is_empty() && theirs.is_empty() {
                continue;
            }
            let part = |values: &[f64], from: usize, length: usize| -> Vec<f64> {
                (from..from + length).map(|day| values.get(day).copied().unwrap_or(f64::NAN)).collect()
            };
            *columns.get_mut(quantity) = [part(mine, 0, kept), part(theirs, begin, length)].concat();
        }
        Weather::from_columns(columns)
    }
}

/// Wind of both must come from the same height, because records name one for all.
pub(super) fn same_height(weather: &Weather, history: &Weather, site: &Site) -> Result<()> {
    let height = |w: &Weather| w.columns().wind_height_m.or(site.wind_height_m());
    let measured = |w: &Weather| !w.columns().get(Quantity::Wind).is_empty();
    if measured(weather) && measured(history) && height(weather) != height(history) {
        let words = |w: &Weather| height(w).map_or("the usual height".to_string(), |m| format!("{m} m"));
        return Err(Error::inconsistent(
            format!("the wind of the records was measured at {}, that of the past years at {}", words(weather), words(history)),
            "Convert one of them to the other's height, or leave the wind of the past years out.",
        ));
    }
    Ok(())
}
