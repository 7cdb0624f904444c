//! Depth at many points from many sets: lanes of points, one set after the other.
//!
//! A point's depth is summed in the order of the sets and never looks at other points, so that neither the order of
//! the points nor the number of threads changes a bit of it. A set that cannot reach a lane of points is skipped: it
//! would add 0 to each.

#![allow(clippy::indexing_slicing)] // fixed-size lanes

use super::profile::{Piece, Shape};
use crate::geom::{RAY_SLACK, Wedge, Xy};
use crate::num::dispatch::{self, Kernel};

/// Points side by side.
const LANES: usize = 64;
type Lane = [f64; LANES];

/// A set as the loop takes it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Jet {
    /// Center of the wetted circle, drift included.
    pub center: Xy,
    /// Offsets in meters to the unit circle of calm air: xx, xy, yy.
    pub to_unit: [f64; 3],
    pub wedge: Wedge,
    /// Farthest wet ground from the center, m.
    pub reach_m: f64,
    /// Depth where the shape is 1, mm.
    pub depth_mm: f64,
}

struct Depths<'a> {
    shape: &'a Shape,
    jets: &'a [Jet],
    points: &'a [Xy],
    out: &'a mut [f64],
}

/// Adds each jet's depth (mm) at each point to `out`, which has the length of `points`.
pub(super) fn depths(shape: &Shape, jets: &[Jet], points: &[Xy], out: &mut [f64]) {
    dispatch::run(Depths { shape, jets, points, out });
}

impl Kernel for Depths<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for (points, out) in self.points.chunks(LANES).zip(self.out.chunks_mut(LANES)) {
            // A short last chunk repeats its first point.
            let mut lanes = [points[0]; LANES];
            lanes[..points.len()].copy_from_slice(points);
            let x: Lane = lanes.map(|p| p[0]);
            let y: Lane = lanes.map(|p| p[1]);
            let (west, east) = span(&x);
            let (south, north) = span(&y);
            let mut sum: Lane = [0.0; LANES];
            for jet in self.jets {
                let [cx, cy] = jet.center;
                let r = jet.reach_m;
                if cx + r < west || cx - r > east || cy + r < south || cy - r > north {
                    continue;
                }
                add(self.shape, jet, &x, &y, &mut sum);
            }
            for (to, from) in out.iter_mut().zip(sum) {
                *to += from;
            }
        }
    }
}

#[inline(always)]
fn span(lane: &Lane) -> (f64, f64) {
    lane.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), &v| (if v < lo { v } else { lo }, if v > hi { v } else { hi }))
}

#[inline(always)]
fn add(shape: &Shape, jet: &Jet, x: &Lane, y: &Lane, sum: &mut Lane) {
    let ([cx, cy], [xx, xy, yy]) = (jet.center, jet.to_unit);
    let (mut u, mut v, mut square) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
    for i in 0..LANES {
        let (dx, dy) = (x[i] - cx, y[i] - cy);
        u[i] = xx * dx + xy * dy;
        v[i] = xy * dx + yy * dy;
        square[i] = u[i] * u[i] + v[i] * v[i];
    }
    let mut height: Lane = [0.0; LANES];
    match shape {
        Shape::Ellipse => {
            for i in 0..LANES {
                let rest = 1.0 - square[i];
                height[i] = (if rest > 0.0 { rest } else { 0.0 }).sqrt();
            }
        }
        Shape::Pieces(pieces) => pieced(pieces, &square, &mut height),
    }
    match jet.wedge {
        Wedge::Full => {}
        Wedge::Narrow { right, left } => {
            for i in 0..LANES {
                let inside = (turn(right, u[i], v[i]) >= -RAY_SLACK) & (turn(left, u[i], v[i]) <= RAY_SLACK);
                height[i] = if inside { height[i] } else { 0.0 };
            }
        }
        Wedge::Wide { right, left } => {
            for i in 0..LANES {
                let outside = (turn(left, u[i], v[i]) > RAY_SLACK) & (turn(right, u[i], v[i]) < -RAY_SLACK);
                height[i] = if outside { 0.0 } else { height[i] };
            }
        }
    }
    for i in 0..LANES {
        // Rounding can leave a hair below 0 at the rim.
        sum[i] += if (square[i] <= 1.0) & (height[i] > 0.0) { jet.depth_mm * height[i] } else { 0.0 };
    }
}

/// Positive when (u, v) lies to the left of the ray.
#[inline(always)]
fn turn(ray: Xy, u: f64, v: f64) -> f64 {
    ray[0] * v - ray[1] * u
}

#[inline(always)]
fn pieced(pieces: &[Piece], square: &Lane, height: &mut Lane) {
    let mut r = [0.0; LANES];
    for i in 0..LANES {
        r[i] = square[i].sqrt();
    }
    for piece in pieces {
        for i in 0..LANES {
            let here = piece.at(r[i]);
            height[i] = if r[i] >= piece.start { here } else { height[i] };
        }
    }
}
