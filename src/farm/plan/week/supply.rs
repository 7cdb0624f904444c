//! Whether the water lasts, and what was drawn.

use super::content::{BlockWork, SupplyPlan};
use crate::date::Date;
use crate::error::Result;
use crate::farm::Farm;
use crate::farm::plan::BlockPlan;
use crate::farm::plan::ahead::Ahead;
use crate::schedule::{Schedule, Stint};
use crate::water::supply::{Draw, Pass, Range, SupplyDay, Withdrawals, withdrawals};

/// Days that the supply is looked at.
const SUPPLY_DAYS: usize = 90;
/// Beyond the horizon: days like its last seven.
const MEAN_OF_DAYS: usize = 7;

/// The supply over the coming days, no rain credited, with a pass like this week's again and again.
pub(super) fn supply(
    farm: &Farm,
    blocks: &[BlockPlan],
    station: &Ahead,
    schedule: &Schedule,
    works: &[BlockWork],
    flow_l_min: Option<f64>,
) -> Result<Option<SupplyPlan>> {
    let Some(supply) = farm.supply()? else { return Ok(None) };
    let sum = |end: fn(&(f64, f64)) -> f64| works.iter().filter_map(|w| w.pumped_l.as_ref()).map(end).sum::<f64>();
    let volume_l = Range::new(sum(|p| p.0), sum(|p| p.1));
    let first = schedule.timetable.first().map_or(schedule.now.date(), |s| s.begin.date());
    let last = schedule.finish.map_or(first, |f| f.date());
    let over_days = u32::try_from(last - first).unwrap_or(0) + 1;
    let pass = Pass {
        volume_l,
        over_days,
        every_days: interval_days(blocks, volume_l.middle()).max(over_days),
        first_day: u32::try_from(first - schedule.now.date()).unwrap_or(0),
    };
    let dry = station.without_rain()?;
    let more = (dry.today + SUPPLY_DAYS).saturating_sub(dry.daily.len());
    let daily = dry.daily.extended(more, MEAN_OF_DAYS)?;
    let days: Vec<SupplyDay> = (dry.today..daily.len())
        .filter_map(|day| Some(SupplyDay { date: daily.date(day), eto_mm: *daily.eto_mm().get(day)?, rain_mm: *daily.rain_mm().get(day)? }))
        .collect();
    let outlook = supply.outlook(&days, pass)?;
    let well_min = match (supply.well, flow_l_min) {
        (Some(well), Some(flow)) => Some(well.lasts_min(flow)?),
        _ => None,
    };
    let (from, to) = (daily.date(dry.today), daily.date(daily.len() - 1));
    Ok(Some(SupplyPlan { outlook, from, to, well_min }))
}

/// Days that a pass lasts: its water over what all blocks ask of the pump in a day, by the coming week's use of their roots.
fn interval_days(blocks: &[BlockPlan], pass_l: f64) -> u32 {
    let daily = |b: &BlockPlan| b.area_m2.unwrap_or(0.0) * b.week_use_mm / 7.0 / (0.5 * (b.efficiency.0 + b.efficiency.1));
    let daily_l: f64 = blocks.iter().map(daily).sum();
    if daily_l > 0.0 { (pass_l / daily_l).round().clamp(1.0, 60.0) as u32 } else { 7 }
}

/// What the log says was drawn, by the area of the blocks that it was put on; with the blocks whose area is not known.
pub(super) fn drawn(farm: &Farm, today: Date) -> Result<(Vec<Draw>, Vec<String>)> {
    let (mut draws, mut without) = (Vec::new(), Vec::new());
    for block in farm.blocks() {
        let waterings = block.waterings()?;
        match block.block.ground_m2() {
            Some(area_m2) => draws
                .extend(waterings.iter().filter(|(date, _)| *date <= today).map(|(date, mm)| Draw { date: *date, volume_l: mm * area_m2 })),
            None if waterings.is_empty() => {}
            None => without.push(block.block.name.clone()),
        }
    }
    Ok((draws, without))
}

/// What the timetable will draw, run by run.
pub(super) fn planned(schedule: &Schedule, works: &[BlockWork]) -> Vec<Draw> {
    let draw = |stint: &Stint| {
        let (low, high) = works.iter().find(|w| w.block == stint.job)?.pumped_l?;
        let all_min = schedule.jobs.iter().find(|j| j.name == stint.job)?.run_min;
        (all_min > 0.0).then(|| Draw { date: stint.on.date(), volume_l: 0.5 * (low + high) * stint.run_min / all_min })
    };
    schedule.timetable.iter().filter_map(draw).collect()
}

/// The counts of these draws; nothing without one.
pub(super) fn counted(mut draws: Vec<Draw>, farm: &Farm) -> Result<Option<Withdrawals>> {
    draws.sort_by_key(|d| d.date);
    if draws.is_empty() { Ok(None) } else { withdrawals(&draws, farm.input().permit.unwrap_or_default()).map(Some) }
}
