//! A proven bound on the cost of every plan, from any prices on what trees lack.
//!
//! Water counts for a tree at most up to its target, and only from positions that are set up. With a price on each
//! tree's lack (and on what is past its hold), the trees part from each other and each position can be judged alone: it
//! is either left out, or set up for the minutes at which what it earns from its trees, capped at each one's target,
//! exceeds its cost most. The sum of these is below the cost of every plan, **for any prices** between 0 and the row's
//! own, so a slip of the search for good prices can only loosen it. The cap is what makes it tight: without it a fixed
//! charge is spread over more minutes than anyone would run.
//!
//! # Source
//! Lagrangian relaxation with Polyak's step (Polyak 1969; Held, Wolfe and Crowder 1974, Mathematical Programming 6); the capped earnings
//! are those of Padberg, Van Roy and Wolsey (1985), Operations Research 33, for single-node flow with fixed charges.

#![allow(clippy::indexing_slicing)] // rows and trees by the model's own indices

use super::model::Model;
use crate::control::Control;
use crate::error::Result;

/// Rounds without a better bound before the step is halved.
const PATIENCE: usize = 12;

pub(super) struct Relaxation<'a> {
    model: &'a Model,
    /// For each column its needy trees: minutes at which each has its target, rate, row; soonest first.
    wanted: Vec<Vec<(f64, f64, usize)>>,
    /// Rows of water past a limit, by tree.
    over: Vec<Vec<usize>>,
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

    /// The bound that these prices prove, and for each row how much it is missed at them.
    pub fn at(&self, prices: &[f64], missed: &mut [f64]) -> f64 {
        let model = self.model;
        let mut bound = 0.0;
        for (r, row) in model.rows.iter().enumerate() {
            missed[r] = row.right;
            bound += row.right * prices[r];
        }
        let over: Vec<f64> = self.over.iter().map(|rows| rows.iter().map(|&r| prices[r]).sum()).collect();
        for (column, wanted) in model.columns.iter().zip(&self.wanted) {
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
                for &(full, a, r) in wanted {
                    missed[r] -= if minutes >= full { model.rows[r].right } else { a * minutes };
                }
                for (&i, a) in column.trees.iter().zip(&column.rates) {
                    for &r in &self.over[i] {
                        missed[r] += a * minutes;
                    }
                }
            }
        }
        bound
    }

    /// The best bound found in so many rounds from starting prices; `known`: the cost of the best plan.
    pub fn climb(&self, start: Vec<f64>, known: f64, rounds: usize, control: &Control) -> Result<(f64, Vec<f64>)> {
        let rows = &self.model.rows;
        let mut prices = start;
        let mut missed = vec![0.0; rows.len()];
        let mut smooth = vec![0.0; rows.len()];
        let mut best = (f64::NEG_INFINITY, prices.clone());
        let (mut pace, mut waited) = (1.0, 0);
        for round in 0..rounds {
            match control.step("a bound on the cost", round as u64, rounds as u64) {
                Err(e) if !e.is_limit() => return Err(e),
                _ => {}
            }
            let bound = self.at(&prices, &mut missed);
            if bound > best.0 {
                let gained = bound - best.0;
                best = (bound, prices.clone());
                waited = if gained > 1e-5 * bound.abs() { 0 } else { waited + 1 };
            } else {
                waited += 1;
            }
            if waited >= PATIENCE {
                (pace, waited) = (0.6 * pace, 0);
                prices.clone_from(&best.1);
                smooth.fill(0.0);
                if pace < 1e-3 || known - best.0 <= 1e-9 * known.abs() {
                    break;
                }
                continue;
            }
            for (s, m) in smooth.iter_mut().zip(&missed) {
                *s = 0.3 * *s + 0.7 * m;
            }
            // rows that are met and cost nothing do not count
            let live = |r: usize, s: f64| !(s < 0.0 && prices[r] <= 0.0);
            let size: f64 = smooth.iter().enumerate().filter(|(r, s)| live(*r, **s)).map(|(_, s)| s * s).sum();
            if size <= 0.0 {
                break;
            }
            let step = pace * (known - bound).max(1e-6 * known.abs()) / size;
            for (r, row) in rows.iter().enumerate() {
                prices[r] = (prices[r] + step * smooth[r]).clamp(0.0, row.price);
            }
        }
        Ok(best)
    }
}
