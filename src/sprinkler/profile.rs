//! How a sprinkler spreads its water between its foot and its last wet ground.
//!
//! A profile is a shape g(r) over the unit radius; the flow sets its height, so that each profile conserves the water.
//! All but the ellipse are cubics in pieces, which makes every volume exact: ∫ g r dr in closed form.

use crate::bounds;
use crate::error::{Error, Result};
use crate::num::interp::Table;
use crate::plain::plain;
use crate::words::same;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

/// Shape of the rate along a radius.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Profile {
    /// Falls in a straight line, 1 - r: a gun or impact head at good pressure.
    #[default]
    Cone,
    /// Falls late, √(1 - r²).
    Ellipse,
    /// Falls late and softer, 1 - r².
    Parabola,
    /// Half the peak at the foot, peak at 0.7 of the radius: low pressure, water thrown to the edge.
    Ring,
    /// The same everywhere: a spray head.
    Disc,
    /// As caught in cans along one radius.
    Measured(Leg),
}

/// Names of the five geometric profiles.
const NAMES: [(&str, Profile); 5] = [
    ("cone", Profile::Cone),
    ("ellipse", Profile::Ellipse),
    ("parabola", Profile::Parabola),
    ("ring", Profile::Ring),
    ("disc", Profile::Disc),
];
/// Where the ring has its peak, and what it gives at the foot.
const RING_PEAK_AT: f64 = 0.7;
const RING_AT_FOOT: f64 = 0.5;

impl Profile {
    /// The five geometric profiles.
    pub const GEOMETRIC: [Profile; 5] = [Profile::Cone, Profile::Ellipse, Profile::Parabola, Profile::Ring, Profile::Disc];

    /// The name, "measured" for a measured one.
    pub fn name(&self) -> &'static str {
        NAMES.iter().find(|(_, p)| p == self).map_or("measured", |(name, _)| name)
    }

    pub(crate) fn shape(&self) -> Shape {
        let pieces = match self {
            Profile::Cone => vec![Piece::new(0.0, 1.0, [1.0, -1.0, 0.0, 0.0])],
            Profile::Ellipse => return Shape::Ellipse,
            Profile::Parabola => vec![Piece::new(0.0, 1.0, [1.0, 0.0, -1.0, 0.0])],
            Profile::Ring => vec![
                Piece::new(0.0, RING_PEAK_AT, [RING_AT_FOOT, (1.0 - RING_AT_FOOT) / RING_PEAK_AT, 0.0, 0.0]),
                Piece::new(RING_PEAK_AT, 1.0, [1.0, -1.0 / (1.0 - RING_PEAK_AT), 0.0, 0.0]),
            ],
            Profile::Disc => vec![Piece::new(0.0, 1.0, [1.0, 0.0, 0.0, 0.0])],
            Profile::Measured(leg) => leg.pieces.clone(),
        };
        Shape::Pieces(pieces)
    }
}

impl fmt::Display for Profile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Profile {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let known = NAMES.iter().find(|(name, _)| same(name, text)).map(|(_, profile)| profile.clone());
        known.ok_or_else(|| Error::unknown("profile", text, &NAMES.map(|(name, _)| name)))
    }
}

/// What cans along one radius caught: a measured profile.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(with = "LegInput"))]
#[serde(try_from = "LegInput", into = "LegInput")]
pub struct Leg {
    input: LegInput,
    radius_m: f64,
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct LegInput {
    /// Distance of each can from the sprinkler, m.
    distances_m: Vec<f64>,
    /// What each caught, in any one unit.
    caught: Vec<f64>,
    /// Where the wet ground ends, m; may be left out when the outermost can is empty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    radius_m: Option<f64>,
}

plain!(Leg: LegInput, |input| Leg::new(&input.distances_m, &input.caught, input.radius_m), |leg| leg.input);

impl Leg {
    /// A leg of cans: distances from the sprinkler in rising order (m), what each caught in any one unit, and where
    /// the wet ground ends (may be left out when the outermost can stayed empty: the first empty one is taken).
    ///
    /// Between cans runs a cubic that never overshoots; within the first can the rate stays as caught there.
    ///
    /// # Errors
    /// Lists of different lengths, fewer than three cans, distances that do not rise, a negative or missing catch,
    /// all cans empty, or no end of the wet ground.
    ///
    /// ```
    /// use dibble::sprinkler::Leg;
    /// let leg = Leg::new(&[3.0, 9.0, 15.0, 21.0, 27.0], &[12.0, 10.0, 7.0, 3.0, 0.0], None)?;
    /// assert_eq!(leg.radius_m(), 27.0);
    /// let short = Leg::new(&[3.0, 9.0, 15.0], &[12.0, 10.0, 7.0], None);
    /// assert_eq!(
    ///     short.unwrap_err().to_string(),
    ///     "radius_m is missing. The outermost can, at 15 m, still caught 7: say where the wet ground ends, or set cans farther out."
    /// );
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(distances_m: &[f64], caught: &[f64], radius_m: Option<f64>) -> Result<Self> {
        if distances_m.len() != caught.len() {
            return Err(Error::inconsistent(
                format!("{} distances and {} catches", distances_m.len(), caught.len()),
                "Give one catch for each can.",
            ));
        }
        if distances_m.len() < 3 {
            return Err(Error::inconsistent(format!("a leg of {} cans shows no profile", distances_m.len()), "Set three or more."));
        }
        check_all(bounds::LENGTH_M.named("distances_m"), distances_m)?;
        check_all(bounds::DEPTH_MM.named("caught"), caught)?;
        if let Some((a, b)) = distances_m.iter().zip(distances_m.iter().skip(1)).find(|(a, b)| a >= b) {
            return Err(Error::inconsistent(format!("cans at {a} m and then at {b} m"), "Sort them outwards; each distance once."));
        }
        let Some(last) = caught.iter().rposition(|&c| c > 0.0) else {
            return Err(Error::inconsistent("all cans are empty", "A profile needs water in some cans."));
        };
        let outermost = distances_m.get(last).copied().unwrap_or_default();
        let end = match (radius_m, distances_m.get(last + 1)) {
            (Some(radius_m), _) => bounds::WETTED_RADIUS_M.check(radius_m)?,
            (None, Some(&empty)) => bounds::WETTED_RADIUS_M.check(empty)?,
            (None, None) => {
                let hint = format!(
                    "The outermost can, at {outermost} m, still caught {}: say where the wet ground ends, or set cans farther out.",
                    caught.last().copied().unwrap_or_default()
                );
                return Err(Error::missing("radius_m", hint));
            }
        };
        if end <= outermost {
            return Err(Error::inconsistent(
                format!("radius_m is {end} m and a can at {outermost} m caught water"),
                "The wet ground ends beyond the last can that caught some.",
            ));
        }
        let wet = distances_m.iter().zip(caught).take(last + 1).map(|(&d, &c)| (d / end, c));
        let points: Vec<(f64, f64)> = wet.chain([(1.0, 0.0)]).collect();
        let mut pieces: Vec<Piece> = Table::new(&points)?.cubics().map(|(start, end, c)| Piece::new(start, end, c)).collect();
        if let Some(&(first, caught)) = points.first().filter(|(at, _)| *at > 0.0) {
            pieces.insert(0, Piece::new(0.0, first, [caught, 0.0, 0.0, 0.0]));
        }
        let input = LegInput { distances_m: distances_m.to_vec(), caught: caught.to_vec(), radius_m };
        Ok(Self { input, radius_m: end, pieces })
    }

    /// Distance of each can, m.
    pub fn distances_m(&self) -> &[f64] {
        &self.input.distances_m
    }
    /// What each can caught.
    pub fn caught(&self) -> &[f64] {
        &self.input.caught
    }
    /// Where the wet ground ends, m.
    pub fn radius_m(&self) -> f64 {
        self.radius_m
    }

    /// Caught depth times ground, over the whole circle: liters if the cans were read in millimeters.
    pub fn volume(&self) -> f64 {
        2.0 * PI * self.radius_m * self.radius_m * Shape::Pieces(self.pieces.clone()).within(1.0)
    }
}

/// Each value in range; NaN is no value here.
pub(super) fn check_all(bound: bounds::Bound, values: &[f64]) -> Result<()> {
    match values.iter().position(|v| !bound.contains(*v)) {
        Some(first) => {
            let also = values.iter().skip(first + 1).filter(|v| !bound.contains(**v)).count();
            Err(bound.refuse(values.get(first).copied().unwrap_or(f64::NAN)).at_index(first, also))
        }
        None => Ok(()),
    }
}

/// A cubic between two radii, in powers of the distance from the first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    pub start: f64,
    pub end: f64,
    pub c: [f64; 4],
}

impl Piece {
    fn new(start: f64, end: f64, c: [f64; 4]) -> Self {
        Self { start, end, c }
    }

    #[inline(always)]
    pub fn at(&self, r: f64) -> f64 {
        let [a, b, c, d] = self.c;
        let x = r - self.start;
        a + x * (b + x * (c + x * d))
    }

    /// ∫ g r dr from the start of the piece to r.
    fn within(&self, r: f64) -> f64 {
        let [a, b, c, d] = self.c;
        let (s, x) = (self.start, r - self.start);
        let of = |k: f64, x: f64| x / k;
        let (x2, x3, x4) = (x * x, x * x * x, x * x * x * x);
        s * (a * x + of(2.0, b * x2) + of(3.0, c * x3) + of(4.0, d * x4))
            + (of(2.0, a * x2) + of(3.0, b * x3) + of(4.0, c * x4) + of(5.0, d * x4 * x))
    }

    /// The same cubic in powers of r.
    pub fn powers(&self) -> [f64; 4] {
        let ([a, b, c, d], s) = (self.c, self.start);
        [a - s * (b - s * (c - s * d)), b - s * (2.0 * c - 3.0 * s * d), c - 3.0 * s * d, d]
    }
}

/// A profile as kernels and closed forms take it, over the unit radius.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    Pieces(Vec<Piece>),
    Ellipse,
}

impl Shape {
    /// g at r, 0 beyond 1.
    pub fn at(&self, r: f64) -> f64 {
        match self {
            Shape::Ellipse => (1.0 - r * r).max(0.0).sqrt(),
            Shape::Pieces(_) if r > 1.0 => 0.0,
            Shape::Pieces(pieces) => pieces.iter().rev().find(|p| r >= p.start).map_or(0.0, |p| p.at(r).max(0.0)),
        }
    }

    /// ∫ g r dr from 0 to r; the whole beyond 1.
    pub fn within(&self, r: f64) -> f64 {
        let r = r.min(1.0);
        match self {
            Shape::Ellipse => {
                let rest = 1.0 - r * r;
                (1.0 - rest * rest.sqrt()) / 3.0
            }
            Shape::Pieces(pieces) => pieces.iter().filter(|p| r > p.start).map(|p| p.within(r.min(p.end))).sum(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::random::Stream;

    fn leg() -> Leg {
        Leg::new(&[1.5, 4.5, 7.5, 10.5, 13.5, 16.5], &[9.0, 8.0, 8.5, 6.0, 2.0, 0.5], Some(18.0)).unwrap()
    }

    fn all() -> Vec<Profile> {
        Profile::GEOMETRIC.into_iter().chain([Profile::Measured(leg())]).collect()
    }

    #[test]
    fn the_integral_within_a_radius_is_that_of_the_shape() {
        for profile in all() {
            let shape = profile.shape();
            let mut sum = 0.0;
            let steps = 200_000;
            for i in 0..steps {
                let r = (f64::from(i) + 0.5) / f64::from(steps);
                sum += shape.at(r) * r / f64::from(steps);
                if i % 20_000 == 0 {
                    assert!((sum - shape.within((f64::from(i) + 1.0) / f64::from(steps))).abs() < 1e-8, "{profile} at {r}");
                }
            }
        }
        let volumes: Vec<f64> = Profile::GEOMETRIC.iter().map(|p| 2.0 * PI * p.shape().within(1.0)).collect();
        for (volume, exact) in volumes.iter().zip([PI / 3.0, 2.0 * PI / 3.0, PI / 2.0]) {
            assert!((volume - exact).abs() < 1e-14); // cone, ellipsoid, paraboloid
        }
    }

    #[test]
    fn powers_of_r_say_the_same() {
        let mut stream = Stream::new(3, 0);
        for profile in all() {
            if let Shape::Pieces(pieces) = profile.shape() {
                for piece in pieces {
                    let r = piece.start + (piece.end - piece.start) * stream.next_f64();
                    let [a, b, c, d] = piece.powers();
                    assert!((a + r * (b + r * (c + r * d)) - piece.at(r)).abs() < 1e-10);
                }
            }
        }
    }

    #[test]
    fn a_measured_profile_goes_through_its_cans() {
        let leg = leg();
        let shape = Profile::Measured(leg.clone()).shape();
        for (d, caught) in leg.distances_m().iter().zip(leg.caught()) {
            assert!((shape.at(d / 18.0) - caught).abs() < 1e-12);
        }
        assert_eq!((shape.at(0.0), shape.at(1.0), shape.at(1.1)), (9.0, 0.0, 0.0));
    }

    #[test]
    fn names_parse_and_travel() {
        assert_eq!(" Cone ".parse::<Profile>().unwrap(), Profile::Cone);
        assert_eq!(
            "donut".parse::<Profile>().unwrap_err().to_string(),
            "profile \"donut\" is not known. Known: \"cone\", \"ellipse\", \"parabola\", \"ring\", \"disc\"."
        );
        for profile in all() {
            let text = serde_json::to_string(&profile).unwrap();
            assert_eq!(serde_json::from_str::<Profile>(&text).unwrap(), profile, "{text}");
        }
    }

    #[test]
    fn faulty_legs_are_refused() {
        let refused = |d: &[f64], c: &[f64], r: Option<f64>| Leg::new(d, c, r).unwrap_err().to_string();
        assert_eq!(refused(&[1.0, 2.0], &[1.0], None), "2 distances and 1 catches. Give one catch for each can.");
        assert_eq!(refused(&[1.0, 2.0], &[1.0, 0.0], None), "a leg of 2 cans shows no profile. Set three or more.");
        assert_eq!(
            refused(&[1.0, 2.0, 2.0], &[3.0, 2.0, 1.0], Some(9.0)),
            "cans at 2 m and then at 2 m. Sort them outwards; each distance once."
        );
        assert_eq!(refused(&[1.0, 2.0, 3.0], &[0.0; 3], None), "all cans are empty. A profile needs water in some cans.");
        assert_eq!(
            refused(&[1.0, 2.0, 3.0], &[3.0, f64::NAN, -1.0], Some(9.0)),
            "caught[1] is NaN mm: water depth must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm. (1 more value is out of range)"
        );
        assert_eq!(
            refused(&[1.0, 2.0, 3.0], &[3.0, 2.0, 1.0], Some(2.5)),
            "radius_m is 2.5 m and a can at 3 m caught water. The wet ground ends beyond the last can that caught some."
        );
    }
}
