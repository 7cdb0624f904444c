//! The order in which the sets are walked, so that the hose is dragged least.

use super::PLACING;
use super::candidates::{Candidate, run_m};
use super::request::PlaceRequest;
use crate::control::Control;
use crate::error::Result;
use crate::geom::Xy;

/// Sets that a walk without a hydrant is begun at, at the most: spread over all.
const MOST_FIRSTS: usize = 24;
/// A shorter gain is rounding, m.
const LEAST_GAIN_M: f64 = 1e-9;

/// Sets hydrant by hydrant, and the way that the hose's end is dragged, m: nearest next, then turned stretches (2-opt)
/// and moved sets while that shortens the way.
pub(super) fn walk(request: &PlaceRequest, sets: &[Candidate], control: &Control) -> Result<(Vec<usize>, f64)> {
    let mut hydrants: Vec<Option<usize>> = sets.iter().map(|s| s.hydrant).collect();
    hydrants.sort_unstable();
    hydrants.dedup();
    let (mut order, mut dragged) = (Vec::new(), 0.0);
    for hydrant in hydrants {
        let own: Vec<usize> = sets.iter().enumerate().filter(|(_, s)| s.hydrant == hydrant).map(|(i, _)| i).collect();
        let start = hydrant.and_then(|h| request.hydrants.get(h)).map(|h| h.at());
        let way = Way { request, start, places: own.iter().filter_map(|&i| sets.get(i)).map(|s| [s.set.x_m, s.set.y_m]).collect() };
        let (walked, length) = way.shortest(control)?;
        order.extend(walked.into_iter().filter_map(|k| own.get(k).copied()));
        dragged += length;
    }
    Ok((order, dragged))
}

struct Way<'a> {
    request: &'a PlaceRequest,
    /// Where the hose lies at first; anywhere if there is no hydrant.
    start: Option<Xy>,
    places: Vec<Xy>,
}

impl Way<'_> {
    fn apart(&self, a: usize, b: usize) -> f64 {
        match (self.places.get(a), self.places.get(b)) {
            (Some(&a), Some(&b)) => run_m(self.request, a, b),
            _ => 0.0,
        }
    }

    fn out(&self, first: usize) -> f64 {
        match (self.start, self.places.get(first)) {
            (Some(start), Some(&first)) => run_m(self.request, start, first),
            _ => 0.0,
        }
    }

    fn length(&self, order: &[usize]) -> f64 {
        order.first().map_or(0.0, |&f| self.out(f)) + order.iter().zip(order.iter().skip(1)).map(|(&a, &b)| self.apart(a, b)).sum::<f64>()
    }

    fn shortest(&self, control: &Control) -> Result<(Vec<usize>, f64)> {
        let n = self.places.len();
        let firsts: Vec<usize> = match self.start {
            Some(_) => (0..n).min_by(|&a, &b| self.out(a).total_cmp(&self.out(b))).into_iter().collect(),
            None => (0..n).step_by(n.div_ceil(MOST_FIRSTS).max(1)).collect(),
        };
        let mut best = (Vec::new(), if n == 0 { 0.0 } else { f64::INFINITY });
        for first in firsts {
            let order = self.improved(self.nearest_next(first), control)?;
            let length = self.length(&order);
            if length < best.1 {
                best = (order, length);
            }
        }
        Ok(best)
    }

    fn nearest_next(&self, first: usize) -> Vec<usize> {
        let mut left: Vec<usize> = (0..self.places.len()).filter(|&i| i != first).collect();
        let mut order = vec![first];
        let mut here = first;
        while let Some((k, &next)) = left.iter().enumerate().min_by(|a, b| self.apart(here, *a.1).total_cmp(&self.apart(here, *b.1))) {
            left.swap_remove(k);
            order.push(next);
            here = next;
        }
        order
    }

    /// Turns stretches and moves single sets until neither helps.
    fn improved(&self, mut order: Vec<usize>, control: &Control) -> Result<Vec<usize>> {
        let n = order.len();
        // each round shortens the way; the limit only guards against rounding
        for _ in 0..4 * n * n + 1 {
            control.go_on(PLACING)?;
            let mut best = (-LEAST_GAIN_M, 0, 0);
            for i in 0..n {
                for j in (0..n).filter(|&j| j != i) {
                    let change = if i < j { self.turned(&order, i, j) } else { self.moved(&order, i, j) };
                    if change < best.0 {
                        best = (change, i, j);
                    }
                }
            }
            match best {
                (_, i, j) if i < j => order.get_mut(i..=j).into_iter().for_each(<[usize]>::reverse),
                (_, i, j) if i > j => order.get_mut(j..=i).into_iter().for_each(|stretch| stretch.rotate_right(1)),
                _ => break,
            }
        }
        Ok(order)
    }

    /// Way from one place in the order to the next; before the first comes the hydrant, after the last nothing.
    fn leg(&self, from: Option<usize>, to: Option<usize>) -> f64 {
        match (from, to) {
            (Some(from), Some(to)) => self.apart(from, to),
            (None, Some(first)) => self.out(first),
            (_, None) => 0.0,
        }
    }

    /// What the way gains when the stretch from `i` to `j` is turned around: its own legs are as long both ways.
    fn turned(&self, order: &[usize], i: usize, j: usize) -> f64 {
        let at = |k: usize| order.get(k).copied();
        let before = i.checked_sub(1).and_then(at);
        self.leg(before, at(j)) + self.leg(at(i), at(j + 1)) - self.leg(before, at(i)) - self.leg(at(j), at(j + 1))
    }

    /// What the way gains when the set at `i` is walked before that at `j`, which comes sooner.
    fn moved(&self, order: &[usize], i: usize, j: usize) -> f64 {
        let at = |k: usize| order.get(k).copied();
        let before = j.checked_sub(1).and_then(at);
        let gone = self.leg(at(i - 1), at(i)) + self.leg(at(i), at(i + 1)) - self.leg(at(i - 1), at(i + 1));
        self.leg(before, at(i)) + self.leg(at(i), at(j)) - self.leg(before, at(j)) - gone
    }
}
