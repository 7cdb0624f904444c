//! The search for positions: a first choice by scaled slopes, then drop and swap, then rounds that take some sets out and
//! choose anew around them.
//!
//! Every choice of positions gets its cheapest minutes from one linear program (`kernel_times`), which is also the unit
//! of the work limit. Nothing depends on a clock or on threads.
//!
//! # Source
//! Slope scaling: Kim and Pardalos (1999), Operations Research Letters 24: a fixed charge is spread over the minutes of
//! the last answer. Taking out and choosing anew: Shaw (1998), large neighborhood search, LNCS 1520.

use super::kernel_times::{Effect, Program, Times, Until, times};
use super::model::Model;
use crate::control::Control;
use crate::error::Result;
use crate::num::random::Stream;
use std::collections::{HashMap, HashSet};

/// Shorter times than this are no set, min.
const LEAST_MIN: f64 = 1e-4;
/// Rounds without a cheaper plan before the search ends.
const PATIENCE: u64 = 120;
/// Columns from which on the first programs take only those of the relaxation: their time grows with the cube of their
/// number. Plans of the demo and of the reference fields came out no worse.
const MOST_AT_ONCE: usize = 60;
/// Neighbors that a set is always swapped for; of those farther off only the relaxation's.
const NEXT: usize = 12;
/// Share by which a plan may be dearer and still be gone on from, at the start of the search.
const TOLERANCE: f64 = 0.015;
/// Sets that a round takes out beside the picked one, at the most.
const MOST_OUT: u64 = 9;
/// Answers with scaled slopes in a round.
const ROUNDS_AROUND: usize = 8;
/// Share of the positions around a set taken out that a round may choose from: those of the relaxation, and others.
const LIKELY: f64 = 0.8;
const UNLIKELY: f64 = 0.2;
/// A plan counts as cheaper from this share on.
const CHEAPER: f64 = 1e-7;

/// A choice of columns with their minutes.
#[derive(Debug, Clone, Default)]
pub(super) struct Choice {
    /// Column and minutes, by column.
    pub sets: Vec<(usize, f64)>,
    /// Whole cost.
    pub cost: f64,
    /// Duals of the rows.
    pub duals: Vec<f64>,
}

impl Choice {
    fn columns(&self) -> Vec<usize> {
        self.sets.iter().map(|s| s.0).collect()
    }
}

pub(super) struct Search<'a> {
    model: &'a Model,
    /// For each column those around it, nearest first.
    near: Vec<Vec<usize>>,
    /// For each column those that it is swapped for.
    swaps: Vec<Vec<usize>>,
    /// Columns that the relaxation uses.
    guide: Vec<usize>,
    control: &'a Control,
    limit: u64,
    /// Linear programs solved.
    pub solved: u64,
    /// Cost of choices seen: infinite if it was given up early.
    seen: HashMap<Vec<usize>, f64>,
    random: Stream,
}

impl<'a> Search<'a> {
    pub fn new(model: &'a Model, near: Vec<Vec<usize>>, guide: &[(usize, f64)], control: &'a Control, limit: u64, seed: u64) -> Self {
        let mut guide: Vec<usize> = guide.iter().map(|g| g.0).collect();
        guide.sort_unstable();
        guide.dedup();
        let useful = |at: usize, column: &usize| at < NEXT || guide.binary_search(column).is_ok();
        let pick = |list: &Vec<usize>| list.iter().enumerate().filter(|(at, c)| useful(*at, c)).map(|(_, c)| *c).collect();
        let swaps = near.iter().map(pick).collect();
        Self { model, near, swaps, guide, control, limit, solved: 0, seen: HashMap::new(), random: Stream::new(seed, 0) }
    }

    /// The cheapest plan found within the work limit.
    pub fn run(&mut self) -> Result<Choice> {
        let all: Vec<usize> = (0..self.model.columns.len()).collect();
        let nothing = Choice { cost: self.model.cost(&[]), duals: self.model.rows.iter().map(|_| 0.0).collect(), ..Choice::default() };
        if all.is_empty() {
            return Ok(nothing);
        }
        let first: Vec<f64> = self.model.columns.iter().map(|c| c.cost + self.model.move_min / c.most_min).collect();
        // with very many columns, the relaxation's are enough
        let some = if all.len() > MOST_AT_ONCE && !self.guide.is_empty() { self.guide.clone() } else { all };
        let costs = some.iter().filter_map(|&c| first.get(c).copied()).collect();
        let mut best = self.scaled(&some, costs, 10)?;
        let guide = self.guide.clone();
        if !guide.is_empty() {
            let costs = guide.iter().filter_map(|&c| first.get(c).copied()).collect();
            let guided = self.scaled(&guide, costs, 10)?;
            if guided.cost < best.cost {
                best = guided;
            }
        }
        if nothing.cost < best.cost {
            best = nothing;
        }
        self.drop_sets(&mut best, None)?;
        let mut current = best.clone();
        let mut waited = 0;
        while !self.spent() && waited < PATIENCE && !best.sets.is_empty() {
            let mut next = self.around(&current)?;
            // only what came out near the current cost is worth the polish
            if next.cost < current.cost * 1.02 {
                let fresh: Vec<usize> = next.columns().into_iter().filter(|c| current.sets.iter().all(|s| s.0 != *c)).collect();
                self.polish(&mut next, Some(&fresh))?;
            }
            if next.cost < best.cost * (1.0 - CHEAPER) {
                best = next.clone();
                waited = 0;
            } else {
                waited += 1;
            }
            // dearer plans are taken on the way, ever less so
            let left = 1.0 - self.solved as f64 / self.limit.max(1) as f64;
            if next.cost <= best.cost * (1.0 + CHEAPER + TOLERANCE * left * left * self.random.next_f64()) {
                current = next;
            } else if waited % 25 == 24 {
                current = best.clone();
            }
        }
        self.finish(best)
    }

    fn spent(&self) -> bool {
        self.solved >= self.limit
    }

    /// One linear program. The control's own limit ends the search like the request's.
    fn solve(&mut self, columns: &[usize], costs: &[f64], duals: Option<&[f64]>, until: Until) -> Result<Times> {
        match self.control.step("placing the sprinkler", self.solved, self.limit) {
            Err(e) if e.is_limit() => self.limit = self.solved,
            other => other?,
        }
        self.solved += 1;
        Ok(times(&self.program(columns, costs), duals, until, self.control))
    }

    fn program(&self, columns: &[usize], costs: &[f64]) -> Program<'a> {
        let effect = |(&c, &cost): (&usize, &f64)| {
            self.model.columns.get(c).map(|c| Effect { trees: &c.trees, rates: &c.rates, cost, most: c.most_min })
        };
        let columns = columns.iter().zip(costs).filter_map(effect).collect();
        Program { trees: self.model.trees(), rows: &self.model.rows, columns }
    }

    fn plain_costs(&self, columns: &[usize]) -> Vec<f64> {
        columns.iter().filter_map(|&c| self.model.columns.get(c)).map(|c| c.cost).collect()
    }

    /// Cheapest minutes of a choice, if these can come below `cutoff`.
    fn evaluate(&mut self, mut columns: Vec<usize>, duals: &[f64], cutoff: f64) -> Result<Option<Choice>> {
        columns.sort_unstable();
        columns.dedup();
        if self.seen.get(&columns).is_some_and(|seen| *seen >= cutoff) {
            return Ok(None);
        }
        let moves = self.model.move_min * columns.len() as f64;
        let costs = self.plain_costs(&columns);
        let found = self.solve(&columns, &costs, Some(duals), Until { gap: 1e-6, cutoff: cutoff - moves })?;
        if found.bound + moves >= cutoff {
            // a lower limit is all that is known: enough to skip it next time
            self.seen.insert(columns, found.bound + moves);
            return Ok(None);
        }
        let choice = self.choice(&columns, found);
        self.seen.insert(columns, choice.cost);
        Ok((choice.cost < cutoff).then_some(choice))
    }

    fn choice(&self, columns: &[usize], found: Times) -> Choice {
        let sets: Vec<(usize, f64)> = columns.iter().copied().zip(found.minutes).filter(|(_, t)| *t > LEAST_MIN).collect();
        Choice { cost: self.model.cost(&sets), sets, duals: found.duals }
    }

    /// Sparse choice from many columns: minutes at costs with the fixed charge spread, again and again.
    fn scaled(&mut self, columns: &[usize], costs: Vec<f64>, rounds: usize) -> Result<Choice> {
        let mut live = columns.to_vec();
        let mut costs = costs;
        let mut best = Choice { cost: f64::INFINITY, ..Choice::default() };
        let mut duals: Option<Vec<f64>> = None;
        for _ in 0..rounds {
            let found = self.solve(&live, &costs, duals.as_deref(), Until { gap: 1e-4, cutoff: f64::INFINITY })?;
            let minutes = found.minutes.clone();
            let choice = self.choice(&live, found);
            duals = Some(choice.duals.clone());
            let longest = minutes.iter().copied().fold(0.0, f64::max);
            let kept: Vec<(usize, f64)> = live.iter().copied().zip(minutes).filter(|(_, t)| *t > 0.01 * longest).collect();
            let same = kept.len() == live.len();
            if choice.cost < best.cost * (1.0 - CHEAPER) {
                best = choice;
            } else if same {
                break;
            }
            if kept.is_empty() || self.spent() {
                break;
            }
            live = kept.iter().map(|k| k.0).collect();
            let spread = kept.iter().filter_map(|&(c, t)| self.model.columns.get(c).map(|c| c.cost + self.model.move_min / t));
            costs = spread.collect();
        }
        Ok(best)
    }

    /// Drops and swaps single sets while that makes the plan cheaper; `only`: sets whose neighborhood is looked at.
    fn polish(&mut self, plan: &mut Choice, only: Option<&[usize]>) -> Result<()> {
        let mut focus: Option<Vec<usize>> = only.map(<[usize]>::to_vec);
        loop {
            let dropped = self.drop_sets(plan, focus.as_deref())?;
            let swapped = self.swap_sets(plan, focus.as_deref())?;
            if self.spent() || !(dropped || swapped) {
                return Ok(());
            }
            if let Some(focus) = &mut focus {
                *focus = plan.columns().into_iter().filter(|c| focus.contains(c)).collect();
            }
        }
    }

    fn drop_sets(&mut self, plan: &mut Choice, only: Option<&[usize]>) -> Result<bool> {
        let mut better = false;
        let mut order = plan.sets.clone();
        if let Some(only) = only {
            // elsewhere nothing changed, but short sets may have become shorter
            let usual = order.iter().map(|s| s.1).sum::<f64>() / order.len().max(1) as f64;
            order.retain(|(c, t)| only.contains(c) || *t < 0.3 * usual);
        }
        order.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        for (out, _) in order {
            if self.spent() {
                break;
            }
            let columns = plan.columns();
            if !columns.contains(&out) {
                continue;
            }
            let rest: Vec<usize> = columns.into_iter().filter(|c| *c != out).collect();
            if rest.is_empty() {
                continue;
            }
            if let Some(next) = self.evaluate(rest, &plan.duals.clone(), plan.cost * (1.0 - CHEAPER))? {
                *plan = next;
                better = true;
            }
        }
        Ok(better)
    }

    fn swap_sets(&mut self, plan: &mut Choice, only: Option<&[usize]>) -> Result<bool> {
        let mut better = false;
        let mut order = plan.columns();
        if let Some(only) = only {
            order.retain(|c| only.contains(c));
        }
        self.shuffle(&mut order);
        for out in order {
            let others = self.swaps.get(out).cloned().unwrap_or_default();
            for into in others {
                if self.spent() {
                    return Ok(better);
                }
                let columns = plan.columns();
                if columns.contains(&into) {
                    continue;
                }
                let swapped: Vec<usize> = columns.into_iter().map(|c| if c == out { into } else { c }).collect();
                if let Some(next) = self.evaluate(swapped, &plan.duals.clone(), plan.cost * (1.0 - CHEAPER))? {
                    *plan = next;
                    better = true;
                    break;
                }
            }
        }
        Ok(better)
    }

    /// Takes a few neighboring sets out and chooses anew among the positions around them.
    fn around(&mut self, plan: &Choice) -> Result<Choice> {
        let columns = plan.columns();
        let pick = self.random.below(columns.len() as u64) as usize;
        let center = columns.get(pick).copied().unwrap_or_default();
        let count = 1 + self.random.below(MOST_OUT) as usize;
        let mut out: Vec<usize> = vec![center];
        out.extend(self.ranked(center, &columns).into_iter().take(count));
        let mut pool: Vec<usize> = columns.iter().copied().filter(|c| !out.contains(c)).collect();
        let kept = pool.len();
        let mut seen: HashSet<usize> = columns.iter().copied().collect();
        for &o in &out {
            for &c in self.near.get(o).map_or(&[][..], Vec::as_slice) {
                // columns of the relaxation are the likelier ones
                let share = if self.guide.binary_search(&c).is_ok() { LIKELY } else { UNLIKELY };
                if self.random.next_f64() < share && seen.insert(c) {
                    pool.push(c);
                }
            }
        }
        pool.extend(out.iter().copied());
        let usual = plan.sets.iter().map(|s| s.1).sum::<f64>() / plan.sets.len().max(1) as f64;
        let minutes_of: HashMap<usize, f64> = plan.sets.iter().copied().collect();
        let mut costs = Vec::with_capacity(pool.len());
        for (at, c) in pool.iter().enumerate() {
            let Some(column) = self.model.columns.get(*c) else { continue };
            // a random length for each newcomer, so that rounds differ
            let expected = match minutes_of.get(c) {
                Some(t) if at < kept => *t,
                _ => usual * (0.5 + self.random.next_f64()),
            };
            costs.push(column.cost + self.model.move_min / expected.min(column.most_min).max(LEAST_MIN));
        }
        self.scaled(&pool, costs, ROUNDS_AROUND)
    }

    /// Columns of a plan by distance from one of them, nearest first, itself left out.
    fn ranked(&self, center: usize, columns: &[usize]) -> Vec<usize> {
        let near = self.near.get(center).map_or(&[][..], Vec::as_slice);
        let mut found: Vec<usize> = near.iter().copied().filter(|c| columns.contains(c)).collect();
        // beyond the list of neighbors: those that share most neighbors with it
        let shared = |c: &usize| self.near.get(*c).map_or(0, |n| n.iter().filter(|k| near.contains(k)).count());
        let mut rest: Vec<usize> = columns.iter().copied().filter(|c| *c != center && !found.contains(c)).collect();
        rest.sort_by_key(|c| (std::cmp::Reverse(shared(c)), *c));
        found.extend(rest);
        found
    }

    fn shuffle(&mut self, list: &mut [usize]) {
        for i in (1..list.len()).rev() {
            let j = self.random.below(i as u64 + 1) as usize;
            list.swap(i, j);
        }
    }

    /// The plan's minutes to the last digits, raised by what rounding left short.
    fn finish(&mut self, plan: Choice) -> Result<Choice> {
        if plan.sets.is_empty() {
            return Ok(plan);
        }
        let columns = plan.columns();
        let program = self.program(&columns, &self.plain_costs(&columns));
        let found = times(&program, Some(&plan.duals), Until { gap: 1e-10, cutoff: f64::INFINITY }, self.control);
        let last = self.choice(&columns, found);
        let plan = if last.cost <= plan.cost * (1.0 + CHEAPER) { last } else { plan };
        let depths = self.model.depths(&plan.sets);
        let lift = depths.iter().zip(&self.model.target).filter(|(d, t)| **t > 0.0 && **d < **t && **d >= **t * (1.0 - 1e-6));
        let factor = lift.map(|(d, t)| t / d).fold(1.0, f64::max);
        let room = |&(c, t): &(usize, f64)| self.model.columns.get(c).is_some_and(|c| t * factor <= c.most_min * (1.0 + 1e-9));
        if factor > 1.0 && plan.sets.iter().all(room) {
            let sets: Vec<(usize, f64)> = plan.sets.iter().map(|&(c, t)| (c, t * factor)).collect();
            let raised = Choice { cost: self.model.cost(&sets), sets, duals: plan.duals.clone() };
            let capped = self.model.cap.as_ref().is_some_and(|cap| self.model.depths(&raised.sets).iter().zip(cap).any(|(d, c)| d > c));
            if !capped {
                return Ok(raised);
            }
        }
        Ok(plan)
    }
}
