//! The order in which the sets are walked, so that the hose is dragged least.

use super::candidates::{Candidate, run_m};
use super::request::PlaceRequest;
use crate::geom::Xy;

/// Sets hydrant by hydrant, and the way that the hose's end is dragged, m: nearest next, then turned stretches (2-opt)
/// and moved sets while that shortens the way.
pub(super) fn walk(request: &PlaceRequest, sets: &[Candidate]) -> (Vec<usize>, f64) {
    let mut hydrants: Vec<Option<usize>> = sets.iter().map(|s| s.hydrant).collect();
    hydrants.sort_unstable();
    hydrants.dedup();
    let (mut order, mut dragged) = (Vec::new(), 0.0);
    for hydrant in hydrants {
        let own: Vec<usize> = sets.iter().enumerate().filter(|(_, s)| s.hydrant == hydrant).map(|(i, _)| i).collect();
        let start = hydrant.and_then(|h| request.hydrants.get(h)).map(|h| h.at());
        let way = Way { request, start, places: own.iter().filter_map(|&i| sets.get(i)).map(|s| [s.set.x_m, s.set.y_m]).collect() };
        let (walked, length) = way.shortest();
        order.extend(walked.into_iter().filter_map(|k| own.get(k).copied()));
        dragged += length;
    }
    (order, dragged)
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

    fn shortest(&self) -> (Vec<usize>, f64) {
        let n = self.places.len();
        let firsts: Vec<usize> = match self.start {
            Some(_) => (0..n).min_by(|&a, &b| self.out(a).total_cmp(&self.out(b))).into_iter().collect(),
            None => (0..n).collect(),
        };
        let tours = firsts.into_iter().map(|first| self.improved(self.nearest_next(first)));
        tours.map(|order| (self.length(&order), order)).min_by(|a, b| a.0.total_cmp(&b.0)).map_or((Vec::new(), 0.0), |(l, o)| (o, l))
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
    fn improved(&self, mut order: Vec<usize>) -> Vec<usize> {
        let n = order.len();
        let mut length = self.length(&order);
        // each round shortens the way; the limit only guards against rounding
        for _ in 0..4 * n * n + 1 {
            let mut best: Option<(f64, Vec<usize>)> = None;
            for i in 0..n {
                for j in 0..n {
                    let mut next = order.clone();
                    if i < j {
                        if let Some(stretch) = next.get_mut(i..=j) {
                            stretch.reverse();
                        }
                    } else if i > j {
                        let set = next.remove(i);
                        next.insert(j, set);
                    }
                    let new = self.length(&next);
                    if new < best.as_ref().map_or(length - 1e-9, |b| b.0) {
                        best = Some((new, next));
                    }
                }
            }
            match best {
                Some((new, next)) => (length, order) = (new, next),
                None => break,
            }
        }
        order
    }
}
