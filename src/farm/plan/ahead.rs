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

pub(super) fn carry(daily: &Daily, today: Date, options: &PlanOptions) -> Result<Ahead> {
    let yesterday = today + -1;
    if daily.index_of(yesterday).is_none() {
        return Err(Error::inconsistent(
            format!("the weather runs from {} to {}, and the plan is for {today}", daily.first(), daily.last()),
            "Give weather up to the day before the plan, or another date.",
        ));
    }
    let from = options.from.unwrap_or(daily.first());
    let cut = after_thaw(&daily.between(from, daily.last())?, options.winter, today)?;
    let index = cut.index_of(today).unwrap_or(cut.len());
    let given = cut.len();
    let more = (index + HORIZON_DAYS).saturating_sub(given);
    let mean_of = MEAN_OF_DAYS.min(given);
    Ok(Ahead { daily: cut.extended(more, mean_of)?, today: index, given })
}
