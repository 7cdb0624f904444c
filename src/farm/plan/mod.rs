//! The week's plan, water part: how dry each block is, how many days are left, how much to give and how.
//!
//! Each block runs as several columns of the ledger: its trees at the likely root depth and soil, at the low
//! and high ends of both, and its strip and alley. The ends and the ledger's own doubt make the printed range.

mod ahead;
mod answer;
mod block;
mod columns;
mod coming;
mod content;
mod courses;
mod delivery;
mod explain;
mod feeding;
mod page;
mod sets;
mod table;
mod text;
mod view;
mod week;
mod what_if;

pub use coming::{Coming, Serving};
pub use content::{Basis, BlockPlan, Estimate, INCH_A_WEEK_MM, IntakePlan, PLAN_SCHEMA, Plan, Standing, WhatIf};
pub(crate) use courses::{BlockCourses, Course, courses};
pub use feeding::{Buy, FedLine, FeedingList, FeedingPlan, LimeLine, NeedLine};
pub use page::{Line, Page, Part, Table};
pub use sets::{Day, DepthSpread, FirstTree, Fuel, HeadHere, LeftToBucket, PlannedSet, SetsPlan, ShortTree, TreesAfter, TreesSoFar};
pub use week::{Advice, BlockWork, BlockWorth, CostPlan, HeatWatch, HotDay, NextBlock, SupplyPlan, WeekPlan};

use super::{Farm, FarmBlock};
use crate::assumption::Assumption;
use crate::bounds;
use crate::control::Control;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::record::Log;
use crate::schedule::{ClosedHours, PulseWay};
use crate::units::System;
use crate::water::Winter;
use crate::weather::{Gaps, Weather};
use crate::words::words;
use ahead::{HORIZON_DAYS, carry};
use delivery::Delivery;
use feeding::Feeder;
use std::sync::{Mutex, PoisonError};

words! {
    /// A section of the plan that takes long and is made only when asked for.
    pub enum Section: "section" {
        /// Where to set the sprinkler, and the bucket list.
        Sets = "sets",
    }
}

/// What may differ from the plain question.
#[derive(Debug, Clone, Default)]
pub struct PlanOptions {
    /// What to do about missing rain and missing days.
    pub gaps: Gaps,
    /// What to do about a winter inside the weather.
    pub winter: Winter,
    /// First day of the reckoning; `None` is the first of April (south of the equator of October) before the plan,
    /// or the first day of the weather if that is later.
    pub from: Option<Date>,
    /// What if so much rain falls today, mm?
    pub rain_mm: Option<f64>,
    /// What if every block is watered today for so long, min?
    pub watered_min: Option<f64>,
    /// Hours in which no set runs, as [`crate::schedule::closed_hours`] finds them in an hourly forecast.
    pub closed: Option<ClosedHours>,
    /// Units to print in; `None` is the farm's.
    pub units: Option<System>,
    /// The season log: what is done counts as [`Farm::with_log`] has it. A farm that already has it in its blocks takes none.
    pub log: Option<Log>,
    /// Sections that take long and are wanted all the same.
    pub with: Vec<Section>,
    /// Threads over which the blocks are spread; `None` takes the pool's own number. The plan does not depend on it.
    pub n_threads: Option<usize>,
    /// Stops the call and hears of its progress, block by block.
    pub control: Control,
}

/// The morning to plan for where none is named: the first day of the weather that is a forecast, else the day after it.
pub fn usual_today(weather: &Weather) -> Date {
    weather.first_forecast().unwrap_or(weather.last() + 1)
}

/// Makes the plan for the morning of `today` from weather that reaches at least to the day before.
///
/// Days from `today` on are the forecast; beyond them the mean of the last seven days goes on without rain. Blocks that are not
/// planted yet are left out, and the week's notes tell them.
///
/// # Errors
/// No block is planted yet; weather that has gaps the options do not allow, or that does not reach to `today`; a what-if out of range.
///
/// ```
/// use dibble::farm::{Farm, PlanOptions, plan};
/// let plan = plan(&Farm::demo()?, &Farm::demo_weather()?, Farm::demo_today()?, &PlanOptions::default())?;
/// assert!(plan.blocks.iter().any(|b| b.net_mm > 0.0));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn plan(farm: &Farm, weather: &Weather, today: Date, options: &PlanOptions) -> Result<Plan> {
    bounds::RAIN_MM.named("rain").check_option(options.rain_mm)?;
    bounds::MINUTES_MIN.named("watered").check_option(options.watered_min)?;
    let as_of = farm.as_of(today, options.log.as_ref())?;
    let farm = as_of.farm.as_ref();
    let station = carry(&weather.complete(farm.site(), &options.gaps)?, today, options, None)?;
    let sprinkler = Delivery::of(farm);
    let farm_blocks = farm.blocks();
    let all = farm_blocks.len() as u64;
    let at = |block: &FarmBlock<'_>, e: Error| if e.place().is_some() { e } else { e.at(format!("block \"{}\"", block.block.name)) };
    options.control.step("the plan", 0, all)?;
    let done = Mutex::new(0_u64);
    let planned = crate::pool::map(&farm_blocks, options.n_threads, |block| -> Result<BlockPlan> {
        let planned = block::plan_block(block, weather, &station, today, options, &sprinkler, farm).map_err(|e| at(block, e))?;
        // told under the lock, so that the count only rises
        let mut done = done.lock().unwrap_or_else(PoisonError::into_inner);
        *done += 1;
        options.control.step("the plan", *done, all)?;
        Ok(planned)
    })?;
    let mut feeder = Feeder::of(farm, today, options.units.unwrap_or(farm.units()))?;
    let mut blocks = Vec::new();
    for (block, planned) in farm_blocks.iter().zip(planned) {
        let feeding = feeder.as_mut().map(|f| f.feed(block)).transpose().map_err(|e| at(block, e))?.flatten();
        blocks.push(BlockPlan { feeding, ..planned? });
    }
    let mut assumptions = station.daily.between(station.daily.first(), station.daily.date(station.given - 1))?.assumptions();
    assumptions.extend(sprinkler.assumptions.clone());
    if station.given < station.daily.len() {
        assumptions.push(Assumption::ForecastMean.assumed().on_days(station.daily.len() - station.given));
    }
    let mut week = week::week(farm, &blocks, &station, today, options, sprinkler.rate_mm_h)?;
    week.notes.extend(as_of.to_plant.iter().map(|(name, day)| format!("{name} is planted {day}: it is left out until the day after")));
    let round = sets::Round { farm, weather, station: &station, today, options, delivery: &sprinkler, schedule: week.schedule.as_ref() };
    let once = week.pulse_way() == Some(PulseWay::OneRun);
    for (block, farm_block) in blocks.iter_mut().zip(&farm_blocks) {
        block.sets.iter_mut().filter(|s| once && !s.sets.is_empty()).for_each(SetsPlan::run_once);
        if let (true, None, Some(intake)) = (once, &block.sets, block.intake.as_mut().filter(|i| i.pulses.is_pulsed())) {
            intake.one_run_min = Some(sets::one_run_min(0.5 * (block.run_min.0 + block.run_min.1), intake.one_run_share.value));
        }
        let after = round.trees_after(farm_block, block).map_err(|e| at(farm_block, e))?;
        block.sets.iter_mut().for_each(|s| s.trees_after = after);
    }
    Ok(Plan {
        schema: PLAN_SCHEMA,
        farm: farm.name().into(),
        date: today,
        from: station.daily.first(),
        weather_to: station.daily.date(station.given - 1),
        days_ahead: station.given - station.today,
        horizon_days: HORIZON_DAYS,
        units: options.units.unwrap_or(farm.units()),
        rate_mm_h: sprinkler.rate_mm_h,
        blocks,
        weather_notes: notes(&station.daily),
        log_notes: as_of.log_notes,
        assumptions,
        feeding: feeder.map(Feeder::finish),
        week: Some(week),
    })
}

/// Faults and remarks of the weather records, the first few in full.
fn notes(daily: &crate::weather::Daily) -> Vec<String> {
    const FAULTS_SHOWN: usize = 5;
    let report = daily.gap_report();
    let mut notes: Vec<String> = report.faults.iter().take(FAULTS_SHOWN).map(|f| format!("set aside: {f}")).collect();
    if report.faults.len() > FAULTS_SHOWN {
        notes.push(format!("and {} more values set aside", report.faults.len() - FAULTS_SHOWN));
    }
    notes.extend(report.notes.iter().cloned());
    notes
}
