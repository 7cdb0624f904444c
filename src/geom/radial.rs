//! What a polygon's edges enclose about a center: the one decomposition behind all exact areas and volumes.
//!
//! The integral of a radial density g(r) over a polygon is the sum over its edges of ∫ G(ρ) dφ, where φ is the
//! direction from the center, ρ the distance to the edge in that direction and G(ρ) = ∫ g r dr from 0 to ρ. For a
//! density that ends at a radius, an edge falls into parts within the radius and parts beyond, where G is constant.
//! An arc takes from each edge what lies between its rays.

use super::arc::Wedge;
use super::{Xy, cross, dot, length, minus};
use crate::num::atan2;

/// A part of an edge, seen from the center.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Part {
    /// Within the radius, on a line that passes the center at the signed distance `h` (positive: the center is to the
    /// left), from `t0` to `t1` along the line, measured from the foot of the perpendicular.
    Within { h: f64, t0: f64, t1: f64 },
    /// Beyond the radius: the signed angle that it spans.
    Beyond { angle: f64 },
}

/// Signed angle at the center from `t0` to `t1` on a line at distance `h`.
pub(crate) fn angle(h: f64, t0: f64, t1: f64) -> f64 {
    atan2(h * (t1 - t0), h * h + t0 * t1)
}

/// Sum of `value` over the parts of the edge from `a` to `b` (relative to the center) that lie in the wedge.
pub(crate) fn edge(a: Xy, b: Xy, radius: f64, wedge: Wedge, value: &impl Fn(Part) -> f64) -> f64 {
    match wedge {
        Wedge::Full => narrow(a, b, radius, None, value),
        Wedge::Narrow { right, left } => narrow(a, b, radius, Some((right, left)), value),
        Wedge::Wide { right, left } => narrow(a, b, radius, None, value) - narrow(a, b, radius, Some((left, right)), value),
    }
}

/// Sum of `value` over all edges of closed rings, given relative to the center.
pub(crate) fn rings<'a>(
    rings: impl Iterator<Item = &'a [Xy]>,
    place: impl Fn(Xy) -> Xy,
    radius: f64,
    wedge: Wedge,
    value: impl Fn(Part) -> f64,
) -> f64 {
    rings.flat_map(edges).map(|(a, b)| edge(place(a), place(b), radius, wedge, &value)).sum()
}

/// The edges of a ring whose first corner is not repeated at the end.
pub(crate) fn edges(ring: &[Xy]) -> impl Iterator<Item = (Xy, Xy)> + '_ {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(&a, &b)| (a, b))
}

fn narrow(a: Xy, b: Xy, radius: f64, rays: Option<(Xy, Xy)>, value: &impl Fn(Part) -> f64) -> f64 {
    let along = minus(b, a);
    let size = length(along);
    if size == 0.0 {
        return 0.0;
    }
    let u = [along[0] / size, along[1] / size];
    let h = cross(a, u);
    if h == 0.0 {
        return 0.0; // in line with the center: spans no angle
    }
    let (mut t0, mut t1) = (dot(a, u), dot(b, u));
    if let Some((right, left)) = rays {
        let foot = [h * u[1], -h * u[0]];
        (t0, t1) = keep(t0, t1, cross(right, foot), cross(right, u));
        (t0, t1) = keep(t0, t1, cross(foot, left), cross(u, left));
    }
    if t0 >= t1 {
        return 0.0;
    }
    let room = radius * radius - h * h;
    if room <= 0.0 {
        return value(Part::Beyond { angle: angle(h, t0, t1) });
    }
    let half = room.sqrt();
    let mut sum = 0.0;
    if t0 < -half {
        sum += value(Part::Beyond { angle: angle(h, t0, t1.min(-half)) });
    }
    let (w0, w1) = (t0.max(-half), t1.min(half));
    if w0 < w1 {
        sum += value(Part::Within { h, t0: w0, t1: w1 });
    }
    if t1 > half {
        sum += value(Part::Beyond { angle: angle(h, t0.max(half), t1) });
    }
    sum
}

/// The part of `t0..t1` where `constant + slope * t` is not negative.
fn keep(t0: f64, t1: f64, constant: f64, slope: f64) -> (f64, f64) {
    if slope > 0.0 {
        (t0.max(-constant / slope), t1)
    } else if slope < 0.0 {
        (t0, t1.min(-constant / slope))
    } else if constant >= 0.0 {
        (t0, t1)
    } else {
        (t0, t0)
    }
}
