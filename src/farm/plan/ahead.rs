//! Weather carried beyond its end, with the place of today in it.

use super::PlanOptions;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::water::after_thaw;
use crate::weather::Daily;

/// Days looked ahead for the next watering.
pub(super) const HORIZON_DAYS: usize = 30;
/// Beyond the forecast: the mean of so many last days, without rain.
const MEAN_OF_DAYS: usize = 7;

/// Weather carried beyond its end, with the place of today in it.
pub(super) struct Ahead {
    pub daily: Daily,
    /// Index of today: the days before it are over.
    pub today: usize,
    /// Days that were given.
    pub given: usize,
}

impl Ahead {
    /// The same without any rain from today on: forecasts of rain are not to be relied on.
    pub fn without_rain(&self) -> Result<Self> {
        let mut daily = self.daily.clone();
        for day in self.today..self.daily.len() {
            if self.daily.rain_mm().get(day).is_some_and(|r| *r > 0.0) {
                daily = daily.with_rain(self.daily.date(day), 0.0)?;
            }
        }
        Ok(Self { daily, today: self.today, given: self.given })
    }
}

/// Month in which a season's reckoning begins unless it is asked otherwise: April, south of the equator October.
const SEASON_MONTHS: (u32, u32) = (4, 10);

/// The last first of April (south: October) before `today`.
fn season_start(today: Date, south: bool) -> Result<Date> {
    let month = if south { SEASON_MONTHS.1 } else { SEASON_MONTHS.0 };
    let this_year = Date::new(today.year(), month, 1)?;
    if this_year < today { Ok(this_year) } else { Date::new(today.year() - 1, month, 1) }
}

/// Cuts the weather to begin with the season, or on `planted` where that is later, and carries it beyond its end.
pub(super) fn carry(daily: &Daily, today: Date, options: &PlanOptions, planted: Option<Date>) -> Result<Ahead> {
    let yesterday = today + -1;
    if daily.index_of(yesterday).is_none() {
        return Err(Error::inconsistent(
            format!("the weather runs from {} to {}, and the plan is for {today}", daily.first(), daily.last()),
            "Give weather up to the day before the plan, or another date.",
        ));
    }
    if let Some(planted) = planted.filter(|p| *p > yesterday) {
        return Err(Error::inconsistent(
            format!("planted is {planted}, and the plan is for {today}"),
            "Make the plan for a day after it is planted, or correct the day.",
        ));
    }
    let usual = season_start(today, daily.site().latitude_deg() < 0.0)?.max(daily.first());
    let from = options.from.unwrap_or(usual);
    let from = planted.map_or(from, |p| p.max(from));
    let cut = after_thaw(&daily.between(from, daily.last())?, options.winter, today)?;
    let index = cut.index_of(today).unwrap_or(cut.len());
    let given = cut.len();
    let more = (index + HORIZON_DAYS).saturating_sub(given);
    let mean_of = MEAN_OF_DAYS.min(given);
    Ok(Ahead { daily: cut.extended(more, mean_of)?, today: index, given })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_season_begins_in_spring_on_either_side_of_the_equator() {
        let start = |today: &str, south| season_start(today.parse().unwrap(), south).unwrap().to_string();
        assert_eq!(start("2026-07-14", false), "2026-04-01");
        assert_eq!(start("2026-02-14", false), "2025-04-01");
        assert_eq!(start("2026-02-14", true), "2025-10-01");
        assert_eq!(start("2026-11-14", true), "2026-10-01");
    }
}
