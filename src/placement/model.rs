//! The question in numbers: what a minute at each position brings to each tree and costs, reduced to what can matter.

use super::candidates::{Candidate, Candidates};
use super::request::{MOST_PAIRS, PlaceRequest};
use super::{PLACING, SLICE};
use crate::control::Control;
use crate::error::{Error, Result};
use crate::geom::{length, minus};
use crate::sprinkler::{Set, footprints, water_within_l};
use crate::words::words;

/// What a tree's target is over when the depth that its ground holds is not given: the middle of the usual 0.8 to 0.9.
pub(super) const USUAL_SHARE: f64 = 0.85;

/// What a minute at a position brings and costs.
#[derive(Debug, Clone)]
pub(super) struct Column {
    /// Its index among the candidates.
    pub candidate: usize,
    /// Wetted trees, rising, and their rates, mm/min.
    pub trees: Vec<usize>,
    pub rates: Vec<f64>,
    /// Cost of a minute: pump and priced waste, but not what sinks past roots.
    pub cost: f64,
    /// Longest useful and permitted time, min.
    pub most_min: f64,
}

/// A price on what a tree lacks or has too much of: price x max(0, right - sign x depth).
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub tree: usize,
    pub sign: f64,
    pub right: f64,
    /// Infinite where the row must hold.
    pub price: f64,
}

words! {
    /// Why a tree does not get its target.
    pub enum Why: "reason" {
        /// No position wets it.
        OutOfReach = "out of reach",
        /// All positions together cannot bring it enough within the longest time and the caps.
        TooLittle = "too little reaches it",
        /// Caps of its neighbors stand against it, or it costs more than [`Prices::short_min_per_mm`](super::Prices).
        NotWorthIt = "caps or cost",
        /// It was left out beforehand, so that the others take less work: the plan of a farm does so, [`place`](super::place)
        /// does not.
        LeftToBucket = "left to the bucket",
    }
}

pub(super) struct Model {
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
    /// Target of each tree, mm.
    pub target: Vec<f64>,
    pub hold: Vec<f64>,
    pub cap: Option<Vec<f64>>,
    pub per_set: Option<Vec<f64>>,
    /// Reasons of trees that no plan can serve.
    pub lost: Vec<Option<Why>>,
    /// Price of a millimeter past the roots of one tree.
    pub drained_price: f64,
    /// Ground of a tree, m².
    pub ground_m2: f64,
    pub short_price: f64,
    pub move_min: f64,
}

impl Model {
    pub fn trees(&self) -> usize {
        self.target.len()
    }

    pub fn new(request: &PlaceRequest, candidates: &Candidates, control: &Control) -> Result<Self> {
        let n = request.trees_xy_m.len();
        let target = request.target_mm.each("target_mm", n)?;
        let hold = match &request.hold_mm {
            Some(hold) => hold.each("hold_mm", n)?,
            None => target.iter().map(|t| t / USUAL_SHARE).collect(),
        };
        let cap = request.cap_mm.as_ref().map(|cap| cap.each("cap_mm", n)).transpose()?;
        let per_set = request.per_set_mm.as_ref().map(|most| most.each("per_set_mm", n)).transpose()?;
        check_caps(request, &target, &hold, cap.as_deref())?;
        let ground_m2 = request.ground_m2.unwrap_or(request.field.outline.area_m2() / n as f64);
        let mut model = Self {
            columns: Vec::new(),
            rows: Vec::new(),
            lost: vec![None; n],
            drained_price: request.prices.drained_min_per_m3 * ground_m2 / 1000.0,
            short_price: request.prices.short_min_per_mm,
            move_min: request.move_min,
            target,
            hold,
            cap,
            per_set,
            ground_m2,
        };
        model.fill_columns(request, &candidates.list, control)?;
        model.find_lost();
        model.fill_rows();
        Ok(model)
    }

    fn fill_columns(&mut self, request: &PlaceRequest, list: &[Candidate], control: &Control) -> Result<()> {
        let sets: Vec<Set> = list.iter().map(|c| c.set).collect();
        let mut wetted = Vec::with_capacity(sets.len());
        for slice in sets.chunks(SLICE) {
            control.go_on(PLACING)?;
            wetted.extend(footprints(&request.sprinkler, slice, &request.trees_xy_m, request.n_threads)?);
        }
        let pairs: usize = wetted.iter().map(|w| w.points.len()).sum();
        if pairs > MOST_PAIRS {
            return Err(Error::inconsistent(
                format!("{pairs} pairs of a tree and a position that wets it are more than `place` takes ({MOST_PAIRS})"),
                "Take fewer positions, or place block by block.",
            ));
        }
        if pairs == 0 {
            return Err(all_dry(request, &sets));
        }
        for (candidate, (set, wet)) in sets.iter().zip(wetted).enumerate() {
            control.go_on(PLACING)?;
            let mut alone = 0.0_f64;
            let mut most = request.longest_min;
            for (&i, &a) in wet.points.iter().zip(&wet.mm_per_min) {
                alone = alone.max(at(&self.target, i) / a);
                for limit in [&self.cap, &self.per_set].into_iter().flatten() {
                    most = most.min(at(limit, i) / a);
                }
            }
            // longer than its driest tree needs is of no use to anybody
            let most_min = most.min(alone);
            if most_min > 0.0 {
                let cost = minute_cost(request, set)?;
                self.columns.push(Column { candidate, trees: wet.points, rates: wet.mm_per_min, cost, most_min });
            }
        }
        self.drop_twins();
        Ok(())
    }

    /// Of positions that wet the same trees at the same rates, the cheapest stays.
    fn drop_twins(&mut self) {
        let mut kept: Vec<Column> = Vec::new();
        for column in self.columns.drain(..) {
            let twin = kept.iter_mut().find(|k| {
                k.trees.len() == column.trees.len()
                    && k.rates.first() == column.rates.first()
                    && k.trees == column.trees
                    && k.rates == column.rates
            });
            match twin {
                Some(twin) if twin.cost <= column.cost => {}
                Some(twin) => *twin = column,
                None => kept.push(column),
            }
        }
        self.columns = kept;
    }

    /// Trees that all positions together cannot serve: they go on the list of short trees and bind nothing.
    fn find_lost(&mut self) {
        let mut reach = vec![0.0; self.trees()];
        for column in &self.columns {
            for (&i, a) in column.trees.iter().zip(&column.rates) {
                if let Some(sum) = reach.get_mut(i) {
                    *sum += a * column.most_min;
                }
            }
        }
        for ((lost, reach), target) in self.lost.iter_mut().zip(reach).zip(&self.target) {
            if *target > 0.0 && reach < target * (1.0 - 1e-9) {
                *lost = Some(if reach > 0.0 { Why::TooLittle } else { Why::OutOfReach });
            }
        }
    }

    fn fill_rows(&mut self) {
        let implied = self.implied();
        let mut reach = vec![0.0; self.trees()];
        for column in &self.columns {
            for (&i, a) in column.trees.iter().zip(&column.rates) {
                if let Some(sum) = reach.get_mut(i) {
                    *sum += a * column.most_min;
                }
            }
        }
        for (tree, reach) in reach.iter().enumerate() {
            let target = at(&self.target, tree);
            if target > 0.0 && at(&self.lost, tree).is_none() && !at(&implied, tree) && self.short_price > 0.0 {
                self.rows.push(Row { tree, sign: 1.0, right: target, price: self.short_price });
            }
            let hold = at(&self.hold, tree);
            if self.drained_price > 0.0 && *reach > hold {
                self.rows.push(Row { tree, sign: -1.0, right: -hold, price: self.drained_price });
            }
            if let Some(cap) = self.cap.as_ref().map(|cap| at(cap, tree)).filter(|cap| reach > cap) {
                self.rows.push(Row { tree, sign: -1.0, right: -cap, price: f64::INFINITY });
            }
        }
    }

    /// Trees that have enough whenever a certain other tree has: each position that wets the other serves them at least as
    /// well, for their target.
    fn implied(&self) -> Vec<bool> {
        let n = self.trees();
        let mut by_tree: Vec<Vec<(usize, f64)>> = vec![Vec::new(); n];
        for (j, column) in self.columns.iter().enumerate() {
            for (&i, a) in column.trees.iter().zip(&column.rates) {
                if let Some(list) = by_tree.get_mut(i) {
                    list.push((j, a / at(&self.target, i)));
                }
            }
        }
        let binds = |i: usize| at(&self.target, i) > 0.0 && at(&self.lost, i).is_none();
        let mut implied = vec![false; n];
        for (k, own) in by_tree.iter().enumerate().filter(|(k, _)| binds(*k)) {
            let narrowest = own.iter().filter_map(|(j, _)| self.columns.get(*j)).min_by_key(|c| c.trees.len());
            for &i in narrowest.map_or(&[][..], |c| &c.trees) {
                let other = by_tree.get(i).map_or(&[][..], Vec::as_slice);
                if i == k || !binds(i) || at(&implied, i) || at(&implied, k) || other.len() < own.len() {
                    continue;
                }
                let mut rest = other.iter();
                let served = own.iter().all(|(j, need)| rest.find(|(l, _)| l >= j).is_some_and(|(l, has)| l == j && has >= need));
                // of two trees with equal rates, the first one stays
                let equal = served && other == own;
                if served
                    && (!equal || k < i)
                    && let Some(flag) = implied.get_mut(i)
                {
                    *flag = true;
                }
            }
        }
        implied
    }

    /// Whole cost of a choice: minutes with their waste, moves, water past roots, trees left short. Infinite over a cap.
    pub fn cost(&self, chosen: &[(usize, f64)]) -> f64 {
        let depths = self.depths(chosen);
        if self.cap.as_ref().is_some_and(|cap| depths.iter().zip(cap).any(|(d, c)| *d > c + SERVED)) {
            return f64::INFINITY;
        }
        let run: f64 = chosen.iter().filter_map(|&(j, t)| self.columns.get(j).map(|c| c.cost * t + self.move_min)).sum();
        run + self.drained_cost(&depths) + self.short_cost(&depths)
    }

    /// Does nothing but the number of moves count, and does each position serve all its trees? Then the least cost is a
    /// whole number of moves: a tree left short costs no less than the move that would serve it.
    pub fn only_moves_count(&self) -> bool {
        let serves = |c: &Column| c.trees.iter().zip(&c.rates).all(|(&i, a)| a * c.most_min >= at(&self.target, i) * (1.0 - 1e-9));
        self.move_min > 0.0
            && self.columns.iter().all(|c| c.cost == 0.0 && serves(c))
            && self.rows.iter().all(|row| row.sign > 0.0 && row.price * row.right >= self.move_min)
    }

    pub fn depths(&self, chosen: &[(usize, f64)]) -> Vec<f64> {
        let mut depths = vec![0.0; self.trees()];
        for &(j, t) in chosen {
            let Some(column) = self.columns.get(j) else { continue };
            for (&i, a) in column.trees.iter().zip(&column.rates) {
                if let Some(depth) = depths.get_mut(i) {
                    *depth += a * t;
                }
            }
        }
        depths
    }

    pub fn drained_cost(&self, depths: &[f64]) -> f64 {
        self.drained_price * depths.iter().zip(&self.hold).map(|(d, h)| (d - h).max(0.0)).sum::<f64>()
    }

    /// Trees that no plan can serve cost nothing.
    pub fn short_cost(&self, depths: &[f64]) -> f64 {
        let short = depths.iter().zip(&self.target).zip(&self.lost).filter(|(_, lost)| lost.is_none());
        self.short_price * short.map(|((d, t), _)| t - d).filter(|short| *short > SERVED).fold(0.0, |sum, short| sum + short)
    }
}

/// A tree that lacks less than this has its target, mm: rounding of the minutes.
pub(super) const SERVED: f64 = 1e-6;

fn at<T: Copy + Default>(values: &[T], i: usize) -> T {
    values.get(i).copied().unwrap_or_default()
}

fn check_caps(request: &PlaceRequest, target: &[f64], hold: &[f64], cap: Option<&[f64]>) -> Result<()> {
    let below = |other: &[f64]| target.iter().zip(other).position(|(t, o)| o < t).map(|i| (i, at(target, i), at(other, i)));
    let limits = [("hold_mm", Some(hold)), ("cap_mm", cap)];
    for (name, values) in limits {
        if let Some((i, target, value)) = values.and_then(below) {
            return Err(Error::inconsistent(
                format!("{name} of {} is {value} mm, less than its target of {target} mm", request.tree_name(i)),
                "Lower the target: what the ground cannot hold does not help the tree.",
            ));
        }
    }
    Ok(())
}

/// Positions that wet no tree at all: how far the nearest is.
fn all_dry(request: &PlaceRequest, sets: &[Set]) -> Error {
    let apart = |set: &Set| request.trees_xy_m.iter().map(|tree| length(minus(*tree, [set.x_m, set.y_m]))).fold(f64::INFINITY, f64::min);
    let nearest = sets.iter().map(|set| (apart(set), set)).min_by(|a, b| a.0.total_cmp(&b.0));
    let words = nearest.map_or_else(String::new, |(apart, set)| {
        let reach = set.radius_m.unwrap_or(request.sprinkler.radius_m());
        format!(": the nearest, at ({:.1}, {:.1}), is {apart:.1} m from a tree and throws {reach:.1} m", set.x_m, set.y_m)
    });
    Error::infeasible(
        format!("no tree is wet from any of {} positions{words}", sets.len()),
        "Give positions nearer to the trees, a sprinkler that throws farther, or water by hand (`by_hand`).",
    )
}

/// Pump and priced waste of one minute.
fn minute_cost(request: &PlaceRequest, set: &Set) -> Result<f64> {
    let prices = &request.prices;
    let flow = set.flow_l_min.unwrap_or(request.sprinkler.flow_l_min());
    let landed = flow * (1.0 - request.sprinkler.input().spray_loss);
    let beside = (landed - water_within_l(&request.sprinkler, set, &request.field.outline)?).max(0.0);
    let mut keep_out = 0.0;
    for area in &request.field.keep_out {
        keep_out += water_within_l(&request.sprinkler, set, area)?;
    }
    Ok(prices.pump_min + (prices.beside_min_per_m3 * beside + prices.keep_out_min_per_m3 * keep_out) / 1000.0)
}

/// For each column the columns whose positions are nearest, itself left out.
pub(super) fn neighbors(model: &Model, list: &[Candidate], count: usize, control: &Control) -> Result<Vec<Vec<usize>>> {
    let places: Vec<[f64; 2]> = model.columns.iter().map(|c| list.get(c.candidate).map_or([0.0; 2], |c| [c.set.x_m, c.set.y_m])).collect();
    let near = |(j, from): (usize, &[f64; 2])| {
        control.go_on(PLACING)?;
        let mut others: Vec<(f64, usize)> =
            places.iter().enumerate().filter(|(k, _)| *k != j).map(|(k, to)| (length([to[0] - from[0], to[1] - from[1]]), k)).collect();
        others.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        others.truncate(count);
        Ok(others.into_iter().map(|(_, k)| k).collect())
    };
    places.iter().enumerate().map(near).collect()
}
