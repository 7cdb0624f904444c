//! The trees after this pass: each ledger fed by what its own place gets, on the day of its sets.

use super::super::PlanOptions;
use super::super::ahead::Ahead;
use super::super::columns::{Log, likely_column, own_weather};
use super::super::delivery::Delivery;
use super::{SetsPlan, TreesAfter, by_hand};
use crate::date::Date;
use crate::error::Result;
use crate::farm::plan::BlockPlan;
use crate::farm::{Farm, FarmBlock};
use crate::geom::{Arc, Xy};
use crate::schedule::Schedule;
use crate::sprinkler::{Set, Sprinkler, apply};
use crate::stand::Surfaces;
use crate::water::{Column, UnevenWatering, limit_days};
use crate::weather::Weather;
use std::collections::BTreeMap;

/// What the ledgers run on.
pub(in crate::farm::plan) struct Round<'a> {
    pub farm: &'a Farm,
    pub weather: &'a Weather,
    pub station: &'a Ahead,
    pub today: Date,
    pub options: &'a PlanOptions,
    pub delivery: &'a Delivery,
    /// The week's timetable, where there is one.
    pub schedule: Option<&'a Schedule>,
}

impl Round<'_> {
    /// When the trees of a block reach their limit after its sets; `None` without sets, or where no day for them is in sight.
    ///
    /// # Errors
    /// As the block's plan; cancelled.
    pub fn trees_after(&self, of: &FarmBlock<'_>, block: &BlockPlan) -> Result<Option<TreesAfter>> {
        let (Some(map), Some(sets), Ok(Some(head))) = (of.map, block.sets.as_ref().filter(|s| !s.sets.is_empty()), of.head()) else {
            return Ok(None);
        };
        let places: Vec<Xy> = map.trees.iter().map(|t| t.at()).collect();
        let pass = match self.schedule.filter(|s| s.jobs.iter().any(|j| j.name == block.name)) {
            Some(schedule) => by_timetable(schedule, &block.name, sets, &head.sprinkler, &places)?,
            None => self.when_due(block, sets),
        };
        let lacking: Vec<usize> = by_hand::lacking(&sets.short, sets.target_mm).map(|s| s.index).collect();
        let served: Vec<usize> = (0..places.len()).filter(|tree| !lacking.contains(tree)).collect();
        let (Some(first), Some(last)) = (pass.first(), pass.last()) else { return Ok(None) };
        if served.is_empty() {
            return Ok(None);
        }

        let own = own_weather(of, self.farm, self.weather, self.station, self.today, self.options)?;
        let dry = own.as_ref().unwrap_or(self.station).without_rain()?;
        if last.date > dry.daily.last() {
            return Ok(None); // a timetable of many weeks: nothing is known of its days
        }
        let efficiency = 0.5 * (block.efficiency.0 + block.efficiency.1);
        let log = Log::of(of, dry.daily.first(), self.today, efficiency, self.delivery)?;
        let crop = Surfaces::over(of.stand, &dry.daily)?.tree;
        let column = Column { waterings: log.even.clone(), ..likely_column(of, &dry.daily, &crop, &log) };
        // their mean is one tree more
        let with_mean = |w: &UnevenWatering| {
            let mut depths_mm: Vec<f64> = served.iter().filter_map(|&tree| w.depths_mm.get(tree).copied()).collect();
            depths_mm.push(depths_mm.iter().sum::<f64>() / served.len() as f64);
            UnevenWatering { date: w.date, depths_mm }
        };
        let all: Vec<UnevenWatering> = log.uneven.iter().chain(&pass).map(with_mean).collect();
        let mut limits = limit_days(&column, &all, block.allowed_depletion, first.date, &self.options.control.quiet())?;
        let mean_limit = limits.pop().flatten();
        let given = |k: usize| served.get(k).and_then(|&tree| sets.tree_mm.get(tree)).copied().unwrap_or(0.0);
        let driest = limits.iter().enumerate().filter_map(|(k, limit)| Some(((*limit)?, given(k), k)));
        let driest = driest.min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        Ok(Some(TreesAfter {
            from: first.date,
            to: last.date,
            trees: served.len(),
            before_next: limits.iter().flatten().filter(|limit| mean_limit.is_none_or(|mean| **limit < mean)).count(),
            driest: driest.and_then(|(.., k)| served.get(k).and_then(|&tree| map.trees.get(tree)).copied()),
            driest_limit: driest.map(|d| d.0),
            mean_limit,
            looked_to: dry.daily.last(),
        }))
    }

    /// All sets on the day on which the block may reach its limit, or the first after it on which water is worth starting for.
    fn when_due(&self, block: &BlockPlan, sets: &SetsPlan) -> Vec<UnevenWatering> {
        let coming = &block.without_rain;
        let Some(left) = coming.days_left else { return Vec::new() };
        let worth = coming.net_mm.iter().enumerate().skip(left.low.floor() as usize).find(|(_, net_mm)| **net_mm > 0.0);
        let stretched = |(day, net_mm): (usize, &f64)| UnevenWatering {
            date: self.today + day as i32,
            depths_mm: sets.tree_mm.iter().map(|depth| depth * net_mm / sets.target_mm).collect(),
        };
        worth.map(stretched).into_iter().collect()
    }
}

/// What enters at each tree on each day of the timetable.
fn by_timetable(schedule: &Schedule, block: &str, plan: &SetsPlan, sprinkler: &Sprinkler, trees: &[Xy]) -> Result<Vec<UnevenWatering>> {
    let mut days: BTreeMap<Date, Vec<Set>> = BTreeMap::new();
    for stint in schedule.timetable.iter().filter(|s| s.job == block) {
        let Some(set) = plan.sets.iter().find(|s| s.number.to_string() == stint.set) else { continue };
        let arc = set.arc_deg.map(|(arc, facing)| Arc::new(facing, arc)).transpose()?;
        // one run in place of pulses is longer by what runs off
        let in_one_run = set.pulses.pulses.len() > 1 && stint.pulse.1 == 1;
        let minutes = if in_one_run { stint.run_min * set.minutes / set.one_run_min() } else { stint.run_min };
        days.entry(stint.on.date()).or_default().push(Set { arc, ..Set::new([set.x_m, set.y_m], minutes) });
    }
    days.into_iter().map(|(date, sets)| Ok(UnevenWatering { date, depths_mm: apply(sprinkler, &sets, trees, Some(1))? })).collect()
}
