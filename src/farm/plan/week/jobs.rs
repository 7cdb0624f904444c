//! From blocks to jobs: sets with their minutes by day, and the limit at the low end of its range.

use super::content::{BlockWork, NextBlock};
use crate::assumption::{Assumed, Assumption};
use crate::date::Date;
use crate::error::Result;
use crate::farm::plan::sets::one_run_min;
use crate::farm::plan::{BlockPlan, Coming, PlannedSet};
use crate::farm::{Farm, FarmBlock};
use crate::schedule::{ByDay, Due, Job, JobAnswer, Moment, PulseTime, ScheduleRequest, SetWork, Windows, schedule};
use crate::units::System;
use std::collections::BTreeMap;

/// A block belongs to the week if its limit may be reached within so many days.
const WEEK_DAYS: f64 = 7.0;
/// Minutes of a move where they are not given.
const USUAL_MOVE_MIN: f64 = 30.0;
/// A part of a position too small to be one of its own.
const SLIVER: f64 = 0.1;

/// Which end of a limit's range is kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Keep {
    /// The low end: what the plan goes by.
    Low,
    /// The likely value.
    Likely,
}

/// The week's jobs.
#[derive(Debug, Clone, Default)]
pub(super) struct Work {
    pub jobs: Vec<Job>,
    pub past_limit: Vec<String>,
    pub next: Option<NextBlock>,
    pub notes: Vec<String>,
    pub assumptions: Vec<Assumed>,
}

/// What all jobs have in common.
pub(super) struct Frame<'a> {
    pub farm: &'a Farm,
    pub blocks: &'a [BlockPlan],
    pub today: Date,
    pub units: System,
    pub windows: &'a Windows,
    pub rate_mm_h: f64,
    /// What a block is worth if it is lost, by name.
    pub worth: &'a BTreeMap<String, f64>,
    pub control: &'a crate::control::Control,
}

impl Frame<'_> {
    pub fn now(&self) -> Moment {
        Moment::midnight(self.today)
    }

    /// The question for these jobs, with the farm's windows and sprinklers.
    pub fn request(&self, jobs: Vec<Job>) -> ScheduleRequest {
        let sprinklers = self.farm.sprinkler_count();
        ScheduleRequest { sprinklers, ..ScheduleRequest::new(jobs, self.windows.clone(), self.now()) }
    }

    pub fn move_min(&self) -> f64 {
        self.farm.sprinkler().and_then(|s| s.move_time_min).unwrap_or(USUAL_MOVE_MIN)
    }

    /// Positions that a block needs, where their number comes from, and the ground that one stands for, m2, if that was asked.
    fn positions(&self, block: &BlockPlan, farm_block: &FarmBlock<'_>) -> (usize, String, Option<f64>) {
        if let Some(sets) = placed(block) {
            return (sets.len(), "as its sets were placed".into(), None);
        }
        match (flow_l_min(farm_block), block.area_m2) {
            (Some(flow_l_min), Some(area_m2)) => {
                // a set stands for the ground that its flow waters at the farm's rate
                let each_m2 = flow_l_min * 60.0 / self.rate_mm_h;
                let count = (area_m2 / each_m2 - SLIVER).ceil().max(1.0);
                (count as usize, "by the sprinkler's flow and rate".into(), Some(each_m2))
            }
            _ => (1, "one, because the flow of the sprinkler or the area of the block is not known".into(), None),
        }
    }

    /// The jobs of the week, by the coming days that `coming` picks, the most urgent first.
    pub fn work(&self, keep: Keep, coming: impl Fn(&BlockPlan) -> Coming) -> Result<Work> {
        let mut work = Work::default();
        let longest = self.windows.open(self.now(), 14)?.iter().map(|(a, b)| b.minutes_since(*a)).max().unwrap_or(0) as f64;
        let mut found: Vec<(f64, f64, Date, Job)> = Vec::new();
        for (block, farm_block) in self.blocks.iter().zip(self.farm.blocks()) {
            let days = &coming(block);
            let Some(left) = days.days_left else { continue };
            let Some(first) = days.net_mm.iter().position(|n| *n > 0.0) else { continue };
            let limit = if keep == Keep::Low { left.low } else { left.value };
            if limit >= WEEK_DAYS {
                let date = self.today + limit.floor() as i32;
                if work.next.as_ref().is_none_or(|n| date < n.date) {
                    work.next = Some(NextBlock { block: block.name.clone(), date });
                }
                continue;
            }
            let mut job = Job::new(&block.name, self.sets(block, days, first, &farm_block), None);
            for set in &mut job.sets {
                let most = (0..days.net_mm.len()).map(|d| set.run_min.at(d)).fold(0.0, f64::max);
                let share = if set.run_min.at(0) > 0.0 { most / set.run_min.at(0) } else { 1.0 };
                let pulse = set.pulses.iter().map(|p| p.on_min * share).fold(0.0, f64::max);
                // a minute for rounding up
                set.may_split = set.move_min + 1.0 + if set.is_pulsed() { pulse } else { most } > longest;
            }
            if job.sets.iter().any(|s| s.may_split) {
                work.notes.push(format!("{}: a set is longer than the longest window; it goes on in the next one", block.name));
            }
            let begins = if first > 0 { Some(Moment::midnight(self.today + first as i32)) } else { None };
            job.release = begins;
            if limit > 0.0 {
                let at = |days: f64| self.now().plus_min((days * 1440.0).floor() as i64);
                // what is not worth giving before a day cannot be finished before it
                let floor = begins.map(|b| b.plus_min(1440));
                let due = |days: f64| floor.map_or(at(days), |f| at(days).max(f));
                job.due = Some(Due { low: due(limit), likely: due(left.value), high: due(left.high) });
            }
            job.worth = self.worth.get(&block.name).copied();
            job.age_years = Some(f64::from((self.today.year() - block.planted.year()).max(0)));
            found.push((limit, left.value, block.planted, job));
        }
        // of equal urgency the youngest first: they have the least to draw on
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(b.2.cmp(&a.2)));
        work.jobs = found.into_iter().map(|(.., job)| job).collect();
        self.past_limit(&mut work)?;
        if self.farm.sprinkler().is_none_or(|s| s.move_time_min.is_none()) && !work.jobs.is_empty() {
            work.assumptions.push(Assumption::MoveTime.assumed());
        }
        Ok(work)
    }

    /// Blocks that are past their limit, or may be, are due as soon as they can be finished one after the other from now on.
    fn past_limit(&self, work: &mut Work) -> Result<()> {
        let mut before: Vec<Job> = Vec::new();
        for job in work.jobs.iter_mut().filter(|j| j.due.is_none()) {
            job.release = None;
            before.push(job.clone());
            job.due = schedule(&self.request(before.clone()), self.control)?.finish.map(Due::at);
            work.past_limit.push(job.name.clone());
        }
        Ok(())
    }

    /// A block's sets, each with its minutes by day.
    fn sets(&self, block: &BlockPlan, days: &Coming, first: usize, farm_block: &FarmBlock<'_>) -> Vec<SetWork> {
        let efficiency = 0.5 * (block.efficiency.0 + block.efficiency.1);
        let run_on = |day: usize| 60.0 * days.net_mm.get(day).copied().unwrap_or(0.0) / efficiency / self.rate_mm_h;
        // days on which it is not worth starting are closed to the job; they carry the minutes of the first that is
        let run: Vec<f64> =
            (0..days.net_mm.len()).map(|day| if day < first { run_on(first) } else { run_on(day).max(run_on(first)) }).collect();
        let run_today = run.first().copied().unwrap_or(0.0);
        let on_min: f64 = block.serving.pulses.iter().map(|p| p.on_min).sum();
        let pulses: Vec<PulseTime> = if block.serving.pulses.len() > 1 && on_min > 0.0 {
            let share = run_today / on_min;
            block.serving.pulses.iter().map(|p| PulseTime { on_min: p.on_min * share, soak_min: p.soak_min * share }).collect()
        } else {
            Vec::new()
        };
        if let Some(sets) = placed(block) {
            return sets.iter().map(|s| self.placed_set(s, &run)).collect();
        }
        let one_run_min = (!pulses.is_empty()).then(|| one_run_min(run_today, block.serving.one_run_share));
        let set = |number: usize| SetWork {
            name: number.to_string(),
            move_min: self.move_min(),
            run_min: ByDay::Days(run.clone()),
            pulses: pulses.clone(),
            one_run_min,
            may_split: false,
        };
        (1..=self.positions(block, farm_block).0).map(set).collect()
    }

    /// A set as it was placed for this morning, its minutes stretched with the depth of the day that it is served.
    fn placed_set(&self, set: &PlannedSet, run: &[f64]) -> SetWork {
        let today = run.first().copied().filter(|r| *r > 0.0).unwrap_or(1.0);
        let pulses = &set.pulses.pulses;
        let pulsed = if pulses.len() > 1 { pulses.as_slice() } else { &[] };
        SetWork {
            name: set.number.to_string(),
            move_min: self.move_min(),
            run_min: ByDay::Days(run.iter().map(|r| set.minutes * r / today).collect()),
            pulses: pulsed.iter().map(|p| PulseTime { on_min: p.on_min, soak_min: p.soak_min }).collect(),
            one_run_min: (!pulsed.is_empty()).then(|| set.one_run_min()),
            may_split: false,
        }
    }

    /// What a job of the timetable takes.
    pub fn block_work(&self, block: &BlockPlan, farm_block: &FarmBlock<'_>, job: &JobAnswer) -> BlockWork {
        let (positions, source, each_m2) = self.positions(block, farm_block);
        let served = job.begin.date();
        let day = usize::try_from(served - self.today).unwrap_or(0);
        let net_mm = block.without_rain.net_mm.get(day).copied().unwrap_or(0.0);
        let gross_mm = (net_mm / block.efficiency.1, net_mm / block.efficiency.0);
        let by_flow = flow_l_min(farm_block).map(|f| (f * job.run_min, f * job.run_min));
        let pumped_l = by_flow.or(block.area_m2.map(|a| (gross_mm.0 * a, gross_mm.1 * a)));
        BlockWork { block: block.name.clone(), positions, source, each_m2, move_min: self.move_min(), gross_mm, pumped_l, served }
    }
}

/// The sets that were placed for this morning, where there are any.
fn placed(block: &BlockPlan) -> Option<&[PlannedSet]> {
    block.sets.as_ref().map(|s| s.sets.as_slice()).filter(|s| !s.is_empty())
}

/// Flow of the sprinkler as pump and hoses leave it here, L/min, if it is known.
pub(super) fn flow_l_min(block: &FarmBlock<'_>) -> Option<f64> {
    block.head().ok().flatten().map(|h| h.sprinkler.flow_l_min())
}
