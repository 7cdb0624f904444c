//! `dibble.geom`: polygons, round patches, what they share, and the plane that makes meters of degrees.

mod plane;
mod polygon;
mod round;

pub use plane::PyPlane;
pub use polygon::PyPolygon;

use pyo3::prelude::*;

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyPlane>()?;
    module.add_class::<PyPolygon>()?;
    module.add_class::<round::PyRound>()?;
    round::register(module)?;
    round::register_cover(module)
}
