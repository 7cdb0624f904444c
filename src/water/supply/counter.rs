//! What was drawn, counted by day, month and 30 days: for the user's own permit or report. A count, never a verdict.

use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// Water drawn on a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Draw {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Volume, L.
    pub volume_l: f64,
}

/// The user's own limit; rules differ by place, and several parcels may count together.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PermitLimit {
    /// In a day, L.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub day_l: Option<f64>,
    /// In a calendar month, L.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub month_l: Option<f64>,
    /// Mean of 30 days, L a day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mean_30_day_l: Option<f64>,
}

/// A month's sum.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MonthDrawn {
    /// Year.
    pub year: i32,
    /// Month, 1 to 12.
    pub month: u32,
    /// Drawn, L.
    pub volume_l: f64,
}

/// The counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Withdrawals {
    /// By day, days without a draw left out.
    pub days: Vec<Draw>,
    /// By calendar month.
    pub months: Vec<MonthDrawn>,
    /// The day with most.
    pub largest_day: Option<Draw>,
    /// Largest mean of 30 days in a row, L a day, with its last day.
    pub largest_30_days: Option<Draw>,
    /// In all, L.
    pub total_l: f64,
    /// The user's limit, beside which the counts are printed.
    pub limit: PermitLimit,
}

/// Counts draws that stand in the order of their days; several on one day are added.
///
/// # Errors
/// A volume out of range; days out of order.
///
/// ```
/// use dibble::water::supply::{Draw, PermitLimit, withdrawals};
/// let day = |date: &str, volume_l| Ok::<_, dibble::Error>(Draw { date: date.parse()?, volume_l });
/// let counts = withdrawals(&[day("2026-06-29", 30e3)?, day("2026-07-01", 40e3)?, day("2026-07-01", 5e3)?], PermitLimit::default())?;
/// assert_eq!(counts.months.iter().map(|m| m.volume_l).collect::<Vec<_>>(), [30e3, 45e3]);
/// assert_eq!(counts.largest_30_days.map(|d| d.volume_l), Some(2500.0));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn withdrawals(draws: &[Draw], limit: PermitLimit) -> Result<Withdrawals> {
    for (volume, name) in [(limit.day_l, "day_l"), (limit.month_l, "month_l"), (limit.mean_30_day_l, "mean_30_day_l")] {
        bounds::VOLUME_L.named(name).check_option(volume)?;
    }
    let mut days: Vec<Draw> = Vec::new();
    let mut months: Vec<MonthDrawn> = Vec::new();
    for draw in draws {
        bounds::VOLUME_L.check(draw.volume_l)?;
        match days.last_mut() {
            Some(last) if last.date > draw.date => {
                let what = format!("the draw of {} stands behind the one of {}", draw.date, last.date);
                return Err(Error::inconsistent(what, "Give draws in the order of their days."));
            }
            Some(last) if last.date == draw.date => last.volume_l += draw.volume_l,
            _ => days.push(*draw),
        }
        let (year, month) = (draw.date.year(), draw.date.month());
        match months.last_mut() {
            Some(last) if (last.year, last.month) == (year, month) => last.volume_l += draw.volume_l,
            _ => months.push(MonthDrawn { year, month, volume_l: draw.volume_l }),
        }
    }
    // the sum of 30 days is largest on a day with a draw
    let mean = |last: &Draw| {
        let within = days.iter().filter(|d| d.date <= last.date && last.date - d.date < 30);
        Draw { date: last.date, volume_l: within.map(|d| d.volume_l).sum::<f64>() / 30.0 }
    };
    let largest = |draws: &mut dyn Iterator<Item = Draw>| draws.reduce(|a, b| if b.volume_l > a.volume_l { b } else { a });
    Ok(Withdrawals {
        months,
        largest_day: largest(&mut days.iter().copied()),
        largest_30_days: largest(&mut days.iter().map(mean)),
        total_l: days.iter().map(|d| d.volume_l).sum(),
        limit,
        days,
    })
}
