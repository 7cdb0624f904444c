//! Closed forms: a profile summed along a straight line, and over the ground between its foot and an edge.

use super::profile::{Piece, Shape};
use crate::geom::radial::{Part, angle};
use crate::num::{atan2, ln};
use std::f64::consts::FRAC_PI_2;

/// ∫ (a + b r + c r² + d r³) dt from the foot of the perpendicular to `t`, on a line that passes the center at
/// distance `h`: r² = h² + t².
fn along([a, b, c, d]: [f64; 4], h: f64, t: f64) -> f64 {
    let square = h * h;
    let r = (square + t * t).sqrt();
    // h² asinh(t / h), which goes to 0 with h
    let asinh = if h == 0.0 { 0.0 } else { square * ln((t.abs() + r) / h.abs()).copysign(t) };
    let first = 0.5 * (t * r + asinh);
    a * t + b * first + c * (square * t + t * t * t / 3.0) + d * (0.25 * t * r * r * r + 0.75 * square * first)
}

/// The parts of `t0..t1` on such a line that lie in one piece each: the piece and its part.
fn by_piece(pieces: &[Piece], h: f64, t0: f64, t1: f64) -> impl Iterator<Item = (&Piece, f64, f64)> {
    let half = move |r: f64| (r * r - h * h).max(0.0).sqrt();
    pieces.iter().flat_map(move |piece| {
        let (inner, outer) = (half(piece.start), half(piece.end));
        let (near, far) = ((t0.max(-outer), t1.min(-inner)), (t0.max(inner), t1.min(outer)));
        // Where the line passes within the inner circle, the piece has two parts.
        let parts = if inner > 0.0 { [near, far] } else { [(t0.max(-outer), t1.min(outer)), (0.0, 0.0)] };
        parts.into_iter().filter(|(from, to)| from < to).map(move |(from, to)| (piece, from, to))
    })
}

impl Shape {
    /// The shape summed over a chord at distance `h` from the center, 0 from 1 on.
    pub fn chord(&self, h: f64) -> f64 {
        if h.abs() >= 1.0 {
            return 0.0;
        }
        match self {
            Shape::Ellipse => FRAC_PI_2 * (1.0 - h * h),
            Shape::Pieces(pieces) => {
                let powers = by_piece(pieces, h, -1.0, 1.0).map(|(p, from, to)| (p.powers(), from, to));
                powers.map(|(c, from, to)| along(c, h, to) - along(c, h, from)).sum()
            }
        }
    }

    /// ∫∫ g r dr dφ between the center and a part of an edge; the sum over a polygon's edges is the integral of the
    /// shape over the polygon.
    pub fn over(&self, part: Part) -> f64 {
        match (part, self) {
            (Part::Beyond { angle }, _) => self.within(1.0) * angle,
            (Part::Within { h, t0, t1 }, Shape::Ellipse) => (angle(h, t0, t1) - (cubed(h, t1) - cubed(h, t0))) / 3.0,
            (Part::Within { h, t0, t1 }, Shape::Pieces(pieces)) => by_piece(pieces, h, t0, t1)
                .map(|(piece, from, to)| {
                    // Within the piece, G(r) is a constant and powers of r from the second on.
                    let [a, b, c, d] = piece.powers();
                    let halves = [a / 2.0, b / 3.0, c / 4.0, d / 5.0];
                    let s = piece.start;
                    let constant = self.within(s) - s * s * (halves[0] + s * (halves[1] + s * (halves[2] + s * halves[3])));
                    constant * angle(h, from, to) + h * (along(halves, h, to) - along(halves, h, from))
                })
                .sum(),
        }
    }
}

/// ∫ (1 - r²)^(3/2) dφ from the foot of the perpendicular to `t`, on a line at distance `h`.
fn cubed(h: f64, t: f64) -> f64 {
    let room = 1.0 - h * h;
    let rest = (room - t * t).max(0.0).sqrt();
    // From the same `rest`, so that what rounding does to it at the rim cancels.
    let slant = atan2(t, rest);
    let turned = atan2(t, h.abs() * rest).copysign(t * h);
    turned - h * slant - 0.5 * h * (t * rest + room * slant)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::radial::edge;
    use crate::geom::{Wedge, Xy};
    use crate::num::random::Stream;
    use crate::sprinkler::{Leg, Profile};

    fn shapes() -> Vec<Shape> {
        let leg = Leg::new(&[1.5, 4.5, 7.5, 10.5, 13.5, 16.5], &[9.0, 8.0, 8.5, 6.0, 2.0, 0.5], Some(18.0)).unwrap();
        Profile::GEOMETRIC.into_iter().chain([Profile::Measured(leg)]).map(|p| p.shape()).collect()
    }

    #[test]
    fn chords_are_those_of_the_shapes() {
        // cone √(1-x²) - x² acosh(1/x), ellipse (π/2)(1-x²), disc 2 √(1-x²)
        for x in [0.01, 0.3, 0.77, 0.99f64] {
            let w = (1.0 - x * x).sqrt();
            for (profile, exact) in
                [(Profile::Cone, w - x * x * (1.0 / x).acosh()), (Profile::Ellipse, FRAC_PI_2 * (1.0 - x * x)), (Profile::Disc, 2.0 * w)]
            {
                assert!((profile.shape().chord(x) - exact).abs() < 1e-14, "{profile} at {x}");
            }
        }
        for shape in shapes() {
            // all chords together are the volume
            let steps = 20_000;
            let sum: f64 = (0..steps).map(|i| shape.chord((f64::from(i) + 0.5) / f64::from(steps)) * 2.0 / f64::from(steps)).sum();
            let volume = 2.0 * std::f64::consts::PI * shape.within(1.0);
            assert!((sum - volume).abs() < 1e-5 * volume, "{sum} {volume}");
            assert_eq!(shape.chord(1.0), 0.0);
        }
    }

    #[test]
    fn the_integral_over_a_triangle_is_that_of_fine_strips() {
        let mut stream = Stream::new(5, 0);
        let mut next = || 3.0 * stream.next_f64() - 1.5;
        for shape in shapes() {
            let scale = shape.within(1.0);
            for _ in 0..6 {
                let (a, b): (Xy, Xy) = ([next(), next()], [next(), next()]);
                let exact = edge(a, b, 1.0, Wedge::Full, &|part| shape.over(part));
                // ∫ G(ρ) dφ by midpoints along the edge
                let (n, mut sum) = (20_000, 0.0);
                let at = |i: f64| [a[0] + (b[0] - a[0]) * i / f64::from(n), a[1] + (b[1] - a[1]) * i / f64::from(n)];
                for i in 0..n {
                    let (p, q, m) = (at(f64::from(i)), at(f64::from(i) + 1.0), at(f64::from(i) + 0.5));
                    let turn = (p[0] * q[1] - p[1] * q[0]).atan2(p[0] * q[0] + p[1] * q[1]);
                    sum += shape.within(m[0].hypot(m[1])) * turn;
                }
                assert!((exact - sum).abs() < 2e-6 * scale, "{exact} {sum} from {a:?} to {b:?}");
            }
        }
    }
}
