//! The likely column of each block through weather that somebody gives for the coming days: what an outlook is made of.

use super::PlanOptions;
use super::ahead::carry;
use super::columns::{Log, likely_column, own_weather};
use super::delivery::Delivery;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::farm::{Farm, FarmBlock};
use crate::stand::{CropDays, Surfaces};
use crate::water::{Column, Record, Refill, RunOptions, Season, Series, Watering, run};
use crate::weather::{Daily, Weather};

/// One block under one weather, from the morning of today on.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Course {
    /// Share of the available water used, each morning from today on, if nobody waters.
    pub depletion: Vec<f64>,
    /// The first morning on which the allowed share is reached, counted from today.
    pub due: Option<usize>,
    /// Waterings of the refill rule, one whenever it is due: day counted from today, and net depth, mm.
    pub waterings: Vec<(usize, f64)>,
    /// Rain from today on, mm.
    pub rain_mm: f64,
}

/// One block under all of the weathers.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BlockCourses {
    pub name: String,
    pub allowed_depletion: f64,
    /// Share of the pumped water that arrives, low and high.
    pub efficiency: (f64, f64),
    pub area_m2: Option<f64>,
    pub each: Vec<Course>,
}

/// `days` mornings from today on, for a block under each weather. All weathers begin on the same day and reach at least to the
/// last of the mornings.
pub(crate) fn courses(
    of: &FarmBlock<'_>,
    farm: &Farm,
    weathers: &[Weather],
    today: Date,
    days: usize,
    options: &PlanOptions,
) -> Result<BlockCourses> {
    let delivery = Delivery::of(farm);
    let efficiency = of.block.irrigation_efficiency.map_or(Refill::default().efficiency, |e| (e, e));
    let south = farm.south();
    let rule = Refill { allowed_depletion: of.stand.allowed_depletion(today, south), efficiency, ..Refill::default() };
    let mut dailies: Vec<Daily> = Vec::new();
    let mut at = None;
    for weather in weathers {
        let station = carry(&weather.complete(farm.site(), &options.gaps)?, today, options, None)?;
        let ahead = own_weather(of, farm, weather, &station, today, options)?.unwrap_or(station);
        let to = ahead.daily.date(ahead.today + days - 1);
        dailies.push(ahead.daily.between(ahead.daily.first(), to)?);
        if *at.get_or_insert(ahead.today) != ahead.today {
            return Err(Error::internal("an outlook", "its weathers begin on different days"));
        }
    }
    let (Some(now), Some(first)) = (at, dailies.first()) else {
        return Err(Error::missing("weather", "Give at least one year."));
    };
    let log = Log::of(of, first.first(), today, 0.5 * (efficiency.0 + efficiency.1), &delivery)?;
    let crops: Vec<CropDays> = dailies.iter().map(|daily| Surfaces::over(of.stand, daily).map(|s| s.tree)).collect::<Result<_>>()?;
    let mut columns: Vec<Column<'_>> = dailies.iter().zip(&crops).map(|(daily, crop)| likely_column(of, daily, crop, &log)).collect();
    let seen = Seen { now, days };
    let control = options.control.quiet();
    let mut season = through(&columns, &control)?;
    let mut each: Vec<Course> = Vec::new();
    for (column, daily) in dailies.iter().enumerate() {
        let depletion: Vec<f64> = (0..days).map(|day| seen.share(&season, column, day)).collect();
        let due = depletion.iter().position(|share| *share >= rule.allowed_depletion);
        let rain_mm = daily.rain_mm().iter().skip(now).sum();
        each.push(Course { depletion, due, waterings: Vec::new(), rain_mm });
    }

    // one watering more in each round, each year on its own day, until none is due within the days
    loop {
        let mut more = false;
        for (column, year) in each.iter_mut().enumerate() {
            let from = year.waterings.last().map_or(0, |(day, _)| day + 1);
            let due = (from..days).find(|&day| {
                let depletion_mm = season_at(&season, Series::MorningDepletion, column, now + day);
                seen.share(&season, column, day) >= rule.allowed_depletion && rule.net_mm(depletion_mm) > 0.0
            });
            if let (Some(day), Some(to)) = (due, columns.get_mut(column)) {
                let net_mm = rule.net_mm(season_at(&season, Series::MorningDepletion, column, now + day));
                year.waterings.push((day, net_mm));
                to.waterings.push(Watering { date: season.date(now + day), depth_mm: net_mm, rate_mm_h: None });
                more = true;
            }
        }
        if !more {
            break;
        }
        control.step("an outlook", 0, 1)?;
        season = through(&columns, &control)?;
    }
    Ok(BlockCourses {
        name: of.block.name.clone(),
        allowed_depletion: rule.allowed_depletion,
        efficiency,
        area_m2: of.block.ground_m2(),
        each,
    })
}

fn through(columns: &[Column<'_>], control: &crate::control::Control) -> Result<Season> {
    let keep = vec![Series::MorningDepletion, Series::AvailableWater];
    run(columns, &RunOptions { record: Record::Chosen(keep), n_threads: Some(1), ..RunOptions::default() }, control)
}

fn season_at(season: &Season, series: Series, column: usize, day: usize) -> f64 {
    season.daily(series).and_then(|d| d.get((day, column)).copied()).unwrap_or(f64::NAN)
}

/// The days asked for within a season.
struct Seen {
    now: usize,
    days: usize,
}

impl Seen {
    /// Share of the available water used in the morning of a day counted from today.
    fn share(&self, season: &Season, column: usize, day: usize) -> f64 {
        debug_assert!(day < self.days);
        let at = self.now + day;
        // the morning holds what the evening before left; the root zone is that evening's
        let held = season_at(season, Series::AvailableWater, column, at.saturating_sub(1));
        season_at(season, Series::MorningDepletion, column, at) / held
    }
}
