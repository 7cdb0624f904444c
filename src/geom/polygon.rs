//! A polygon with holes, checked when it is made.

use super::radial::edges;
use super::{Xy, check_position, cross, dot, length, minus};
use crate::error::{Error, Result};
use crate::plain::plain;
use serde::{Deserialize, Serialize};

/// Area below which an outline is taken for a line, m²: the smallest area of `bounds::AREA_M2`.
const LEAST_AREA_M2: f64 = 0.01;
/// A point this near to an edge lies on it, m: surveyed and computed positions are rounder than that.
const ON_EDGE_M: f64 = 1e-9;

/// A simple polygon with holes, in local meters.
///
/// Corners go round in either direction and may repeat the first one at the end; two equal corners in a row count
/// once. Inside, the outline turns to the left and holes to the right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "PolygonInput", into = "PolygonInput")]
pub struct Polygon {
    outline: Vec<Xy>,
    holes: Vec<Vec<Xy>>,
}

#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct PolygonInput {
    outline: Vec<Xy>,
    #[serde(default)]
    holes: Vec<Vec<Xy>>,
}

plain!(Polygon: PolygonInput, |input| input.holes.iter().try_fold(Polygon::new(&input.outline)?, |polygon, hole| polygon.with_hole(hole)), |polygon| PolygonInput { outline: polygon.outline, holes: polygon.holes });

impl Polygon {
    /// A polygon from its corners in order.
    ///
    /// # Errors
    /// A position out of range, fewer than three corners, no area, or an outline that crosses or touches itself.
    ///
    /// ```
    /// use dibble::geom::Polygon;
    /// let field = Polygon::new(&[[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]])?;
    /// assert_eq!(field.area_m2(), 2400.0);
    /// let bow_tie = Polygon::new(&[[0.0, 0.0], [60.0, 40.0], [60.0, 0.0], [0.0, 40.0]]);
    /// assert_eq!(
    ///     bow_tie.unwrap_err().to_string(),
    ///     "the outline crosses itself: the edge from corner 1 meets the edge from corner 3 at (30, 20). \
    ///      Give the corners in order round the field."
    /// );
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(outline: &[Xy]) -> Result<Self> {
        Ok(Self { outline: ring("the outline", outline, true)?, holes: Vec::new() })
    }

    /// The polygon with a hole cut out.
    ///
    /// # Errors
    /// As [`Polygon::new`] for the hole, or a hole that is not inside the outline or meets another hole.
    pub fn with_hole(mut self, hole: &[Xy]) -> Result<Self> {
        let name = format!("hole {}", self.holes.len() + 1);
        let hole = ring(&name, hole, false)?;
        if let Some((i, j, at)) = first_meeting(&hole, Some(&self.outline)) {
            return Err(Error::inconsistent(
                format!("{name} meets the outline: its edge from corner {i} and the outline's from corner {j} meet at {}", shown(at)),
                "A hole lies inside the outline; move the outline in instead.",
            ));
        }
        let corner = hole.first().copied().unwrap_or_default();
        if !ring_contains(&self.outline, corner) {
            return Err(Error::inconsistent(format!("{name} lies outside the outline"), "Leave it out, or check the order of x and y."));
        }
        for (k, other) in self.holes.iter().enumerate() {
            let inside = |outer: &[Xy], inner: &[Xy]| inner.first().is_some_and(|&p| ring_contains(outer, p));
            if first_meeting(&hole, Some(other)).is_some() || inside(other, &hole) || inside(&hole, other) {
                return Err(Error::inconsistent(format!("{name} overlaps hole {}", k + 1), "Join the two into one."));
            }
        }
        self.holes.push(hole);
        Ok(self)
    }

    /// Corners of the outline, turning to the left, the first not repeated.
    pub fn outline(&self) -> &[Xy] {
        &self.outline
    }
    /// Corners of each hole, turning to the right.
    pub fn holes(&self) -> &[Vec<Xy>] {
        &self.holes
    }
    /// The outline and the holes.
    pub fn rings(&self) -> impl Iterator<Item = &[Xy]> + Clone {
        std::iter::once(self.outline.as_slice()).chain(self.holes.iter().map(Vec::as_slice))
    }

    /// Area without the holes, m².
    pub fn area_m2(&self) -> f64 {
        self.rings().map(signed_area).sum()
    }

    /// Does the point lie inside? Edges belong to the polygon (a tree on the line is in the field).
    pub fn contains(&self, at: Xy) -> bool {
        self.edge_distance_m(at) <= ON_EDGE_M || self.rings().filter(|r| ring_contains(r, at)).count() == 1
    }

    /// Distance from a point to the nearest edge, of the outline or of a hole, m.
    pub fn edge_distance_m(&self, at: Xy) -> f64 {
        self.rings().flat_map(edges).map(|(a, b)| to_segment(at, a, b)).fold(f64::INFINITY, f64::min)
    }

    /// Southwest and northeast corner of the upright rectangle around it.
    pub fn extent(&self) -> (Xy, Xy) {
        let around = |(lo, hi): (Xy, Xy), &[x, y]: &Xy| ([lo[0].min(x), lo[1].min(y)], [hi[0].max(x), hi[1].max(y)]);
        self.outline.iter().fold(([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]), around)
    }
}

fn shown([x, y]: Xy) -> String {
    let round = |v: f64| (v * 1e3).round() / 1e3 + 0.0;
    format!("({}, {})", round(x), round(y))
}

/// A checked ring that turns to the left, or to the right for a hole.
fn ring(name: &str, corners: &[Xy], left: bool) -> Result<Vec<Xy>> {
    for (i, &at) in corners.iter().enumerate() {
        check_position(at).map_err(|e| e.at(format!("{name}, corner {}", i + 1)))?;
    }
    let mut ring: Vec<Xy> = corners.to_vec();
    ring.dedup();
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    if ring.len() < 3 {
        let count = if ring.len() == 1 { "1 corner".to_string() } else { format!("{} different corners", ring.len()) };
        return Err(Error::inconsistent(format!("{name} has {count}"), "Give three or more."));
    }
    let area = signed_area(&ring);
    let from = ring.first().copied().unwrap_or_default();
    let spread: f64 = edges(&ring).map(|(a, b)| 0.5 * cross(minus(a, from), minus(b, from)).abs()).sum();
    if spread < LEAST_AREA_M2 {
        return Err(Error::inconsistent(
            format!("{name} encloses {} m2", (area.abs() * 1e6).round() / 1e6),
            "Give an outline with an area, in meters: longitude and latitude must be turned into meters first.",
        ));
    }
    if let Some((i, j, at)) = first_meeting(&ring, None) {
        return Err(Error::inconsistent(
            format!("{name} crosses itself: the edge from corner {i} meets the edge from corner {j} at {}", shown(at)),
            "Give the corners in order round the field.",
        ));
    }
    if (area > 0.0) != left {
        ring.reverse();
    }
    Ok(ring)
}

/// Positive for a ring that turns to the left; reckoned from its first corner, so that large coordinates cost nothing.
fn signed_area(ring: &[Xy]) -> f64 {
    let from = ring.first().copied().unwrap_or_default();
    0.5 * edges(ring).map(|(a, b)| cross(minus(a, from), minus(b, from))).sum::<f64>()
}

/// Even-odd rule; points on the ring may fall to either side.
fn ring_contains(ring: &[Xy], [x, y]: Xy) -> bool {
    let crosses = |(a, b): (Xy, Xy)| (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
    edges(ring).filter(|&e| crosses(e)).count() % 2 == 1
}

fn to_segment(p: Xy, a: Xy, b: Xy) -> f64 {
    let (along, off) = (minus(b, a), minus(p, a));
    let t = (dot(off, along) / dot(along, along)).clamp(0.0, 1.0);
    length([off[0] - t * along[0], off[1] - t * along[1]])
}

/// The first two edges that meet, by the numbers of their first corners (from 1), and where: edges of one ring that
/// are not neighbors (neighbors only where they fold back), or edges of two rings.
fn first_meeting(ring: &[Xy], other: Option<&[Xy]>) -> Option<(usize, usize, Xy)> {
    let own = edges(ring).enumerate().map(|(i, e)| (0, i, e));
    let others = other.into_iter().flat_map(edges).enumerate().map(|(i, e)| (1, i, e));
    let mut all: Vec<(usize, usize, (Xy, Xy))> = own.chain(others).collect();
    let west = |(a, b): (Xy, Xy)| a[0].min(b[0]);
    let east = |(a, b): (Xy, Xy)| a[0].max(b[0]);
    all.sort_by(|p, q| west(p.2).total_cmp(&west(q.2)).then((p.0, p.1).cmp(&(q.0, q.1))));
    let n = ring.len();
    let mut found: Option<(usize, usize, Xy)> = None;
    for (k, &(set, i, e)) in all.iter().enumerate() {
        for &(other_set, j, f) in all.iter().skip(k + 1).take_while(|later| west(later.2) <= east(e)) {
            let at = match (other.is_some(), set == other_set) {
                (true, true) => None,
                (true, false) => meeting(e, f),
                (false, _) if (i + 1) % n == j => folds_back(e, f),
                (false, _) if (j + 1) % n == i => folds_back(f, e),
                (false, _) => meeting(e, f),
            };
            if let Some(at) = at {
                let pair = if other.is_some() && set == 1 { (j + 1, i + 1) } else { (i + 1, j + 1) };
                let pair = if other.is_none() { (pair.0.min(pair.1), pair.0.max(pair.1)) } else { pair };
                if found.is_none_or(|(a, b, _)| pair < (a, b)) {
                    found = Some((pair.0, pair.1, at));
                }
            }
        }
    }
    found
}

/// Where a corner turns by exactly half a circle: the second edge runs back over the first.
fn folds_back((a, b): (Xy, Xy), (_, c): (Xy, Xy)) -> Option<Xy> {
    let (there, back) = (minus(b, a), minus(c, b));
    (cross(there, back).abs() <= 1e-12 * length(there) * length(back) && dot(there, back) < 0.0).then_some(b)
}

/// A point that two closed segments share.
fn meeting((a, b): (Xy, Xy), (c, d): (Xy, Xy)) -> Option<Xy> {
    let (u, v, w) = (minus(b, a), minus(d, c), minus(c, a));
    let turn = cross(u, v);
    if turn.abs() <= 1e-14 * length(u) * length(v) {
        // Parallel: they meet if they are in line and overlap.
        let size = length(u);
        if cross(u, w).abs() > ON_EDGE_M * size {
            return None;
        }
        let (s, t) = (dot(w, u) / (size * size), dot(minus(d, a), u) / (size * size));
        let (lo, hi) = (s.min(t).max(0.0), s.max(t).min(1.0));
        return (lo <= hi).then_some([a[0] + lo * u[0], a[1] + lo * u[1]]);
    }
    let (s, t) = (cross(w, v) / turn, cross(w, u) / turn);
    let within = |t: f64| (0.0..=1.0).contains(&t);
    (within(s) && within(t)).then_some([a[0] + s * u[0], a[1] + s * u[1]])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const FIELD: [Xy; 5] = [[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [30.0, 10.0], [0.0, 40.0]];

    fn message(corners: &[Xy]) -> String {
        Polygon::new(corners).unwrap_err().to_string()
    }

    #[test]
    fn corners_may_go_either_way_and_close() {
        let mut back = FIELD.to_vec();
        back.reverse();
        back.push(back[0]);
        let (a, b) = (Polygon::new(&FIELD).unwrap(), Polygon::new(&back).unwrap());
        assert_eq!((a.area_m2(), b.area_m2()), (1500.0, 1500.0));
        assert_eq!(a.extent(), ([0.0, 0.0], [60.0, 40.0]));
        assert!(signed_area(b.outline()) > 0.0);
    }

    #[test]
    fn edges_belong_to_the_field_and_holes_do_not() {
        let field = Polygon::new(&FIELD).unwrap().with_hole(&[[5.0, 2.0], [15.0, 2.0], [15.0, 8.0], [5.0, 8.0]]).unwrap();
        for inside in [[1.0, 1.0], [0.0, 0.0], [60.0, 20.0], [45.0, 25.0], [5.0, 5.0], [15.0, 8.0]] {
            assert!(field.contains(inside), "{inside:?}");
        }
        for outside in [[10.0, 5.0], [30.0, 20.0], [-1e-6, 5.0], [61.0, 3.0]] {
            assert!(!field.contains(outside), "{outside:?}");
        }
        assert_eq!(field.area_m2(), 1440.0);
        assert_eq!(field.edge_distance_m([10.0, 5.0]), 3.0);
    }

    #[test]
    fn faulty_outlines_are_refused_with_the_place() {
        assert_eq!(message(&[[0.0, 0.0], [5.0, 5.0], [0.0, 0.0]]), "the outline has 2 different corners. Give three or more.");
        assert_eq!(
            message(&[[0.0, 0.0], [5.0, 0.0], [10.0, 0.0]]),
            "the outline encloses 0 m2. Give an outline with an area, in meters: longitude and latitude must be turned into meters first."
        );
        assert_eq!(
            message(&[[-84.71, 45.01], [-84.70, 45.01], [-84.70, 45.02], [-84.71, 45.02]]),
            "the outline encloses 0.0001 m2. Give an outline with an area, in meters: longitude and latitude must be turned into meters first."
        );
        assert_eq!(
            message(&[[0.0, 0.0], [f64::NAN, 0.0], [10.0, 5.0]]),
            "the outline, corner 2: x_m is NaN m: position must be from -10000000 to 10000000 m. Give meters east and north of an origin nearby, not degrees."
        );
        // touches itself at a corner
        let pinched = [[0.0, 0.0], [20.0, 0.0], [10.0, 10.0], [20.0, 20.0], [0.0, 20.0], [10.0, 10.0]];
        assert!(message(&pinched).contains("at (10, 10)"));
    }

    #[test]
    fn faulty_holes_are_refused() {
        let field = Polygon::new(&FIELD).unwrap();
        let refused = |hole: &[Xy]| field.clone().with_hole(hole).unwrap_err().to_string();
        assert_eq!(
            refused(&[[100.0, 0.0], [110.0, 0.0], [110.0, 9.0]]),
            "hole 1 lies outside the outline. Leave it out, or check the order of x and y."
        );
        assert_eq!(
            refused(&[[50.0, 5.0], [70.0, 5.0], [50.0, 9.0]]),
            "hole 1 meets the outline: its edge from corner 1 and the outline's from corner 2 meet at (60, 7). A hole lies inside the outline; move the outline in instead."
        );
        let holed = field.clone().with_hole(&[[5.0, 2.0], [15.0, 2.0], [15.0, 8.0], [5.0, 8.0]]).unwrap();
        let within = holed.clone().with_hole(&[[6.0, 3.0], [7.0, 3.0], [7.0, 4.0]]).unwrap_err();
        assert_eq!(within.to_string(), "hole 2 overlaps hole 1. Join the two into one.");
        let read: Polygon = serde_json::from_str(&serde_json::to_string(&holed).unwrap()).unwrap();
        assert_eq!(read, holed);
    }

    proptest! {
        #[test]
        fn large_coordinates_do_not_change_area_or_membership(e in -1e4..1e4f64, n in -1e4..1e4f64, x in -5.0..65.0f64, y in -5.0..45.0f64) {
            let field = Polygon::new(&FIELD).unwrap();
            prop_assume!(field.edge_distance_m([x, y]) > 1e-6);
            let moved = Polygon::new(&FIELD.map(|[x, y]| [x + e, y + n])).unwrap();
            prop_assert!((moved.area_m2() - 1500.0).abs() < 1e-9 * 1500.0);
            prop_assert_eq!(moved.contains([x + e, y + n]), field.contains([x, y]));
        }
    }
}
