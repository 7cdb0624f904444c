//! The order of the stops: a round trip from the water, improved, then cut into loads.

use crate::geom::{Xy, length, minus};

/// Nearest stops that an exchange is tried with.
const NEAR: usize = 10;
/// Rounds of improvement; each goes over all stops, and for thousands of them few rounds are all that the time is for.
const ROUNDS: usize = 60;
const ROUNDS_TIMES_STOPS_SQUARED: usize = 40_000_000;
/// Longest piece that is moved elsewhere.
const PIECE: usize = 3;

/// A stop and what is poured there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Visit {
    pub at: Xy,
    pub liters: f64,
}

fn far(a: Xy, b: Xy) -> f64 {
    length(minus(a, b))
}

/// Indices of `places` in the order of a short round trip from `home`: nearest next, then exchanges of two ways (2-opt) and
/// moves of up to three stops (Or-opt) as long as they shorten it.
pub(super) fn tour(home: Xy, places: &[Xy]) -> Vec<usize> {
    // stop 0 is the water; it stays first
    let at = |k: usize| k.checked_sub(1).and_then(|k| places.get(k)).copied().unwrap_or(home);
    let n = places.len() + 1;
    let mut order = nearest_next(n, &at);
    let near = neighbors(n, &at);
    for _ in 0..(ROUNDS_TIMES_STOPS_SQUARED / (n * n)).clamp(1, ROUNDS) {
        let mut place = vec![0; n];
        order.iter().enumerate().for_each(|(i, &k)| set(&mut place, k, i));
        let improved = exchange(&mut order, &mut place, &near, &at) | shift(&mut order, &at);
        if !improved {
            break;
        }
    }
    order.into_iter().skip(1).map(|k| k - 1).collect()
}

fn nearest_next(n: usize, at: &impl Fn(usize) -> Xy) -> Vec<usize> {
    let mut left: Vec<usize> = (1..n).collect();
    let mut order = vec![0];
    let mut here = at(0);
    while !left.is_empty() {
        let next = left.iter().enumerate().min_by(|a, b| far(here, at(*a.1)).total_cmp(&far(here, at(*b.1)))).map_or(0, |(i, _)| i);
        let stop = left.remove(next);
        here = at(stop);
        order.push(stop);
    }
    order
}

fn neighbors(n: usize, at: &impl Fn(usize) -> Xy) -> Vec<Vec<usize>> {
    let near = |k: usize| {
        let mut others: Vec<(f64, usize)> = (0..n).filter(|o| *o != k).map(|o| (far(at(k), at(o)), o)).collect();
        let order = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if others.len() > NEAR {
            others.select_nth_unstable_by(NEAR, order);
            others.truncate(NEAR);
        }
        others.sort_by(order);
        others.into_iter().map(|(_, o)| o).collect()
    };
    (0..n).map(near).collect()
}

/// One pass of 2-opt: a way a-b and a way c-d become a-c and b-d, what lies between turned round.
fn exchange(order: &mut [usize], place: &mut [usize], near: &[Vec<usize>], at: &impl Fn(usize) -> Xy) -> bool {
    let n = order.len();
    let mut improved = false;
    for i in 0..n {
        let (a, b) = (get(order, i), get(order, (i + 1) % n));
        let mut gain = (1e-9, None);
        for &c in near.get(a).map_or(&[][..], Vec::as_slice) {
            let j = get(place, c);
            let d = get(order, (j + 1) % n);
            let shorter = far(at(a), at(b)) + far(at(c), at(d)) - far(at(a), at(c)) - far(at(b), at(d));
            if c != b && d != a && shorter > gain.0 {
                gain = (shorter, Some(j));
            }
        }
        if let Some(j) = gain.1 {
            let (low, high) = (i.min(j) + 1, i.max(j));
            if let Some(between) = order.get_mut(low..=high) {
                between.reverse();
                between.iter().zip(low..).for_each(|(&k, i)| set(place, k, i));
                improved = true;
            }
        }
    }
    improved
}

/// One pass of Or-opt: a piece of up to three stops moves to where it costs least, either way round.
fn shift(order: &mut Vec<usize>, at: &impl Fn(usize) -> Xy) -> bool {
    let mut improved = false;
    for size in 1..=PIECE {
        let mut i = 1;
        while i + size <= order.len() {
            let n = order.len();
            let way = |k: usize, l: usize| far(at(get(order, k % n)), at(get(order, l % n)));
            let (before, first, last, after) = (i - 1, i, i + size - 1, i + size);
            let freed = way(before, first) + way(last, after) - way(before, after);
            let (mut best, mut target) = (freed - 1e-9, None);
            for j in (0..n).filter(|j| *j + 1 < first || *j > last) {
                let open = way(j, j + 1);
                for turned in [false, true] {
                    let (head, tail) = if turned { (last, first) } else { (first, last) };
                    let cost = way(j, head) + way(tail, j + 1) - open;
                    if cost < best {
                        (best, target) = (cost, Some((j, turned)));
                    }
                }
            }
            if let Some((j, turned)) = target {
                let mut piece: Vec<usize> = order.drain(first..=last).collect();
                if turned {
                    piece.reverse();
                }
                let to = if j > last { j - size + 1 } else { j + 1 };
                order.splice(to..to, piece);
                improved = true;
            }
            i += 1;
        }
    }
    improved
}

/// Cuts visits, in their order, into loads of at most `volume_l`: as few as can be, and among those the shortest way. Gives
/// the stops of each load and its way from `home` and back, m. A visit alone may exceed the volume by rounding only.
pub(super) fn loads(home: Xy, visits: &[Visit], volume_l: f64) -> Vec<(usize, f64)> {
    let n = visits.len();
    // best[j]: loads, way and start of the last load for the first j visits
    let mut best = vec![(usize::MAX, f64::INFINITY, 0); n + 1];
    if let Some(start) = best.first_mut() {
        *start = (0, 0.0, 0);
    }
    for i in 0..n {
        let (used, walked, _) = get(&best, i);
        let (mut liters, mut way, mut last) = (0.0, 0.0, home);
        for (j, visit) in visits.iter().enumerate().skip(i) {
            liters += visit.liters;
            if j > i && liters > volume_l * (1.0 + 1e-9) {
                break;
            }
            way += far(last, visit.at);
            last = visit.at;
            let found = (used + 1, walked + way + far(last, home), i);
            let known = get(&best, j + 1);
            if found.0 < known.0 || (found.0 == known.0 && found.1 < known.1) {
                set(&mut best, j + 1, found);
            }
        }
    }
    let mut cut = Vec::new();
    let mut end = n;
    while end > 0 {
        let (_, walked, start) = get(&best, end);
        cut.push((end - start, walked - get(&best, start).1));
        end = start;
    }
    cut.reverse();
    cut
}

fn get<T: Copy + Default>(list: &[T], i: usize) -> T {
    list.get(i).copied().unwrap_or_default()
}

fn set<T>(list: &mut [T], i: usize, value: T) {
    if let Some(slot) = list.get_mut(i) {
        *slot = value;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::random::Stream;
    use proptest::prelude::*;

    fn way(home: Xy, places: &[Xy], order: &[usize]) -> f64 {
        let stops: Vec<Xy> = std::iter::once(home).chain(order.iter().map(|&k| places[k])).chain([home]).collect();
        stops.windows(2).map(|w| far(w[0], w[1])).sum()
    }

    fn scattered(n: usize, seed: u64) -> Vec<Xy> {
        let mut dice = Stream::new(seed, 0);
        (0..n).map(|_| [100.0 * dice.next_f64(), 100.0 * dice.next_f64()]).collect()
    }

    #[test]
    fn seven_stops_are_visited_by_the_shortest_of_all_ways_or_nearly() {
        for seed in 0..20 {
            let places = scattered(7, seed);
            let mut best = f64::INFINITY;
            let mut order: Vec<usize> = (0..7).collect();
            permute(&mut order, 0, &mut |o| best = best.min(way([0.0; 2], &places, o)));
            let found = way([0.0; 2], &places, &tour([0.0; 2], &places));
            assert!(found <= 1.02 * best, "seed {seed}: {found} m, the shortest is {best} m");
        }
    }

    fn permute(order: &mut Vec<usize>, from: usize, see: &mut impl FnMut(&[usize])) {
        if from == order.len() {
            see(order);
        }
        for k in from..order.len() {
            order.swap(from, k);
            permute(order, from + 1, see);
            order.swap(from, k);
        }
    }

    #[test]
    fn a_long_tour_is_near_the_length_that_random_points_have() {
        // 0.7124 sqrt(n A) for many points (Beardwood, Halton and Hammersley 1959; constant from memory), and what an edge adds
        let places = scattered(800, 3);
        let found = way([0.0; 2], &places, &tour([0.0; 2], &places));
        let expected = 0.7124 * (800.0 * 1.0e4_f64).sqrt();
        assert!(found < 1.12 * expected && found > 0.9 * expected, "{found} m, expected about {expected} m");
    }

    proptest! {
        #[test]
        fn every_stop_once_and_no_load_over_the_tank(n in 1..60_usize, seed in 0..1000_u64, volume in 10.0..60.0f64) {
            let places = scattered(n, seed);
            let order = tour([50.0, -5.0], &places);
            let mut sorted = order.clone();
            sorted.sort_unstable();
            prop_assert_eq!(sorted, (0..n).collect::<Vec<_>>());
            let mut dice = Stream::new(seed, 1);
            let visits: Vec<Visit> = order.iter().map(|&k| Visit { at: places[k], liters: 10.0 * dice.next_f64() }).collect();
            let cut = loads([50.0, -5.0], &visits, volume);
            prop_assert_eq!(cut.iter().map(|(c, _)| c).sum::<usize>(), n);
            let mut from = 0;
            for (count, walk) in &cut {
                let load = &visits[from..from + count];
                prop_assert!(load.iter().map(|v| v.liters).sum::<f64>() <= volume * (1.0 + 1e-9));
                let stops: Vec<Xy> = load.iter().map(|v| v.at).collect();
                let own: Vec<usize> = (0..*count).collect();
                prop_assert!((way([50.0, -5.0], &stops, &own) - walk).abs() < 1e-9);
                from += count;
            }
        }
    }
}
