//! Exact search for one sprinkler: over how far each chain has come, forward for the earliest end, backward for the latest
//! begin.
//!
//! A state is the number of visits done in each chain (and the job served last, where moves depend on it). Of two ways to
//! the same state the one that is free sooner is never worse, forward; of two ways from it the one that may begin later,
//! backward. So one number for each state is enough, and every order of visits is covered.

// states are numbered without gaps and every index is made from the strides below; fuzzed by the tests against brute force
#![allow(clippy::indexing_slicing)]

use super::timeline::{Fit, Timeline};
use super::visit::Chain;
use crate::control::Control;
use crate::error::Result;

/// What the search works on. Minutes count from the midnight before `now`.
pub(super) struct Board<'a> {
    pub chains: &'a [Chain],
    pub line: &'a Timeline,
    /// By job: to be finished by.
    pub due: &'a [Option<i64>],
    /// By job: not before.
    pub release: &'a [i64],
    /// Minutes more for the move from the row's job to the column's; empty for none.
    pub between: &'a [Vec<i64>],
}

/// A visit in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Placed {
    pub chain: usize,
    pub visit: usize,
    pub fit: Fit,
}

const NEVER: i64 = i64::MIN;
const WHAT: &str = "the search for the order of sets";
/// States between two looks at the cancel flag.
const SLICE: usize = 4096;

impl Board<'_> {
    /// Number of states; `None` beyond what can be counted.
    pub fn states(&self) -> Option<usize> {
        let lasts = if self.between.is_empty() { 1 } else { self.due.len() + 1 };
        self.chains.iter().try_fold(lasts, |n, c| n.checked_mul(c.visits.len() + 1))
    }

    fn strides(&self) -> (Vec<usize>, usize) {
        let mut size = 1;
        let strides = self
            .chains
            .iter()
            .map(|c| {
                size *= c.visits.len() + 1;
                size / (c.visits.len() + 1)
            })
            .collect();
        (strides, size)
    }

    /// Minutes more for the move to a job; `last` is the number of the job before and one more, 0 at first.
    pub fn extra(&self, last: usize, job: usize) -> i64 {
        if last == 0 || self.between.is_empty() { 0 } else { self.between[last - 1][job] }
    }

    /// The chain whose next visit must follow at once, if one is under way.
    fn held(&self, progress: &[usize]) -> Option<usize> {
        (0..self.chains.len()).find(|&k| progress[k] > 0 && self.chains[k].visits.get(progress[k]).is_some_and(|v| v.glued))
    }

    /// Latest minute at which the sprinkler may be free at the start, so that all is finished in time; `None` if it cannot be.
    pub fn latest_start(&self, control: &Control) -> Result<Option<i64>> {
        let (strides, size) = self.strides();
        let lasts = if self.between.is_empty() { 1 } else { self.due.len() + 1 };
        let mut latest = vec![NEVER; size * lasts];
        latest[(size - 1) * lasts..].fill(i64::MAX);
        let mut progress: Vec<usize> = self.chains.iter().map(|c| c.visits.len()).collect();
        for state in (0..size - 1).rev() {
            if state % SLICE == 0 {
                control.step(WHAT, (size - state) as u64, size as u64)?;
            }
            self.step_down(&mut progress);
            let held = self.held(&progress);
            for last in 0..lasts {
                let mut best = NEVER;
                for (k, chain) in self.chains.iter().enumerate() {
                    let Some(visit) = chain.visits.get(progress[k]).filter(|_| held.is_none_or(|h| h == k)) else { continue };
                    let after = if lasts > 1 { chain.job + 1 } else { 0 };
                    let free_after = latest[(state + strides[k]) * lasts + after];
                    let limit = self.due[chain.job].map_or(free_after, |d| d.min(free_after));
                    if limit == NEVER {
                        continue;
                    }
                    let extra = self.extra(last, chain.job);
                    if let Some(begin) = self.line.backward(visit, extra, limit, self.release[chain.job]) {
                        best = best.max(begin - (visit.wait - visit.move_min - extra).max(0));
                    }
                }
                latest[state * lasts + last] = best;
            }
        }
        Ok(Some(latest[0]).filter(|t| *t != NEVER))
    }

    /// The order of visits that ends first among those that keep every limit, begun at `start`; `None` if none does.
    pub fn earliest_end(&self, start: i64, control: &Control) -> Result<Option<Vec<Placed>>> {
        let (strides, size) = self.strides();
        let lasts = if self.between.is_empty() { 1 } else { self.due.len() + 1 };
        const UNREACHED: i64 = i64::MAX;
        let mut earliest = vec![UNREACHED; size * lasts];
        // the chain that led here, and the job served before it
        let mut came = vec![(u16::MAX, u16::MAX); size * lasts];
        earliest[0] = start;
        let mut progress = vec![0; self.chains.len()];
        for state in 0..size {
            if state % SLICE == 0 {
                control.step(WHAT, state as u64, size as u64)?;
            }
            if state > 0 {
                self.step_up(&mut progress);
            }
            let held = self.held(&progress);
            for last in 0..lasts {
                let free = earliest[state * lasts + last];
                if free == UNREACHED {
                    continue;
                }
                for (k, chain) in self.chains.iter().enumerate() {
                    let Some(visit) = chain.visits.get(progress[k]).filter(|_| held.is_none_or(|h| h == k)) else { continue };
                    let Some(fit) = self.line.forward(visit, self.extra(last, chain.job), free, self.release[chain.job]) else { continue };
                    if self.due[chain.job].is_some_and(|d| fit.end > d) {
                        continue;
                    }
                    let to = (state + strides[k]) * lasts + if lasts > 1 { chain.job + 1 } else { 0 };
                    if fit.end < earliest[to] {
                        earliest[to] = fit.end;
                        came[to] = (k as u16, last as u16);
                    }
                }
            }
        }
        let end = (0..lasts).min_by_key(|last| earliest[(size - 1) * lasts + last]).unwrap_or(0);
        if earliest[(size - 1) * lasts + end] == UNREACHED {
            return Ok(None);
        }
        let mut order = Vec::new();
        let (mut state, mut last) = (size - 1, end);
        while state > 0 {
            let (k, before) = came[state * lasts + last];
            order.push(usize::from(k));
            state -= strides[usize::from(k)];
            last = usize::from(before);
        }
        order.reverse();
        Ok(self.place(&order, start))
    }

    /// The visits in this order of chains, each as soon as it can be; `None` if one finds no place.
    pub fn place(&self, order: &[usize], start: i64) -> Option<Vec<Placed>> {
        let mut progress = vec![0; self.chains.len()];
        let (mut free, mut last) = (start, 0);
        let mut placed = Vec::with_capacity(order.len());
        for &k in order {
            let chain = &self.chains[k];
            let visit = chain.visits.get(progress[k])?;
            let fit = self.line.forward(visit, self.extra(last, chain.job), free, self.release[chain.job])?;
            placed.push(Placed { chain: k, visit: progress[k], fit });
            progress[k] += 1;
            (free, last) = (fit.end, chain.job + 1);
        }
        Some(placed)
    }

    /// Progress of the state before, chain 0 turning fastest.
    fn step_down(&self, progress: &mut [usize]) {
        for (done, chain) in progress.iter_mut().zip(self.chains) {
            if *done > 0 {
                *done -= 1;
                return;
            }
            *done = chain.visits.len();
        }
    }

    fn step_up(&self, progress: &mut [usize]) {
        for (done, chain) in progress.iter_mut().zip(self.chains) {
            if *done < chain.visits.len() {
                *done += 1;
                return;
            }
            *done = 0;
        }
    }
}
