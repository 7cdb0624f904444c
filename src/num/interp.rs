//! Interpolation in a table: straight lines, or a cubic that keeps rising data rising.

use crate::error::{Error, Result};

/// A table of points with rising arguments, checked once.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    points: Vec<Knot>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Knot {
    x: f64,
    y: f64,
    /// Slope of the monotone cubic at this point.
    slope: f64,
}

impl Table {
    /// A table from `(x, y)` pairs.
    ///
    /// # Errors
    /// Fewer than two points, a value that is not finite, or arguments that do not rise.
    pub fn new(points: &[(f64, f64)]) -> Result<Self> {
        if points.len() < 2 {
            return Err(Error::inconsistent(format!("a table of {} points cannot be interpolated", points.len()), "Give two or more."));
        }
        if let Some(&(x, y)) = points.iter().find(|(x, y)| !x.is_finite() || !y.is_finite()) {
            return Err(Error::inconsistent(format!("the table holds the point ({x}, {y})"), "Give finite numbers."));
        }
        if let Some(((a, _), (b, _))) = points.iter().zip(points.iter().skip(1)).find(|((a, _), (b, _))| a >= b) {
            return Err(Error::inconsistent(format!("the table goes from {a} to {b}"), "Sort it so that the arguments rise."));
        }
        Ok(Self { points: with_slopes(points) })
    }

    /// Value by straight lines between points; beyond the ends, the end value.
    ///
    /// ```
    /// let table = dibble::num::interp::Table::new(&[(0.0, 1.0), (2.0, 5.0)])?;
    /// assert_eq!((table.linear(0.5), table.linear(9.0)), (2.0, 5.0));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn linear(&self, x: f64) -> f64 {
        self.between(x, |a, b| a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)))
    }

    /// Value by a smooth cubic that never overshoots: between two points it stays between their values.
    /// Beyond the ends, the end value.
    ///
    /// # Source
    /// Fritsch and Butland (1984), SIAM J. Sci. Stat. Comput. 5:300, with one-sided three-point slopes at the ends.
    ///
    /// ```
    /// let table = dibble::num::interp::Table::new(&[(0.0, 0.0), (1.0, 1.0), (2.0, 4.0), (3.0, 9.0)])?;
    /// assert_eq!(table.monotone(2.0), 4.0);
    /// assert!((table.monotone(2.5) - 6.25).abs() < 0.04);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn monotone(&self, x: f64) -> f64 {
        self.between(x, |a, b| {
            let h = b.x - a.x;
            let t = (x - a.x) / h;
            let s = 1.0 - t;
            s * s * (1.0 + 2.0 * t) * a.y + t * t * (3.0 - 2.0 * t) * b.y + h * t * s * (s * a.slope - t * b.slope)
        })
    }

    /// The pieces of the monotone cubic: first and last argument, and coefficients in powers of the distance from
    /// the first.
    pub(crate) fn cubics(&self) -> impl Iterator<Item = (f64, f64, [f64; 4])> + '_ {
        self.points.iter().zip(self.points.iter().skip(1)).map(|(a, b)| {
            let h = b.x - a.x;
            let chord = (b.y - a.y) / h;
            let square = (3.0 * chord - 2.0 * a.slope - b.slope) / h;
            let cube = (a.slope + b.slope - 2.0 * chord) / (h * h);
            (a.x, b.x, [a.y, a.slope, square, cube])
        })
    }

    fn between(&self, x: f64, inside: impl Fn(&Knot, &Knot) -> f64) -> f64 {
        if x.is_nan() {
            return x;
        }
        let after = self.points.partition_point(|p| p.x <= x);
        match (after.checked_sub(1).and_then(|i| self.points.get(i)), self.points.get(after)) {
            (Some(a), Some(b)) => inside(a, b),
            (Some(end), None) | (None, Some(end)) => end.y,
            (None, None) => f64::NAN,
        }
    }
}

fn with_slopes(points: &[(f64, f64)]) -> Vec<Knot> {
    // Width and chord slope of each interval.
    let chords: Vec<(f64, f64)> =
        points.iter().zip(points.iter().skip(1)).map(|(&(xa, ya), &(xb, yb))| (xb - xa, (yb - ya) / (xb - xa))).collect();
    let inner = |(h0, d0): (f64, f64), (h1, d1): (f64, f64)| {
        if d0 * d1 <= 0.0 {
            return 0.0;
        }
        let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
        (w0 + w1) / (w0 / d0 + w1 / d1)
    };
    let end = |(h0, d0): (f64, f64), next: Option<&(f64, f64)>| {
        let Some(&(h1, d1)) = next else { return d0 };
        let slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
        if slope * d0 <= 0.0 {
            0.0
        } else if d0 * d1 <= 0.0 && slope.abs() > 3.0 * d0.abs() {
            3.0 * d0
        } else {
            slope
        }
    };
    let mut slopes = Vec::with_capacity(points.len());
    slopes.extend(chords.first().map(|&c| end(c, chords.get(1))));
    slopes.extend(chords.iter().zip(chords.iter().skip(1)).map(|(&a, &b)| inner(a, b)));
    slopes.extend(chords.last().map(|&c| end(c, chords.iter().rev().nth(1))));
    points.iter().zip(slopes).map(|(&(x, y), slope)| Knot { x, y, slope }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(Table::new(&[(0.0, 1.0)]).unwrap_err().to_string(), "a table of 1 points cannot be interpolated. Give two or more.");
        assert!(Table::new(&[(0.0, 1.0), (1.0, f64::NAN)]).unwrap_err().to_string().starts_with("the table holds the point (1, NaN)"));
        assert_eq!(
            Table::new(&[(0.0, 1.0), (2.0, 1.0), (2.0, 3.0)]).unwrap_err().to_string(),
            "the table goes from 2 to 2. Sort it so that the arguments rise."
        );
    }

    #[test]
    fn a_straight_line_is_kept_by_both() {
        let table = Table::new(&[(0.0, 1.0), (0.5, 2.0), (3.0, 7.0)]).unwrap();
        for x in [0.0, 0.1, 0.5, 1.7, 3.0] {
            assert!((table.linear(x) - (1.0 + 2.0 * x)).abs() < 1e-12 && (table.monotone(x) - (1.0 + 2.0 * x)).abs() < 1e-12);
        }
        assert!(table.linear(f64::NAN).is_nan() && table.monotone(f64::NAN).is_nan());
    }

    #[test]
    fn the_pieces_are_the_cubic() {
        let table = Table::new(&[(0.0, 3.0), (0.5, 2.0), (3.0, 7.0), (4.0, 7.0), (9.0, 0.0)]).unwrap();
        assert_eq!(table.cubics().count(), 4);
        for (from, to, [a, b, c, d]) in table.cubics() {
            let x = 0.3 * (to - from);
            assert!((a + x * (b + x * (c + x * d)) - table.monotone(from + x)).abs() < 1e-12);
        }
    }

    proptest! {
        #[test]
        fn the_cubic_stays_between_neighbors(ys in prop::collection::vec(-50.0..50.0f64, 2..12), t in 0.0..1.0f64) {
            let points: Vec<_> = ys.iter().enumerate().map(|(i, &y)| (i as f64 * i as f64, y)).collect();
            let table = Table::new(&points).unwrap();
            for (&(xa, ya), &(xb, yb)) in points.iter().zip(points.iter().skip(1)) {
                let y = table.monotone(xa + t * (xb - xa));
                prop_assert!(y >= ya.min(yb) - 1e-9 && y <= ya.max(yb) + 1e-9);
                prop_assert_eq!(table.monotone(xa), ya);
            }
        }
    }
}
