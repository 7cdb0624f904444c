//! Discs, annuli and sectors, and their exact areas within a polygon.

use super::radial::{self, Part};
use super::{Arc, Polygon, Xy, check_position, length, minus};
use crate::bounds;
use crate::error::{Error, Result};
use crate::num::{acos, sin};
use crate::plain::plain;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// A round patch: a disc, an annulus, or the part of one that lies in an arc.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "RoundInput", into = "RoundInput")]
pub struct Round {
    center: Xy,
    inner_m: f64,
    outer_m: f64,
    arc: Arc,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct RoundInput {
    center: Xy,
    #[serde(default)]
    inner_m: f64,
    outer_m: f64,
    #[serde(default = "full")]
    arc: Arc,
}

fn full() -> Arc {
    Arc::FULL
}

plain!(Round: RoundInput, |input| Ok(Round::annulus(input.center, input.inner_m, input.outer_m)?.in_arc(input.arc)), |round| RoundInput { center: round.center, inner_m: round.inner_m, outer_m: round.outer_m, arc: round.arc });

impl Round {
    /// A disc about `center`, radius 0.01 to 200 m.
    ///
    /// # Errors
    /// A position or radius out of range.
    ///
    /// ```
    /// let disc = dibble::geom::Round::disc([0.0, 0.0], 10.0)?;
    /// assert_eq!(format!("{:.2}", disc.area_m2()), "314.16");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn disc(center: Xy, radius_m: f64) -> Result<Self> {
        let outer_m = bounds::RADIUS_M.check(radius_m)?;
        Ok(Self { center: check_position(center)?, inner_m: 0.0, outer_m, arc: Arc::FULL })
    }

    /// What lies between two radii, inner 0 to outer.
    ///
    /// # Errors
    /// A position or radius out of range, or an inner radius that is not below the outer one.
    pub fn annulus(center: Xy, inner_m: f64, outer_m: f64) -> Result<Self> {
        let disc = Self::disc(center, outer_m).map_err(|e| if e.name() == Some("radius_m") { outer_named(outer_m) } else { e })?;
        if !(inner_m >= 0.0 && inner_m < outer_m) {
            return Err(Error::inconsistent(
                format!("inner_m is {inner_m} m and outer_m is {outer_m} m"),
                "The inner radius is 0 or more and below the outer one.",
            ));
        }
        Ok(Self { inner_m, ..disc })
    }

    /// The part of it that lies in the arc.
    #[must_use]
    pub fn in_arc(self, arc: Arc) -> Self {
        Self { arc, ..self }
    }

    /// Center.
    pub fn center(&self) -> Xy {
        self.center
    }
    /// Inner radius, m.
    pub fn inner_m(&self) -> f64 {
        self.inner_m
    }
    /// Outer radius, m.
    pub fn outer_m(&self) -> f64 {
        self.outer_m
    }
    /// Arc.
    pub fn arc(&self) -> Arc {
        self.arc
    }

    /// Area, m².
    pub fn area_m2(&self) -> f64 {
        PI * (self.outer_m * self.outer_m - self.inner_m * self.inner_m) * self.arc.share()
    }

    /// Is the point in it? Its edges belong to it.
    pub fn contains(&self, at: Xy) -> bool {
        let offset = minus(at, self.center);
        let r = length(offset);
        r >= self.inner_m && r <= self.outer_m && self.arc.contains(offset)
    }

    /// Area within a polygon, m²: exact but for rounding (about 1e-13 of the disc).
    ///
    /// ```
    /// use dibble::geom::{Arc, Polygon, Round};
    /// // a disc centered on the corner of a large field: one quarter lies in it
    /// let field = Polygon::new(&[[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])?;
    /// let disc = Round::disc([0.0, 0.0], 10.0)?;
    /// assert!((disc.area_within_m2(&field) - 25.0 * std::f64::consts::PI).abs() < 1e-9);
    /// // and half of that quarter lies north of northeast
    /// let sector = disc.in_arc(Arc::new(0.0, 90.0)?);
    /// assert!((sector.area_within_m2(&field) - 12.5 * std::f64::consts::PI).abs() < 1e-9);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn area_within_m2(&self, polygon: &Polygon) -> f64 {
        let of_disc = |radius: f64| {
            let value = |part: Part| match part {
                Part::Within { h, t0, t1 } => 0.5 * h * (t1 - t0),
                Part::Beyond { angle } => 0.5 * radius * radius * angle,
            };
            radial::rings(polygon.rings(), |p| minus(p, self.center), radius, self.arc.wedge(), value)
        };
        of_disc(self.outer_m) - if self.inner_m > 0.0 { of_disc(self.inner_m) } else { 0.0 }
    }
}

fn outer_named(outer_m: f64) -> Error {
    bounds::RADIUS_M.named("outer_m").refuse(outer_m)
}

/// Area that two discs share, m², from their radii and the distance of their centers, all in meters.
///
/// # Errors
/// A radius or distance out of range.
///
/// # Source
/// Weisstein, "Circle-Circle Intersection", MathWorld, Eq. 14 (from memory); the test integrates it.
///
/// ```
/// // two unit discs, each through the other's center: 2π/3 - √3/2
/// let area = dibble::geom::lens_area_m2(1.0, 1.0, 1.0)?;
/// assert_eq!(format!("{area:.4}"), "1.2284");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn lens_area_m2(radius_m: f64, other_radius_m: f64, distance_m: f64) -> Result<f64> {
    let a = bounds::RADIUS_M.check(radius_m)?;
    let b = bounds::RADIUS_M.named("other_radius_m").check(other_radius_m)?;
    let d = bounds::LENGTH_M.named("distance_m").check(distance_m)?;
    if d >= a + b {
        return Ok(0.0);
    }
    if d <= (a - b).abs() {
        return Ok(PI * a.min(b) * a.min(b));
    }
    // Each disc gives the segment beyond the common chord.
    let segment = |r: f64, other: f64| {
        let half = acos(((d * d + r * r - other * other) / (2.0 * d * r)).clamp(-1.0, 1.0));
        r * r * (half - 0.5 * sin(2.0 * half))
    };
    Ok(segment(a, b) + segment(b, a))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn square(half: f64) -> Polygon {
        Polygon::new(&[[-half, -half], [half, -half], [half, half], [-half, half]]).unwrap()
    }

    #[test]
    fn a_disc_within_or_around_a_square_is_whole() {
        let disc = Round::disc([0.1, -0.2], 3.0).unwrap();
        assert!((disc.area_within_m2(&square(4.0)) - disc.area_m2()).abs() < 1e-12);
        assert!((disc.area_within_m2(&square(1.0)) - 4.0).abs() < 1e-12);
        let far = Round::disc([50.0, 0.0], 3.0).unwrap();
        assert!(far.area_within_m2(&square(4.0)).abs() < 1e-12);
    }

    #[test]
    fn holes_and_inner_radii_are_taken_off() {
        let field = square(10.0).with_hole(&[[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]).unwrap();
        let disc = Round::disc([0.0, 0.0], 5.0).unwrap();
        assert!((disc.area_within_m2(&field) - (25.0 * PI - 4.0)).abs() < 1e-12);
        let annulus = Round::annulus([0.0, 0.0], 2.0, 5.0).unwrap();
        assert!((annulus.area_within_m2(&field) - 21.0 * PI).abs() < 1e-12);
        assert!(!annulus.contains([1.0, 0.0]) && annulus.contains([0.0, 5.0]));
    }

    #[test]
    fn a_many_sided_polygon_in_place_of_the_disc_is_short_by_what_is_known() {
        // n corners on the circle enclose (n/2) sin(2π/n) R²: 0.64 % less than the disc for 32
        let disc = Round::disc([3.0, -2.0], 10.0).unwrap();
        for (n, deficit) in [(32, 0.0064), (128, 0.000_40), (4096, 3.9e-7)] {
            let corner = |i: i32| {
                let a = 2.0 * PI * f64::from(i) / f64::from(n);
                [3.0 + 10.0 * a.cos(), -2.0 + 10.0 * a.sin()]
            };
            let many = Polygon::new(&(0..n).map(corner).collect::<Vec<_>>()).unwrap();
            let exact = 50.0 * f64::from(n) * (2.0 * PI / f64::from(n)).sin();
            assert!((disc.area_within_m2(&many) - exact).abs() < 1e-10);
            assert!((1.0 - exact / disc.area_m2() - deficit).abs() < 0.02 * deficit, "{n} corners");
        }
    }

    #[test]
    fn lenses_agree_with_discs_cut_by_a_polygon() {
        // The lens of two equal discs is twice the segment that a half plane cuts off one.
        let disc = Round::disc([0.0, 0.0], 5.0).unwrap();
        for d in [0.5, 3.0, 7.0, 9.9] {
            let beyond = Polygon::new(&[[d / 2.0, -20.0], [20.0, -20.0], [20.0, 20.0], [d / 2.0, 20.0]]).unwrap();
            assert!((lens_area_m2(5.0, 5.0, d).unwrap() - 2.0 * disc.area_within_m2(&beyond)).abs() < 1e-10);
        }
        assert_eq!(lens_area_m2(5.0, 2.0, 7.0).unwrap(), 0.0);
        assert_eq!(lens_area_m2(5.0, 2.0, 1.0).unwrap(), 4.0 * PI);
    }

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            Round::annulus([0.0, 0.0], 6.0, 5.0).unwrap_err().to_string(),
            "inner_m is 6 m and outer_m is 5 m. The inner radius is 0 or more and below the outer one."
        );
        assert_eq!(
            Round::disc([0.0, f64::NAN], 5.0).unwrap_err().to_string(),
            "y_m is NaN m: position must be from -10000000 to 10000000 m. Give meters east and north of an origin nearby, not degrees."
        );
        assert_eq!(Round::annulus([0.0, 0.0], 0.0, 1e4).unwrap_err().name(), Some("outer_m"));
        let read = serde_json::from_str::<Round>(r#"{"center": [0.0, 0.0], "outer_m": 5.0}"#).unwrap();
        assert_eq!(read, Round::disc([0.0, 0.0], 5.0).unwrap());
    }

    /// A star about the origin: a simple polygon of any shape.
    fn star() -> impl Strategy<Value = Polygon> {
        prop::collection::vec(0.2..10.0f64, 3..14).prop_map(|radii| {
            let n = radii.len() as f64;
            let corner = |(i, r): (usize, &f64)| {
                let a = 2.0 * PI * i as f64 / n;
                [r * a.cos(), r * a.sin()]
            };
            Polygon::new(&radii.iter().enumerate().map(corner).collect::<Vec<_>>()).unwrap()
        })
    }

    proptest! {
        #[test]
        fn complementary_arcs_add_up(polygon in star(), x in -6.0..6.0f64, y in -6.0..6.0f64, r in 0.5..9.0f64,
                                     facing in 0.0..360.0f64, arc in 1.0..359.0f64) {
            let disc = Round::disc([x, y], r).unwrap();
            let one = disc.in_arc(Arc::new(facing, arc).unwrap());
            let rest = disc.in_arc(Arc::new((facing + 180.0).rem_euclid(360.0), 360.0 - arc).unwrap());
            let sum = one.area_within_m2(&polygon) + rest.area_within_m2(&polygon);
            prop_assert!((sum - disc.area_within_m2(&polygon)).abs() < 1e-10);
            prop_assert!(one.area_within_m2(&polygon) > -1e-10 && one.area_within_m2(&polygon) < one.area_m2() + 1e-10);
        }

        #[test]
        fn area_grows_with_the_radius_up_to_the_polygon(polygon in star(), x in -6.0..6.0f64, y in -6.0..6.0f64) {
            let areas: Vec<f64> = (1..60).map(|i| Round::disc([x, y], 0.5 * f64::from(i)).unwrap().area_within_m2(&polygon)).collect();
            prop_assert!(areas.windows(2).all(|w| w[1] >= w[0] - 1e-10));
            prop_assert!((areas.last().unwrap() - polygon.area_m2()).abs() < 1e-9 * polygon.area_m2());
        }

        #[test]
        fn moving_disc_and_polygon_together_changes_nothing(polygon in star(), r in 0.5..9.0f64, e in -1e4..1e4f64, n in -1e4..1e4f64) {
            let moved: Vec<Xy> = polygon.outline().iter().map(|&[x, y]| [x + e, y + n]).collect();
            let here = Round::disc([1.0, 2.0], r).unwrap().area_within_m2(&polygon);
            let there = Round::disc([1.0 + e, 2.0 + n], r).unwrap().area_within_m2(&Polygon::new(&moved).unwrap());
            prop_assert!((here - there).abs() <= 1e-9 * PI * r * r);
        }
    }
}
