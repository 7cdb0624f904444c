//! A proven bound on the cost of every plan, from any prices on what trees lack.
//!
//! Water counts for a tree at most up to its target, and only from positions that are set up. With a price on each
//! tree's lack (and on what is past its hold), the trees part from each other and each position can be judged alone: it
//! is either left out, or set up for the minutes at which what it earns from its trees, capped at each one's target,
//! exceeds its cost most. The sum of these is below the cost of every plan, **for any prices** between 0 and the row's
//! own, so a slip of the search for good prices can only loosen it. The cap is what makes it tight: without it a fixed
//! charge is spread over more minutes than anyone would run.
//!
//! Good prices are the duals of a linear program whose columns are positions with whole running times; the times that
//! the judgment of each position picks under the last prices join it, until nothing is gained any more.
//!
//! # Source
//! Lagrangian relaxation by column generation (Dantzig and Wolfe 1960, Operations Research 8), its prices pulled
//! towards the best so far (Wentges 1997, International Transactions in Operational Research 4). The capped earnings
//! are those of single-node flow with fixed charges (Padberg, Van Roy and Wolsey 1985, Operations Research 33).

#![allow(clippy::indexing_slicing)] // rows and trees by the model's own indices

use super::kernel_times::{Effect, Program, Until, times};
use super::model::{Model, Row};
use crate::control::Control;
use crate::error::Result;

/// Share of the best prices so far in those that are tried.
const PULL: f64 = 0.4;
/// Relative distance from the master program at which the bound is as good as it gets.
const CLOSE: f64 = 5e-4;
/// Running times from which on idle ones are dropped, and the most that join in a round.
const MOST_COLUMNS: usize = 260;

pub(super) struct Relaxation<'a> {
    model: &'a Model,
    /// For each column its needy trees: minutes at which each has its target, rate, row; soonest first.
    wanted: Vec<Vec<(f64, f64, usize)>>,
    /// Rows of water past a limit, by tree.
    over: Vec<Vec<usize>>,
}

/// A position with a running time: what it brings with the caps, and its cost with the move.
struct Whole {
    column: usize,
    minutes: f64,
    places: Vec<usize>,
    amounts: Vec<f64>,
    cost: f64,
    idle: u32,
}

/// What the relaxation found.
#[derive(Debug, Clone, Default)]
pub(super) struct Bound {
    /// No plan costs less.
    pub cost: f64,
    /// Prices that prove it, one for each row.
    pub prices: Vec<f64>,
    /// Columns in use there, with their minutes: a guide for the search.
    pub guide: Vec<(usize, f64)>,
}

impl<'a> Relaxation<'a> {
    pub fn new(model: &'a Model) -> Self {
        let n = model.trees();
        let (mut need, mut over) = (vec![None; n], vec![Vec::new(); n]);
        for (r, row) in model.rows.iter().enumerate() {
            if row.sign > 0.0 {
                need[row.tree] = Some(r);
            } else {
                over[row.tree].push(r);
            }
        }
        let wanted = (model.columns.iter())
            .map(|column| {
                let pairs = column.trees.iter().zip(&column.rates);
                let mut wanted: Vec<_> = pairs.filter_map(|(&i, &a)| need[i].map(|r| (model.rows[r].right / a, a, r))).collect();
                wanted.sort_by(|a, b| a.0.total_cmp(&b.0));
                wanted
            })
            .collect();
        Self { model, wanted, over }
    }

    /// The bound that these prices prove. `gainful` gets each column worth setting up, with its minutes and what it adds.
    pub fn at(&self, prices: &[f64], mut gainful: impl FnMut(usize, f64, f64)) -> f64 {
        let model = self.model;
        let mut bound: f64 = model.rows.iter().zip(prices).map(|(row, price)| row.right * price).sum();
        let over: Vec<f64> = self.over.iter().map(|rows| rows.iter().map(|&r| prices[r]).sum()).collect();
        for (j, (column, wanted)) in model.columns.iter().zip(&self.wanted).enumerate() {
            let spoiled: f64 = column.trees.iter().zip(&column.rates).map(|(&i, a)| over[i] * a).sum();
            let earned: f64 = wanted.iter().map(|&(_, a, r)| prices[r] * a).sum();
            let mut slope = column.cost + spoiled - earned;
            let (mut value, mut minutes) = (model.move_min, 0.0);
            for &(full, a, r) in wanted {
                if slope >= 0.0 || full > column.most_min {
                    break;
                }
                if prices[r] > 0.0 {
                    value += slope * (full - minutes);
                    minutes = full;
                    slope += prices[r] * a;
                }
            }
            if slope < 0.0 {
                value += slope * (column.most_min - minutes);
                minutes = column.most_min;
            }
            if value < 0.0 {
                bound += value;
                gainful(j, minutes, value);
            }
        }
        bound
    }

    /// Trees twice: first as those that lack water, capped at their target, then as those that have too much.
    fn whole(&self, column: usize, minutes: f64) -> Whole {
        let (model, n) = (self.model, self.model.trees());
        let from = &model.columns[column];
        let (mut places, mut amounts) = (Vec::new(), Vec::new());
        for (&i, a) in from.trees.iter().zip(&from.rates) {
            places.push(i);
            amounts.push((a * minutes).min(model.target[i]));
        }
        for (&i, a) in from.trees.iter().zip(&from.rates).filter(|(i, _)| !self.over[**i].is_empty()) {
            places.push(n + i);
            amounts.push(a * minutes);
        }
        Whole { column, minutes, places, amounts, cost: model.move_min + from.cost * minutes, idle: 0 }
    }

    /// The best bound found in so many rounds.
    pub fn best(&self, rounds: usize, control: &Control) -> Result<Bound> {
        let n = self.model.trees();
        let twice = |row: &Row| Row { tree: if row.sign > 0.0 { row.tree } else { n + row.tree }, ..*row };
        let rows: Vec<Row> = self.model.rows.iter().map(twice).collect();
        // to start with, each position for as long as half of its trees need it
        let middle = |wanted: &Vec<(f64, f64, usize)>| wanted.get(wanted.len() / 2).map(|w| w.0);
        let times_of = self.model.columns.iter().zip(&self.wanted).map(|(c, w)| middle(w).unwrap_or(c.most_min).min(c.most_min));
        let every = self.model.columns.len().div_ceil(2 * MOST_COLUMNS).max(1);
        let mut pool: Vec<Whole> = times_of.enumerate().step_by(every).map(|(j, t)| self.whole(j, t)).collect();
        let mut best = Bound { cost: self.at(&vec![0.0; rows.len()], |_, _, _| {}), prices: vec![0.0; rows.len()], guide: Vec::new() };
        let mut last: Option<Vec<f64>> = None;
        for round in 0..rounds {
            match control.step("a bound on the cost", round as u64, rounds as u64) {
                Err(e) if !e.is_limit() => return Err(e),
                _ => {}
            }
            let columns = pool.iter().map(|w| Effect { trees: &w.places, rates: &w.amounts, cost: w.cost, most: 1.0 }).collect();
            let program = Program { trees: 2 * n, rows: &rows, columns };
            let master = times(&program, last.as_deref(), Until { gap: 1e-3, cutoff: f64::INFINITY }, control);
            let use_of = master.minutes;
            best.guide = pool.iter().zip(&use_of).filter(|(_, u)| **u > 1e-3).map(|(w, _)| (w.column, w.minutes)).collect();
            for (w, u) in pool.iter_mut().zip(&use_of) {
                w.idle = if *u > 1e-4 { 0 } else { w.idle + 1 };
            }
            if pool.len() > MOST_COLUMNS {
                pool.retain(|w| w.idle < 3);
            }
            let mut fresh: Vec<(f64, usize, f64)> = Vec::new();
            let pulled: Vec<f64> = master.duals.iter().zip(&best.prices).map(|(out, held)| PULL * held + (1.0 - PULL) * out).collect();
            let tried = if round == 0 { vec![master.duals.clone()] } else { vec![pulled, master.duals.clone()] };
            for prices in tried {
                let cost = self.at(&prices, |j, t, value| fresh.push((value, j, t)));
                if cost > best.cost {
                    (best.cost, best.prices) = (cost, prices);
                }
            }
            if master.bound - best.cost <= CLOSE * best.cost.abs() {
                break;
            }
            let before = pool.len();
            fresh.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            for (_, j, t) in fresh.into_iter().take(MOST_COLUMNS) {
                if !pool.iter().any(|w| w.column == j && (w.minutes - t).abs() <= 1e-3 * t) {
                    pool.push(self.whole(j, t));
                }
            }
            if pool.len() == before {
                break;
            }
            last = Some(master.duals);
        }
        Ok(best)
    }
}
