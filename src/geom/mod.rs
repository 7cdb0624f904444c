//! Flat geometry in local meters: round patches, polygons with holes, their intersections, and the way to degrees.
//!
//! Positions are `[x, y]`: meters east and north of an origin. Discs, annuli and sectors are exact: their areas
//! within a polygon come in closed form, edge by edge, not from a many-sided polygon (which is short by 0.64 % with
//! 32 sides). Polygons are checked when they are made, so that a polygon that exists does not cross itself.

mod arc;
mod cover;
mod plane;
mod polygon;
pub(crate) mod radial;
mod round;

pub use arc::Arc;
pub(crate) use arc::{RAY_SLACK, Wedge, bearing_vector};
pub use cover::covered_area_m2;
pub use plane::Plane;
pub(crate) use plane::exchanged;
pub use polygon::Polygon;
pub use round::{Round, lens_area_m2};

/// A position: meters east and meters north of an origin.
pub type Xy = [f64; 2];

/// x and y within their range.
pub(crate) fn check_position(at: Xy) -> crate::Result<Xy> {
    let [x, y] = at;
    crate::bounds::POSITION_M.check(x)?;
    crate::bounds::POSITION_M.named("y_m").check(y)?;
    Ok(at)
}

pub(crate) fn minus([ax, ay]: Xy, [bx, by]: Xy) -> Xy {
    [ax - bx, ay - by]
}

pub(crate) fn dot([ax, ay]: Xy, [bx, by]: Xy) -> f64 {
    ax * bx + ay * by
}

/// Twice the area of the triangle from the origin over `a` to `b`, positive when it turns to the left.
pub(crate) fn cross([ax, ay]: Xy, [bx, by]: Xy) -> f64 {
    ax * by - ay * bx
}

pub(crate) fn length(a: Xy) -> f64 {
    dot(a, a).sqrt()
}
