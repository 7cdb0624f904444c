//! The order of visits for one way of pulsing: exact where the states can be counted, else a good order and a proven bound.

use super::kernel::{Board, Placed};
use super::timeline::Timeline;
use super::visit::Chain;
use crate::control::Control;
use crate::error::Result;
use std::cmp::Reverse;

/// Beyond so many states the exact search gives way to a heuristic with a bound.
pub(super) const MOST_STATES: usize = 200_000;
/// Orders that the heuristic tries.
const MOST_TRIALS: usize = 120;
/// The same for each begin, while the latest is looked for.
const FEW_TRIALS: usize = 10;

/// Limits of a problem that do not depend on the way of pulsing. Minutes count from the midnight before `now`.
#[derive(Debug, Clone)]
pub(super) struct Limits<'a> {
    pub line: &'a Timeline,
    pub now: i64,
    pub due: Vec<Option<i64>>,
    pub release: Vec<i64>,
    pub between: &'a [Vec<i64>],
    pub sprinklers: usize,
    pub most_states: usize,
}

/// A visit in its place, with the sprinkler that does it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Laid {
    pub placed: Placed,
    pub sprinkler: usize,
}

/// An order with its rating: working minutes that are missing, then the last water off.
type Rated = ((i64, i64), Vec<Laid>);

/// What was found.
#[derive(Debug, Clone)]
pub(super) struct Solution {
    pub exact: bool,
    /// Working minutes that are missing; 0 if all is in time.
    pub short: i64,
    /// No order is short by less.
    pub short_bound: i64,
    /// Latest begin with which all is in time.
    pub latest: Option<i64>,
    /// No order allows a later one.
    pub latest_bound: Option<i64>,
    /// The visits from `latest` on, or from `now` on where they are late.
    pub laid: Vec<Laid>,
}

/// Visits of the only sprinkler.
fn laid_by_one(placed: Vec<Placed>) -> Vec<Laid> {
    placed.into_iter().map(|placed| Laid { placed, sprinkler: 0 }).collect()
}

/// The last water off; 0 for no visit.
fn end_of(laid: &[Laid]) -> i64 {
    laid.iter().map(|l| l.placed.fit.end).max().unwrap_or(0)
}

impl Limits<'_> {
    /// Each limit moved back by so many working minutes.
    fn due_later(&self, minutes: i64) -> Vec<Option<i64>> {
        let later = |due: i64| if minutes == 0 { due } else { self.line.earliest(self.line.worked(due) + minutes).unwrap_or(i64::MAX) };
        self.due.iter().map(|d| d.map(later)).collect()
    }

    fn board<'b>(&'b self, chains: &'b [Chain], due: &'b [Option<i64>]) -> Board<'b> {
        Board { chains, line: self.line, due, release: &self.release, between: self.between }
    }

    /// Working minutes by which the latest job is late.
    pub fn short_of(&self, chains: &[Chain], laid: &[Laid]) -> i64 {
        let late = |l: &Laid| {
            let due = chains.get(l.placed.chain).and_then(|c| self.due.get(c.job).copied().flatten())?;
            Some((self.line.worked(l.placed.fit.end) - self.line.worked(due)).max(0))
        };
        laid.iter().filter_map(late).max().unwrap_or(0)
    }

    /// Bounds that hold whatever the order: the work with a limit up to each moment has to fit before it, if it could be
    /// interrupted at will and shared among the sprinklers evenly. Working minutes missing, and the latest begin.
    fn bounds(&self, chains: &[Chain]) -> (i64, Option<i64>) {
        let mut work: Vec<(i64, i64)> = chains
            .iter()
            .filter_map(|c| Some((self.due.get(c.job).copied().flatten()?, c.visits.iter().map(super::visit::Visit::least_min).sum())))
            .collect();
        work.sort_unstable();
        let each = i64::try_from(self.sprinklers).unwrap_or(1).max(1);
        let (mut sum, mut short, mut latest) = (0, 0, None::<i64>);
        for (due, minutes) in work {
            sum += minutes;
            let share = (sum + each - 1) / each;
            let spare = self.line.worked(due) - share;
            short = short.max(-spare);
            if let Some(begin) = self.line.latest(spare) {
                latest = Some(latest.map_or(begin, |l| l.min(begin)));
            }
        }
        (short, if short > 0 { None } else { latest })
    }

    /// Is the earliest limit first exact here? For work that may be broken off, all there, with the same moves and minutes always.
    fn interruptible(&self, chains: &[Chain]) -> bool {
        let plain = |v: &super::visit::Visit| v.may_split && v.wait == 0 && !v.glued && v.run.len() == 1;
        self.sprinklers == 1
            && self.between.is_empty()
            && self.release.iter().all(|r| *r <= self.now)
            && chains.iter().all(|c| c.visits.iter().all(plain))
    }

    /// Can all be in time? Exact where that can be told; otherwise whether an order was found.
    pub fn in_time(&self, chains: &[Chain], control: &Control) -> Result<bool> {
        if self.bounds(chains).0 > 0 {
            return Ok(false);
        }
        if self.interruptible(chains) {
            return Ok(true);
        }
        let board = self.board(chains, &self.due);
        if self.sprinklers == 1 && board.states().is_some_and(|n| n <= self.most_states) {
            return Ok(board.latest_start(control)?.is_some_and(|t| t >= self.now));
        }
        Ok(self.short_of(chains, &self.best_order(chains, self.now, MOST_TRIALS, control)?) == 0)
    }

    pub fn solve(&self, chains: &[Chain], begin: Option<i64>, control: &Control) -> Result<Solution> {
        let (short_bound, latest_bound) = self.bounds(chains);
        let board = self.board(chains, &self.due);
        if self.sprinklers == 1 && self.due.iter().all(Option::is_none) {
            // nothing to be late for: in the order given
            let laid = self.in_due_order(chains, begin.unwrap_or(self.now).max(self.now));
            return Ok(Solution { exact: true, short: 0, short_bound: 0, latest: None, latest_bound: None, laid });
        }
        if self.interruptible(chains) {
            let start = begin.unwrap_or(latest_bound.unwrap_or(self.now)).max(self.now);
            let laid = self.in_due_order(chains, start);
            return Ok(Solution { exact: true, short: short_bound, short_bound, latest: latest_bound, latest_bound, laid });
        }
        if self.sprinklers > 1 || board.states().is_none_or(|n| n > self.most_states) {
            return self.searched(chains, begin, short_bound, latest_bound, control);
        }
        let latest = board.latest_start(control)?.filter(|t| *t >= self.now);
        if let Some(latest) = latest {
            let start = begin.map_or(latest, |b| b.max(self.now));
            let mut laid = self.filled(chains, start);
            let short = self.short_of(chains, &laid);
            if short > 0 || laid.is_empty() {
                let enough = if start <= latest { 0 } else { short };
                laid = self.least_short(chains, start, enough, 0, control)?.1;
            } else if begin.is_some() {
                // whoever begins earlier than he must wants to be done early
                let soonest: Vec<Laid> = board.earliest_end(start, control)?.map(laid_by_one).unwrap_or_default();
                if !soonest.is_empty() && end_of(&soonest) < end_of(&laid) {
                    laid = soonest;
                }
            }
            return Ok(Solution { exact: true, short: 0, short_bound: 0, latest: Some(latest), latest_bound: Some(latest), laid });
        }
        let by_due = self.in_due_order(chains, self.now);
        let (short, laid) = self.least_short(chains, self.now, self.short_of(chains, &by_due), short_bound.max(1), control)?;
        Ok(Solution {
            exact: true,
            short,
            short_bound: short,
            latest: None,
            latest_bound: None,
            laid: if laid.is_empty() { by_due } else { laid },
        })
    }

    /// The least number of working minutes by which all limits have to move so that an order from `start` keeps them.
    fn least_short(&self, chains: &[Chain], start: i64, enough: i64, least: i64, control: &Control) -> Result<(i64, Vec<Laid>)> {
        let attempt = |minutes: i64| -> Result<Option<Vec<Laid>>> {
            let due = self.due_later(minutes);
            let found = self.board(chains, &due).earliest_end(start, control)?;
            Ok(found.map(laid_by_one))
        };
        let (mut low, mut high) = (least.min(enough), enough);
        let mut best = Vec::new();
        while low < high {
            let middle = low + (high - low) / 2;
            match attempt(middle)? {
                Some(laid) => (best, high) = (laid, middle),
                None => low = middle + 1,
            }
        }
        if best.is_empty() {
            best = attempt(high)?.unwrap_or_default();
        }
        Ok((high, best))
    }

    /// Chains by their limits, the longest first where they are equal.
    fn due_order(&self, chains: &[Chain]) -> Vec<usize> {
        let mut order: Vec<usize> = (0..chains.len()).collect();
        let key = |k: &usize| {
            let chain = chains.get(*k);
            let due = chain.and_then(|c| self.due.get(c.job).copied().flatten()).unwrap_or(i64::MAX);
            (due, chain.map(|c| c.job), Reverse(chain.and_then(|c| c.visits.first()).map_or(0, super::visit::Visit::least_min)))
        };
        order.sort_by_key(key);
        order
    }

    /// Earliest limit first, each job to its end; empty where a visit finds no place.
    pub fn in_due_order(&self, chains: &[Chain], start: i64) -> Vec<Laid> {
        self.lay(chains, &self.due_order(chains), start, false).unwrap_or_default()
    }

    /// Earliest limit first, with what still fits put into the ends of windows where all is done sooner that way.
    fn filled(&self, chains: &[Chain], start: i64) -> Vec<Laid> {
        let by_due = self.in_due_order(chains, start);
        let key = |laid: &Vec<Laid>| (self.short_of(chains, laid), end_of(laid));
        let filled = self.lay(chains, &self.due_order(chains), start, true);
        filled.filter(|f| by_due.is_empty() || key(f) < key(&by_due)).unwrap_or(by_due)
    }

    /// Lays visits by the priority of their chains. `fill`: where the first in line would have to wait for the next window,
    /// another that still fits goes first.
    fn lay(&self, chains: &[Chain], priority: &[usize], start: i64, fill: bool) -> Option<Vec<Laid>> {
        let board = self.board(chains, &self.due);
        let mut free = vec![(start, 0_usize); self.sprinklers.max(1)];
        let mut next = vec![0_usize; chains.len()];
        let mut laid: Vec<Laid> = Vec::new();
        // with several sprinklers a chain stays with the one that began it
        let mut with: Vec<Option<usize>> = vec![None; chains.len()];
        let total: usize = chains.iter().map(|c| c.visits.len()).sum();
        let mut held: Vec<Option<usize>> = vec![None; free.len()];
        while laid.len() < total {
            let mut best: Option<(i64, usize, usize, super::timeline::Fit)> = None;
            for &k in priority {
                let (Some(chain), Some(&done)) = (chains.get(k), next.get(k)) else { continue };
                let Some(visit) = chain.visits.get(done) else { continue };
                let candidates = free.iter().enumerate().filter(|(s, _)| with.get(k).copied().flatten().is_none_or(|w| w == *s));
                let fits = candidates
                    .filter(|(s, _)| held.get(*s).copied().flatten().is_none_or(|h| h == k))
                    .filter_map(|(s, (t, last))| {
                        let extra = board.extra(*last, chain.job);
                        let release = self.release.get(chain.job).copied().unwrap_or(self.now);
                        self.line.forward(visit, extra, *t, release).map(|fit| (fit, s))
                    })
                    .min_by_key(|(fit, s)| (fit.end, *s));
                let Some((fit, s)) = fits else { continue };
                let first = if fill { fit.begin } else { 0 };
                if best.is_none_or(|(begin, ..)| first < begin) {
                    best = Some((first, k, s, fit));
                }
                if !fill {
                    break;
                }
            }
            let (_, k, s, fit) = best?;
            let chain = chains.get(k)?;
            let visit = next.get(k).copied()?;
            laid.push(Laid { placed: Placed { chain: k, visit, fit }, sprinkler: s });
            *next.get_mut(k)? += 1;
            *free.get_mut(s)? = (fit.end, chain.job + 1);
            *with.get_mut(k)? = Some(s);
            *held.get_mut(s)? = chain.visits.get(visit + 1).filter(|v| v.glued).map(|_| k);
        }
        laid.sort_by_key(|l| (l.placed.fit.begin, l.sprinkler));
        Some(laid)
    }

    /// The best of many orders: earliest limit first, with and without filling, then neighbors exchanged while it helps.
    fn best_order(&self, chains: &[Chain], start: i64, most_trials: usize, control: &Control) -> Result<Vec<Laid>> {
        let mut priority = self.due_order(chains);
        let mut trials = 0;
        let mut attempt = |priority: &[usize]| -> Result<Option<Rated>> {
            control.step("the search for the order of sets", trials, most_trials as u64)?;
            trials += 1;
            let ways = [false, true].into_iter().filter_map(|fill| self.lay(chains, priority, start, fill));
            let rated = ways.map(|laid| ((self.short_of(chains, &laid), end_of(&laid)), laid));
            Ok(rated.min_by_key(|(rating, _)| *rating))
        };
        let Some(mut best) = attempt(&priority)? else { return Ok(Vec::new()) };
        let mut left = most_trials;
        let mut better = best.0.0 > 0;
        while better && left > 0 {
            better = false;
            for i in 1..priority.len() {
                left = left.saturating_sub(1);
                priority.swap(i - 1, i);
                match attempt(&priority)? {
                    Some(found) if found.0 < best.0 => (best, better) = (found, true),
                    _ => priority.swap(i - 1, i),
                }
                if best.0.0 == 0 || left == 0 {
                    break;
                }
            }
            better = better && best.0.0 > 0;
        }
        Ok(best.1)
    }

    /// By the heuristic: the latest begin by bisection, checked at each step.
    fn searched(
        &self,
        chains: &[Chain],
        begin: Option<i64>,
        short_bound: i64,
        latest_bound: Option<i64>,
        control: &Control,
    ) -> Result<Solution> {
        let from = |start: i64, most_trials: usize| -> Result<(i64, Vec<Laid>)> {
            let laid = self.best_order(chains, start, most_trials, control)?;
            Ok((self.short_of(chains, &laid), laid))
        };
        let (short, laid) = from(self.now, MOST_TRIALS)?;
        if short > 0 || laid.is_empty() {
            return Ok(Solution { exact: false, short, short_bound, latest: None, latest_bound: None, laid });
        }
        let (mut low, mut high, mut found) = (self.now, latest_bound.unwrap_or(self.now).max(self.now), laid);
        while low < high {
            let middle = low + (high - low + 1) / 2;
            // many begins are tried: few orders for each
            match from(middle, FEW_TRIALS)? {
                (0, laid) if !laid.is_empty() => (low, found) = (middle, laid),
                _ => high = middle - 1,
            }
        }
        if let Some(begin) = begin {
            found = from(begin.max(self.now), MOST_TRIALS)?.1;
        }
        Ok(Solution { exact: latest_bound == Some(low), short: 0, short_bound: 0, latest: Some(low), latest_bound, laid: found })
    }

    /// Latest begin of each visit that keeps this order and every limit that it keeps; `None` for one that is late anyway.
    pub fn backward_pass(&self, chains: &[Chain], laid: &[Laid]) -> Vec<Option<i64>> {
        let board = self.board(chains, &self.due);
        let mut limit = vec![i64::MAX; self.sprinklers.max(1)];
        let mut begins: Vec<Option<i64>> = vec![None; laid.len()];
        for (i, l) in laid.iter().enumerate().rev() {
            let Some((chain, visit)) = chains.get(l.placed.chain).and_then(|c| Some((c, c.visits.get(l.placed.visit)?))) else { continue };
            let before = laid.iter().take(i).rev().find(|b| b.sprinkler == l.sprinkler);
            let last = before.and_then(|b| chains.get(b.placed.chain)).map_or(0, |c| c.job + 1);
            let extra = board.extra(last, chain.job);
            let free_after = limit.get(l.sprinkler).copied().unwrap_or(i64::MAX);
            let due = self.due.get(chain.job).copied().flatten().unwrap_or(i64::MAX);
            let release = self.release.get(chain.job).copied().unwrap_or(self.now);
            let begin = self.line.backward(visit, extra, due.min(free_after), release);
            if let (Some(slot), Some(begin)) = (limit.get_mut(l.sprinkler), begin) {
                *slot = begin - (visit.wait - visit.move_min - extra).max(0);
            }
            if let Some(slot) = begins.get_mut(i) {
                *slot = begin;
            }
        }
        begins
    }
}
