//! Ground that several discs cover, exact: the area covered at least so many times, within a polygon or anywhere.

use super::radial::edges;
use super::{Polygon, Round, Xy, dot, length, minus};
use crate::error::{Error, Result};
use crate::num::{acos, atan2, cos, sin};
use std::f64::consts::TAU;

/// Area that at least `times` of the discs cover, m², within `polygon` or anywhere.
///
/// The boundary of that area is made of arcs of the circles and, within a polygon, of pieces of its edges; Green's
/// theorem sums them. `times` = 1 gives the wetted area, 2 the area that sets overlap on. Exact but for rounding.
///
/// # Errors
/// `times` is 0, or a patch is not a whole disc (arcs and annuli have no closed form here).
///
/// ```
/// use dibble::geom::{covered_area_m2, lens_area_m2, Round};
/// let pair = [Round::disc([0.0, 0.0], 5.0)?, Round::disc([6.0, 0.0], 5.0)?];
/// let twice = covered_area_m2(&pair, 2, None)?;
/// assert!((twice - lens_area_m2(5.0, 5.0, 6.0)?).abs() < 1e-10);
/// let once = covered_area_m2(&pair, 1, None)?;
/// assert!((once + twice - 2.0 * pair[0].area_m2()).abs() < 1e-10);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn covered_area_m2(discs: &[Round], times: usize, polygon: Option<&Polygon>) -> Result<f64> {
    if times == 0 {
        return Err(Error::inconsistent("times is 0", "All ground is covered 0 times or more; ask for 1 or more."));
    }
    if let Some(i) = discs.iter().position(|d| d.inner_m() > 0.0 || !d.arc().is_full()) {
        return Err(Error::inconsistent(
            format!("patch {i} is not a whole disc"),
            "Overlaps are exact for whole discs; take the depths at many points for part circles.",
        ));
    }
    let origin = discs.first().map_or([0.0; 2], Round::center);
    let circles: Vec<Circle> = discs.iter().map(|d| Circle { center: minus(d.center(), origin), radius: d.outer_m() }).collect();
    let ground = Ground { polygon, origin };
    let arcs: f64 = circles.iter().enumerate().map(|(i, c)| arcs_of(i, *c, &circles, times, &ground)).sum();
    let borders: f64 = ground.edges().map(|(a, b)| border(a, b, &circles, times)).sum();
    Ok(0.0 + arcs + borders) // a sum of nothing is -0
}

#[derive(Debug, Clone, Copy)]
struct Circle {
    center: Xy,
    radius: f64,
}

impl Circle {
    fn at(self, angle: f64) -> Xy {
        [self.center[0] + self.radius * cos(angle), self.center[1] + self.radius * sin(angle)]
    }

    fn holds(self, p: Xy) -> bool {
        length(minus(p, self.center)) < self.radius
    }

    fn same(self, other: Circle) -> bool {
        length(minus(self.center, other.center)) <= 1e-9 && (self.radius - other.radius).abs() <= 1e-9
    }
}

struct Ground<'a> {
    polygon: Option<&'a Polygon>,
    origin: Xy,
}

impl Ground<'_> {
    fn edges(&self) -> impl Iterator<Item = (Xy, Xy)> + '_ {
        let rings = self.polygon.into_iter().flat_map(|p| p.rings());
        rings.flat_map(edges).map(|(a, b)| (minus(a, self.origin), minus(b, self.origin)))
    }

    fn holds(&self, p: Xy) -> bool {
        self.polygon.is_none_or(|polygon| polygon.contains([p[0] + self.origin[0], p[1] + self.origin[1]]))
    }
}

/// Contribution of the arcs of circle `i` that have `times - 1` other discs under them. Of equal circles, the earlier
/// ones count as a hair larger, so that each arc is met once.
fn arcs_of(i: usize, circle: Circle, circles: &[Circle], times: usize, ground: &Ground<'_>) -> f64 {
    let mut cuts = vec![0.0, TAU];
    let mut always = 0;
    let mut others = Vec::new();
    for (j, &other) in circles.iter().enumerate().filter(|&(j, _)| j != i) {
        if circle.same(other) {
            always += usize::from(j < i);
            continue;
        }
        let apart = minus(other.center, circle.center);
        let d = length(apart);
        if d >= circle.radius + other.radius {
            continue;
        }
        others.push(other);
        if d > (circle.radius - other.radius).abs() {
            let middle = atan2(apart[1], apart[0]);
            let cosine = (d * d + circle.radius * circle.radius - other.radius * other.radius) / (2.0 * d * circle.radius);
            let half = acos(cosine.clamp(-1.0, 1.0));
            cuts.extend([middle - half, middle + half].map(turn));
        }
    }
    for (a, b) in ground.edges() {
        cuts.extend(crossings(a, b, circle).into_iter().flatten().map(|(_, p)| turn(angle_of(minus(p, circle.center)))));
    }
    cuts.sort_by(f64::total_cmp);
    let value = |(&from, &to): (&f64, &f64)| {
        let middle = circle.at(0.5 * (from + to));
        let under = always + others.iter().filter(|o| o.holds(middle)).count();
        if from == to || under + 1 != times || !ground.holds(middle) {
            return 0.0;
        }
        let ([cx, cy], r) = (circle.center, circle.radius);
        0.5 * r * (r * (to - from) + cx * (sin(to) - sin(from)) - cy * (cos(to) - cos(from)))
    };
    cuts.iter().zip(cuts.iter().skip(1)).map(value).sum()
}

/// Contribution of the pieces of a polygon's edge that lie under `times` discs or more.
fn border(a: Xy, b: Xy, circles: &[Circle], times: usize) -> f64 {
    let mut cuts = vec![(0.0, a), (1.0, b)];
    cuts.extend(circles.iter().flat_map(|&c| crossings(a, b, c).into_iter().flatten()));
    cuts.sort_by(|p, q| p.0.total_cmp(&q.0));
    let value = |((_, p), (_, q)): (&(f64, Xy), &(f64, Xy))| {
        let middle = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
        let under = circles.iter().filter(|c| c.holds(middle)).count();
        if under >= times { 0.5 * super::cross(*p, *q) } else { 0.0 }
    };
    cuts.iter().zip(cuts.iter().skip(1)).map(value).sum()
}

/// Where a segment crosses a circle: share of the segment, and place.
fn crossings(a: Xy, b: Xy, circle: Circle) -> [Option<(f64, Xy)>; 2] {
    let (along, off) = (minus(b, a), minus(a, circle.center));
    let (size, half) = (dot(along, along), dot(along, off));
    let room = half * half - size * (dot(off, off) - circle.radius * circle.radius);
    if room <= 0.0 {
        return [None, None];
    }
    [-room.sqrt(), room.sqrt()].map(|root| {
        let t = (root - half) / size;
        (t > 0.0 && t < 1.0).then(|| (t, [a[0] + t * along[0], a[1] + t * along[1]]))
    })
}

fn angle_of([x, y]: Xy) -> f64 {
    atan2(y, x)
}

/// The same direction from 0 to 2π.
fn turn(angle: f64) -> f64 {
    let turned = angle.rem_euclid(TAU);
    if turned < TAU { turned } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::num::random::Stream;
    use std::f64::consts::PI;

    fn discs(seed: u64, n: usize) -> Vec<Round> {
        let mut stream = Stream::new(seed, 0);
        let mut next = |low: f64, high: f64| low + (high - low) * stream.next_f64();
        (0..n).map(|_| Round::disc([next(-10.0, 10.0), next(-10.0, 10.0)], next(1.0, 6.0)).unwrap()).collect()
    }

    #[test]
    fn every_multiplicity_together_makes_up_all_discs() {
        let field = Polygon::new(&[[-8.0, -7.0], [9.0, -9.0], [3.0, 1.0], [7.0, 9.0], [-9.0, 6.0]]).unwrap();
        let field = field.with_hole(&[[-2.0, -2.0], [1.0, -2.0], [-1.0, 2.0]]).unwrap();
        for seed in 0..20 {
            let all = discs(seed, 12);
            let sum: f64 = (1..=12).map(|k| covered_area_m2(&all, k, None).unwrap()).sum();
            let each: f64 = all.iter().map(Round::area_m2).sum();
            assert!((sum - each).abs() < 1e-9 * each, "seed {seed}: {sum} and {each}");
            let within: f64 = (1..=12).map(|k| covered_area_m2(&all, k, Some(&field)).unwrap()).sum();
            let each: f64 = all.iter().map(|d| d.area_within_m2(&field)).sum();
            assert!((within - each).abs() < 1e-9 * each, "seed {seed}: {within} and {each} in the field");
        }
    }

    #[test]
    fn a_raster_sees_the_same_area() {
        let all = discs(77, 9);
        for times in 1..4 {
            let exact = covered_area_m2(&all, times, None).unwrap();
            let (mut hits, step) = (0, 0.05);
            for i in 0..700 {
                for j in 0..700 {
                    let p = [-17.5 + step * (f64::from(i) + 0.5), -17.5 + step * (f64::from(j) + 0.5)];
                    hits += usize::from(all.iter().filter(|d| d.contains(p)).count() >= times);
                }
            }
            assert!((hits as f64 * step * step - exact).abs() < 0.01 * exact, "{times}: {hits} cells of {step} m and {exact}");
        }
    }

    #[test]
    fn equal_discs_are_told_apart() {
        let twin = Round::disc([1.0, 2.0], 3.0).unwrap();
        for times in [1, 2] {
            assert!((covered_area_m2(&[twin, twin], times, None).unwrap() - 9.0 * PI).abs() < 1e-12);
        }
        assert_eq!(covered_area_m2(&[twin, twin], 3, None).unwrap(), 0.0);
        assert_eq!(covered_area_m2(&[], 1, None).unwrap(), 0.0);
    }

    #[test]
    fn square_lattices_leave_the_known_share_dry() {
        // tangent discs on a square lattice leave 1 - π/4 of the ground dry
        let mut all = Vec::new();
        for i in -1..=2 {
            for j in -1..=2 {
                all.push(Round::disc([f64::from(i), f64::from(j)], 0.5).unwrap());
            }
        }
        let cell = Polygon::new(&[[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]).unwrap();
        assert!((1.0 - covered_area_m2(&all, 1, Some(&cell)).unwrap() - 0.214_601_836_603).abs() < 1e-9);
    }

    #[test]
    fn part_circles_are_refused() {
        let half = Round::disc([0.0, 0.0], 3.0).unwrap().in_arc(crate::geom::Arc::new(0.0, 180.0).unwrap());
        assert_eq!(
            covered_area_m2(&[half], 1, None).unwrap_err().to_string(),
            "patch 0 is not a whole disc. Overlaps are exact for whole discs; take the depths at many points for part circles."
        );
    }
}
