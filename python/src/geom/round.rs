//! Discs, annuli and sectors, and what they share with a polygon and each other.

use super::PyPolygon;
use crate::gate::{self, compute, count, formulas, instance, instance_or_none, instances, number, number_or_none, position};
use crate::record::record_class;
use dibble::geom::{self, Arc, Round};
use numpy::IntoPyArray;
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    lens_area_m2(radius_m, other_radius_m, distance_m) = geom::lens_area_m2(radius_m, other_radius_m, distance_m);
}

/// A round patch: a disc, what lies between two radii, or the part of one that lies in an arc. Its areas are exact.
///
/// Parameters
/// ----------
/// center_xy_m : (float, float)
///     Meters east and north of the origin.
/// outer_m : float
///     Radius, 0.01 to 200 m.
/// inner_m : float
///     Inner radius, 0 to below the outer one.
/// facing_deg, arc_deg : float
///     Bearing of the middle of the arc, and its width, 1 to 360 deg.
///
/// Raises
/// ------
/// OutOfRangeError, InconsistentError
///     A value out of range, or an inner radius that is not below the outer one.
///
/// Examples
/// --------
/// >>> from dibble.geom import Polygon, Round
/// >>> field = Polygon([(0, 0), (100, 0), (100, 100), (0, 100)])
/// >>> disc = Round((0, 0), 10)  # about a corner of the field: a quarter lies in it
/// >>> round(disc.area_within_m2(field) / disc.area_m2, 12)
/// 0.25
#[pyclass(name = "Round", module = "dibble.geom", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyRound(pub Round);

record_class!(PyRound, "round patch", {
    #[new]
    #[pyo3(signature = (center_xy_m, outer_m, *, inner_m = None, facing_deg = None, arc_deg = None))]
    fn new(
        py: Python<'_>,
        center_xy_m: &Any<'_>,
        outer_m: &Any<'_>,
        inner_m: Option<&Any<'_>>,
        facing_deg: Option<&Any<'_>>,
        arc_deg: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let (center, outer) = (position("center_xy_m", center_xy_m)?, number("outer_m", outer_m)?);
        let inner = number_or_none("inner_m", inner_m)?.unwrap_or(0.0);
        let facing = number_or_none("facing_deg", facing_deg)?.unwrap_or(0.0);
        let width = number_or_none("arc_deg", arc_deg)?.unwrap_or(360.0);
        compute(py, "Round", || Ok(Round::annulus(center, inner, outer)?.in_arc(Arc::new(facing, width)?))).map(Self)
    }

    /// Center, m.
    #[getter]
    fn center_xy_m(&self) -> (f64, f64) {
        self.0.center().into()
    }
    /// Outer radius, m.
    #[getter]
    fn outer_m(&self) -> f64 {
        self.0.outer_m()
    }
    /// Inner radius, m.
    #[getter]
    fn inner_m(&self) -> f64 {
        self.0.inner_m()
    }
    /// Bearing of the middle of the arc, degrees.
    #[getter]
    fn facing_deg(&self) -> f64 {
        self.0.arc().facing_deg()
    }
    /// Width of the arc, degrees.
    #[getter]
    fn arc_deg(&self) -> f64 {
        self.0.arc().arc_deg()
    }
    /// Area, m2.
    #[getter]
    fn area_m2(&self) -> f64 {
        self.0.area_m2()
    }
    /// Area within a polygon, m2: exact but for rounding.
    fn area_within_m2(&self, py: Python<'_>, polygon: &Any<'_>) -> PyResult<f64> {
        let polygon = &instance::<PyPolygon>("polygon", polygon)?.get().0;
        compute(py, "Round.area_within_m2", || Ok(self.0.area_within_m2(polygon)))
    }
    /// Whether positions lie in it, their last axis x and y in m; its edges belong to it.
    fn contains<'py>(&self, py: Python<'py>, xy_m: &Any<'py>) -> PyResult<Any<'py>> {
        let (shape, points) = gate::positions("xy_m", xy_m)?;
        let inside = compute(py, "Round.contains", || Ok(points.iter().map(|p| self.0.contains(*p)).collect::<Vec<_>>()))?;
        inside.into_pyarray(py).call_method1("reshape", (shape,))
    }
    fn __repr__(&self) -> String {
        let ([x, y], round, arc) = (self.0.center(), &self.0, self.0.arc());
        let mut text = format!("Round(({x:?}, {y:?}), {:?}", round.outer_m());
        if round.inner_m() > 0.0 {
            text += &format!(", inner_m={:?}", round.inner_m());
        }
        if !arc.is_full() {
            text += &format!(", facing_deg={:?}, arc_deg={:?}", arc.facing_deg(), arc.arc_deg());
        }
        text + ")"
    }
});

#[pyfunction]
fn covered_area_m2(py: Python<'_>, rounds: &Any<'_>, times: &Any<'_>, within: Option<&Any<'_>>) -> PyResult<f64> {
    let rounds: Vec<Round> = instances::<PyRound>("rounds", rounds)?.iter().map(|round| round.get().0).collect();
    let times = usize::try_from(count("times", times)?).unwrap_or(usize::MAX);
    let within = instance_or_none::<PyPolygon>("within", within)?.map(|polygon| &polygon.get().0);
    compute(py, "covered_area_m2", || geom::covered_area_m2(&rounds, times, within))
}

/// Adds the overlap of many to `_dibble`.
pub fn register_cover(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(covered_area_m2, module)?)
}
