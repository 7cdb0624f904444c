//! What if it rains or is watered today.

use super::ahead::Ahead;
use super::delivery::Delivery;
use super::view::{LIKELY, View};
use super::{PlanOptions, WhatIf};
use crate::error::Result;
use crate::water::{Column, Record, RunOptions, Series, Watering, run};

/// The likely column once more, with today's rain and watering as asked.
pub(super) fn what_if(
    likely: &Column<'_>,
    ahead: &Ahead,
    options: &PlanOptions,
    delivery: &Delivery,
    efficiency: f64,
    allowed: f64,
    plain: &View<'_>,
) -> Result<Option<WhatIf>> {
    if options.rain_mm.is_none() && options.watered_min.is_none() {
        return Ok(None);
    }
    let today = ahead.daily.date(ahead.today);
    let rain_mm = options.rain_mm.unwrap_or(0.0);
    let foreseen = ahead.daily.rain_mm().get(ahead.today).copied().unwrap_or(0.0);
    let daily = ahead.daily.clone().with_rain(today, options.rain_mm.unwrap_or(foreseen))?;
    let mut column = Column { weather: &daily, ..likely.clone() };
    let watered_min = options.watered_min.unwrap_or(0.0);
    let depth_mm = delivery.rate_mm_h * watered_min / 60.0 * efficiency;
    if depth_mm > 0.0 {
        column.waterings.push(Watering { date: today, depth_mm, rate_mm_h: Some(delivery.landing_mm_h()) });
        column.waterings.sort_by_key(|w| w.date);
    }
    let keep = [
        Series::MorningDepletion,
        Series::MorningSd,
        Series::Depletion,
        Series::AvailableWater,
        Series::Irrigation,
        Series::Interception,
        Series::Runoff,
        Series::Drainage,
    ];
    let season = run(
        &[column],
        &RunOptions { record: Record::Chosen(keep.to_vec()), n_threads: Some(1), ..RunOptions::default() },
        &options.control.quiet(),
    )?;
    let view = View { season: &season, ahead };
    let at = |series| view.at(series, LIKELY, ahead.today);
    let entered_mm = at(Series::Irrigation) - plain.at(Series::Irrigation, LIKELY, ahead.today);
    let lost_mm = at(Series::Runoff) + at(Series::Drainage) + at(Series::Interception) + (depth_mm - entered_mm).max(0.0);
    let received_mm = plain.at(Series::Depletion, LIKELY, ahead.today) - at(Series::Depletion);
    Ok(Some(WhatIf {
        rain_mm,
        watered_min,
        received_mm: received_mm.max(0.0),
        lost_mm: lost_mm.max(0.0),
        days_left: view.days_left_tonight(LIKELY, allowed),
    }))
}
