//! Minutes for given positions: a linear program in the form of a sum over trees, by a primal-dual interior point method.
//!
//! Least `cost · t + Σ price_r max(0, right_r - sign_r (A t))` over rows r, each on one tree, with 0 <= t <= most. A row
//! with an infinite price must hold. Every tree is wetted by a few positions only, so the normal equations are small and
//! quickly filled: that is why this stands here and does not go through `solve`. A bound from the duals comes with
//! every step and needs no trust in the method: it is valid for any duals between 0 and the price.
//!
//! # Source
//! Mehrotra (1992), On the implementation of a primal-dual interior point method, SIAM Journal on Optimization 2.

#![allow(clippy::indexing_slicing)] // local indices made in `Local::new`, all below the lengths of their lists

use super::model::Row;
use crate::control::Control;

/// Steps before giving up on more digits; 15 to 25 are usual.
const MOST_STEPS: usize = 60;
/// Share of the way to the nearest limit.
const STEP_BACK: f64 = 0.995;

/// What came of it.
#[derive(Debug, Clone, Default)]
pub(super) struct Times {
    /// Minutes of each column.
    pub minutes: Vec<f64>,
    /// No minutes cost less.
    pub bound: f64,
    /// Dual of each of the model's rows.
    pub duals: Vec<f64>,
}

/// How far to go.
#[derive(Debug, Clone, Copy)]
pub(super) struct Until {
    /// Relative gap.
    pub gap: f64,
    /// Stop as soon as no minutes can cost less than this.
    pub cutoff: f64,
}

/// What is solved: columns with their effect on trees, and rows on these trees.
pub(super) struct Program<'a> {
    /// Number of trees.
    pub trees: usize,
    pub rows: &'a [Row],
    pub columns: Vec<Effect<'a>>,
}

/// What one unit of a column brings to trees (by rising index) and costs, and how many units there may be.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effect<'a> {
    pub trees: &'a [usize],
    pub rates: &'a [f64],
    pub cost: f64,
    pub most: f64,
}

struct Local {
    /// Columns of each wetted tree, and their rates.
    start: Vec<usize>,
    column: Vec<usize>,
    rate: Vec<f64>,
    rows: Vec<LocalRow>,
    /// What trees that stay dry cost.
    dry: f64,
}

struct LocalRow {
    tree: usize,
    global: usize,
    sign: f64,
    right: f64,
    price: f64,
}

impl Local {
    fn new(program: &Program<'_>) -> Self {
        let n = program.trees;
        let mut count = vec![0_usize; n];
        for column in &program.columns {
            for &i in column.trees {
                count[i] += 1;
            }
        }
        let mut place = vec![usize::MAX; n];
        let mut start = vec![0];
        for i in 0..n {
            if count[i] > 0 {
                place[i] = start.len() - 1;
                start.push(start[start.len() - 1] + count[i]);
            }
        }
        let size = start[start.len() - 1];
        let mut fill = start.clone();
        let (mut column, mut rate) = (vec![0; size], vec![0.0; size]);
        for (j, from) in program.columns.iter().enumerate() {
            for (&i, &a) in from.trees.iter().zip(from.rates) {
                let at = &mut fill[place[i]];
                column[*at] = j;
                rate[*at] = a;
                *at += 1;
            }
        }
        let (mut rows, mut dry) = (Vec::new(), 0.0);
        for (global, row) in program.rows.iter().enumerate() {
            if place[row.tree] < usize::MAX {
                rows.push(LocalRow { tree: place[row.tree], global, sign: row.sign, right: row.right, price: row.price });
            } else if row.right > 0.0 {
                dry += row.price * row.right;
            }
        }
        Self { start, column, rate, rows, dry }
    }

    fn wet(&self) -> usize {
        self.start.len() - 1
    }

    /// A t
    fn depths(&self, t: &[f64]) -> Vec<f64> {
        let of = |i: usize| (self.start[i]..self.start[i + 1]).map(|e| self.rate[e] * t[self.column[e]]).sum();
        (0..self.wet()).map(of).collect()
    }

    /// Σ_r sign_r v_r of each tree, then A' of it.
    fn back(&self, v: &[f64], k: usize) -> Vec<f64> {
        let mut tree = vec![0.0; self.wet()];
        for (row, &v) in self.rows.iter().zip(v) {
            tree[row.tree] += row.sign * v;
        }
        let mut out = vec![0.0; k];
        for (i, v) in tree.into_iter().enumerate().filter(|(_, v)| *v != 0.0) {
            for e in self.start[i]..self.start[i + 1] {
                out[self.column[e]] += self.rate[e] * v;
            }
        }
        out
    }
}

/// Cheapest minutes, started from duals of an earlier answer. A cancelled run ends at its next step, with what it has.
pub(super) fn times(program: &Program<'_>, duals: Option<&[f64]>, until: Until, control: &Control) -> Times {
    let local = Local::new(program);
    let costs: Vec<f64> = program.columns.iter().map(|c| c.cost).collect();
    let most: Vec<f64> = program.columns.iter().map(|c| c.most).collect();
    let costs = costs.as_slice();
    let mut point = Point::start(&local, costs, &most, duals);
    let mut best = (f64::NEG_INFINITY, Vec::new());
    for _ in 0..MOST_STEPS {
        if control.is_cancelled() {
            break;
        }
        let depths = local.depths(&point.t);
        let bound = bound_of(&local, costs, &most, &point.dual);
        if bound > best.0 {
            best = (bound, point.dual.clone());
        }
        let value = value_of(&local, costs, &point.t, &depths);
        if best.0 >= until.cutoff || (value.is_finite() && value - best.0 <= until.gap * (value.abs() + 1.0)) {
            break;
        }
        if !point.advance(&local, costs, &most, &depths) {
            break;
        }
    }
    let minutes: Vec<f64> = point.t.iter().zip(&most).map(|(&t, &u)| if t > 1e-6 * u.min(1.0) { t.min(u) } else { 0.0 }).collect();
    let mut duals = vec![0.0; program.rows.len()];
    for (global, row) in program.rows.iter().enumerate() {
        // trees that stay dry would pay their whole price for the first drop
        duals[global] = if row.price.is_finite() && row.right > 0.0 { row.price } else { 0.0 };
    }
    for (row, &v) in local.rows.iter().zip(&best.1) {
        duals[row.global] = v;
    }
    Times { minutes, bound: best.0, duals }
}

fn value_of(local: &Local, costs: &[f64], t: &[f64], depths: &[f64]) -> f64 {
    let run: f64 = costs.iter().zip(t).map(|(c, t)| c * t).sum();
    let rows = local.rows.iter().map(|row| {
        let missing = row.right - row.sign * depths[row.tree];
        if missing <= 1e-9 * row.right.abs() { 0.0 } else { row.price * missing }
    });
    local.dry + run + rows.sum::<f64>()
}

/// Valid for any duals between 0 and the price: whatever the minutes, they cost at least this.
fn bound_of(local: &Local, costs: &[f64], most: &[f64], duals: &[f64]) -> f64 {
    let pull = local.back(duals, costs.len());
    let rows: f64 = local.rows.iter().zip(duals).map(|(row, v)| row.right * v).sum();
    let gain: f64 = costs.iter().zip(&pull).zip(most).map(|((c, p), u)| u * (p - c).max(0.0)).sum();
    local.dry + rows - gain
}

/// Primal and dual point: minutes t with duals x (t >= 0) and z (t <= most); rows with surplus w against dual, and lack s
/// against price - dual.
struct Point {
    t: Vec<f64>,
    x: Vec<f64>,
    z: Vec<f64>,
    dual: Vec<f64>,
    s: Vec<f64>,
    w: Vec<f64>,
}

struct Direction {
    t: Vec<f64>,
    x: Vec<f64>,
    z: Vec<f64>,
    dual: Vec<f64>,
    s: Vec<f64>,
    w: Vec<f64>,
}

impl Point {
    fn start(local: &Local, costs: &[f64], most: &[f64], duals: Option<&[f64]>) -> Self {
        let k = costs.len();
        // Minutes at which a middling tree has what it needs.
        let mut t: Vec<f64> = most.iter().map(|u| 0.3 * u).collect();
        let depths = local.depths(&t);
        let mut over: Vec<f64> = local.rows.iter().filter(|r| r.sign > 0.0 && r.right > 0.0).map(|r| depths[r.tree] / r.right).collect();
        over.sort_by(f64::total_cmp);
        let middle = over.get(over.len() / 4).copied().unwrap_or(1.0).max(0.31);
        for t in &mut t {
            *t /= middle;
        }
        let depths = local.depths(&t);
        let size = (costs.iter().map(|c| c.abs()).sum::<f64>() / k.max(1) as f64).max(1e-3);
        let dual: Vec<f64> = (local.rows.iter())
            .map(|row| {
                let floor = (1e-2 * size).min(0.1 * row.price);
                let given = duals.and_then(|d| d.get(row.global)).copied().unwrap_or(0.0);
                given.clamp(floor, if row.price.is_finite() { row.price - floor.min(0.1 * row.price) } else { f64::MAX })
            })
            .collect();
        let (mut s, mut w) = (Vec::new(), Vec::new());
        for row in &local.rows {
            let above = row.sign * depths[row.tree] - row.right;
            let room = 0.1 * row.right.abs() + 1e-3;
            w.push(above.max(0.0) + room);
            s.push(if row.price.is_finite() { above.max(0.0) + room - above } else { 0.0 });
        }
        let pull = local.back(&dual, k);
        let (mut x, mut z) = (Vec::new(), Vec::new());
        for (c, p) in costs.iter().zip(&pull) {
            x.push((c - p).max(0.0) + 0.1 * size);
            z.push((p - c).max(0.0) + 0.1 * size);
        }
        Self { t, x, z, dual, s, w }
    }

    /// One predictor and corrector step; false where no progress is left.
    fn advance(&mut self, local: &Local, costs: &[f64], most: &[f64], depths: &[f64]) -> bool {
        let k = costs.len();
        let n = local.rows.len();
        let mut weight = vec![0.0; n];
        let mut tree_weight = vec![0.0; local.wet()];
        for (r, row) in local.rows.iter().enumerate() {
            let lack = if row.price.is_finite() { self.s[r] / (row.price - self.dual[r]) } else { 0.0 };
            weight[r] = 1.0 / (lack + self.w[r] / self.dual[r]);
            tree_weight[row.tree] += weight[r];
        }
        let mut matrix = vec![0.0; k * k];
        for (i, &weight) in tree_weight.iter().enumerate() {
            for e in local.start[i]..local.start[i + 1] {
                let (at, a) = (local.column[e] * k, weight * local.rate[e]);
                for f in local.start[i]..=e {
                    matrix[at + local.column[f]] += a * local.rate[f];
                }
            }
        }
        for j in 0..k {
            matrix[j * k + j] += self.x[j] / self.t[j] + self.z[j] / (most[j] - self.t[j]);
        }
        if !factor(&mut matrix, k) {
            return false;
        }
        let pull = local.back(&self.dual, k);
        let off_dual: Vec<f64> = (0..k).map(|j| self.x[j] - self.z[j] + pull[j] - costs[j]).collect();
        let off_row: Vec<f64> =
            local.rows.iter().enumerate().map(|(r, row)| row.right - row.sign * depths[row.tree] - self.s[r] + self.w[r]).collect();
        let solve = |aim: f64, last: Option<&Direction>| self.direction(local, most, &matrix, &weight, &off_dual, &off_row, aim, last);
        let pairs = (2 * k + local.rows.iter().map(|r| 1 + usize::from(r.price.is_finite())).sum::<usize>()) as f64;
        let gap = self.gap(local, most, None, (0.0, 0.0)) / pairs;
        let guess = solve(0.0, None);
        let steps = self.steps(local, most, &guess);
        let left = self.gap(local, most, Some(&guess), steps) / pairs;
        let ratio = (left / gap).clamp(0.0, 1.0);
        let step = solve(gap * ratio * ratio * ratio, Some(&guess));
        let (p, d) = self.steps(local, most, &step);
        let (p, d) = (STEP_BACK * p, STEP_BACK * d);
        if !(p.is_finite() && d.is_finite()) || (p < 1e-10 && d < 1e-10) || step.t.iter().any(|v| !v.is_finite()) {
            return false;
        }
        shift(&mut self.t, &step.t, p);
        shift(&mut self.s, &step.s, p);
        shift(&mut self.w, &step.w, p);
        shift(&mut self.x, &step.x, d);
        shift(&mut self.z, &step.z, d);
        shift(&mut self.dual, &step.dual, d);
        // rounding must not carry a value onto its limit
        for (t, u) in self.t.iter_mut().zip(most) {
            *t = t.clamp(1e-14 * u, u * (1.0 - 1e-14));
        }
        for (r, row) in local.rows.iter().enumerate() {
            self.w[r] = self.w[r].max(1e-14);
            self.dual[r] = self.dual[r].max(1e-16);
            if row.price.is_finite() {
                self.s[r] = self.s[r].max(1e-14);
                self.dual[r] = self.dual[r].min(row.price * (1.0 - 1e-15));
            }
        }
        for j in 0..k {
            self.x[j] = self.x[j].max(1e-16);
            self.z[j] = self.z[j].max(1e-16);
        }
        true
    }

    /// Newton's direction that takes each product of a pair to `aim`, with the second-order terms of a first guess.
    #[allow(clippy::too_many_arguments)]
    fn direction(
        &self,
        local: &Local,
        most: &[f64],
        factored: &[f64],
        weight: &[f64],
        off_dual: &[f64],
        off_row: &[f64],
        aim: f64,
        last: Option<&Direction>,
    ) -> Direction {
        let k = most.len();
        let n = local.rows.len();
        let (mut rw, mut rs, mut rho, mut weighted) = (vec![0.0; n], vec![0.0; n], vec![0.0; n], vec![0.0; n]);
        for (r, row) in local.rows.iter().enumerate() {
            let second = last.map_or((0.0, 0.0), |l| (l.dual[r] * l.w[r], l.dual[r] * l.s[r]));
            rw[r] = aim - self.dual[r] * self.w[r] - second.0;
            rho[r] = off_row[r] + rw[r] / self.dual[r];
            if row.price.is_finite() {
                rs[r] = aim - (row.price - self.dual[r]) * self.s[r] + second.1;
                rho[r] -= rs[r] / (row.price - self.dual[r]);
            }
            weighted[r] = weight[r] * rho[r];
        }
        let (mut rx, mut rz) = (vec![0.0; k], vec![0.0; k]);
        let mut t = local.back(&weighted, k);
        for j in 0..k {
            let second = last.map_or((0.0, 0.0), |l| (l.x[j] * l.t[j], l.z[j] * l.t[j]));
            rx[j] = (aim - self.x[j] * self.t[j] - second.0) / self.t[j];
            rz[j] = (aim - self.z[j] * (most[j] - self.t[j]) + second.1) / (most[j] - self.t[j]);
            t[j] += off_dual[j] + rx[j] - rz[j];
        }
        substitute(factored, k, &mut t);
        let depth = local.depths(&t);
        let (mut dual, mut s, mut w) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
        for (r, row) in local.rows.iter().enumerate() {
            dual[r] = weight[r] * (rho[r] - row.sign * depth[row.tree]);
            w[r] = (rw[r] - self.w[r] * dual[r]) / self.dual[r];
            if row.price.is_finite() {
                s[r] = (rs[r] + self.s[r] * dual[r]) / (row.price - self.dual[r]);
            }
        }
        let x = (0..k).map(|j| rx[j] - self.x[j] / self.t[j] * t[j]).collect();
        let z = (0..k).map(|j| rz[j] + self.z[j] / (most[j] - self.t[j]) * t[j]).collect();
        Direction { t, x, z, dual, s, w }
    }

    /// Largest steps, primal and dual, that keep all values on their side.
    fn steps(&self, local: &Local, most: &[f64], d: &Direction) -> (f64, f64) {
        let (mut primal, mut dual) = (1.0_f64, 1.0_f64);
        let to = |step: &mut f64, value: f64, change: f64| {
            if change < 0.0 {
                *step = step.min(-value / change);
            }
        };
        for (j, most) in most.iter().enumerate() {
            to(&mut primal, self.t[j], d.t[j]);
            to(&mut primal, most - self.t[j], -d.t[j]);
            to(&mut dual, self.x[j], d.x[j]);
            to(&mut dual, self.z[j], d.z[j]);
        }
        for (r, row) in local.rows.iter().enumerate() {
            to(&mut primal, self.w[r], d.w[r]);
            to(&mut dual, self.dual[r], d.dual[r]);
            if row.price.is_finite() {
                to(&mut primal, self.s[r], d.s[r]);
                to(&mut dual, row.price - self.dual[r], -d.dual[r]);
            }
        }
        (primal, dual)
    }

    /// Sum of all products of pairs after a step.
    fn gap(&self, local: &Local, most: &[f64], d: Option<&Direction>, (p, q): (f64, f64)) -> f64 {
        let at = |value: f64, change: Option<f64>, step: f64| value + step * change.unwrap_or(0.0);
        let mut sum = 0.0;
        for (j, most) in most.iter().enumerate() {
            let t = at(self.t[j], d.map(|d| d.t[j]), p);
            sum += t * at(self.x[j], d.map(|d| d.x[j]), q) + (most - t) * at(self.z[j], d.map(|d| d.z[j]), q);
        }
        for (r, row) in local.rows.iter().enumerate() {
            let dual = at(self.dual[r], d.map(|d| d.dual[r]), q);
            sum += dual * at(self.w[r], d.map(|d| d.w[r]), p);
            if row.price.is_finite() {
                sum += (row.price - dual) * at(self.s[r], d.map(|d| d.s[r]), p);
            }
        }
        sum
    }
}

fn shift(values: &mut [f64], by: &[f64], step: f64) {
    for (v, d) in values.iter_mut().zip(by) {
        *v += step * d;
    }
}

/// Cholesky factor of a symmetric matrix in its lower triangle; false if it is not positive.
fn factor(m: &mut [f64], k: usize) -> bool {
    for j in 0..k {
        let (above, below) = m.split_at_mut((j + 1) * k);
        let row = &mut above[j * k..];
        let size = row[j];
        let rest = size - row[..j].iter().map(|v| v * v).sum::<f64>();
        // a direction without curvature is held still
        let pivot = if rest > 1e-14 * size { rest.sqrt() } else { 1e64 };
        if !(size > 0.0 && size.is_finite()) {
            return false;
        }
        row[j] = pivot;
        let row = &row[..j];
        for other in below.chunks_exact_mut(k) {
            let sum: f64 = other[..j].iter().zip(row).map(|(a, b)| a * b).sum();
            other[j] = (other[j] - sum) / pivot;
        }
    }
    true
}

/// Solves L L' x = b in place.
fn substitute(l: &[f64], k: usize, b: &mut [f64]) {
    for j in 0..k {
        let sum: f64 = l[j * k..j * k + j].iter().zip(&b[..j]).map(|(a, x)| a * x).sum();
        b[j] = (b[j] - sum) / l[j * k + j];
    }
    for j in (0..k).rev() {
        b[j] /= l[j * k + j];
        let x = b[j];
        for (target, a) in b[..j].iter_mut().zip(&l[j * k..j * k + j]) {
            *target -= a * x;
        }
    }
}
