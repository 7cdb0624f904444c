//! `Polygon`.

use super::PyPlane;
use crate::gate::{self, compute, instance, instance_or_none};
use crate::record::{self, record_class};
use dibble::geom::{Plane, Polygon};
use numpy::{IntoPyArray, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;
type Ring = Vec<[f64; 2]>;

/// A simple polygon with holes, in meters east and north of the farm's origin.
///
/// Parameters
/// ----------
/// outline : array-like or shape
///     Corners in order, `[n, 2]`; or anything with `__geo_interface__` (shapely, geopandas) or a GeoJSON dict, of which it
///     must be one polygon. Its own holes count.
/// holes : sequence of array-like
///     Corners of each hole.
/// plane : Plane, optional
///     Given, the corners are longitude and latitude, and this plane makes meters of them.
///
/// Raises
/// ------
/// OutOfRangeError, InconsistentError, DibbleTypeError
///     A corner out of range, no area, an outline that crosses or touches itself, a hole that is not inside.
///
/// Examples
/// --------
/// >>> from dibble.geom import Polygon
/// >>> field = Polygon([(0, 0), (60, 0), (60, 40), (0, 40)], holes=[[(10, 10), (20, 10), (20, 20), (10, 20)]])
/// >>> field.area_m2
/// 2300.0
/// >>> field.contains([(5, 5), (15, 15)]).tolist()
/// [True, False]
#[pyclass(name = "Polygon", module = "dibble.geom", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyPolygon(pub Polygon);

record_class!(PyPolygon, "polygon", {
    #[new]
    #[pyo3(signature = (outline, holes = None, *, plane = None))]
    fn new(outline: &Any<'_>, holes: Option<&Any<'_>>, plane: Option<&Any<'_>>) -> PyResult<Self> {
        let py = outline.py();
        let rings: Vec<PyReadonlyArray1<'_, f64>> = py.import("dibble._shapes")?.getattr("rings")?.call1((outline, holes))?.extract()?;
        let rings = rings.iter().map(|ring| Ok(ring.as_slice()?.as_chunks::<2>().0.to_vec())).collect::<PyResult<Vec<_>>>()?;
        let plane = instance_or_none::<PyPlane>("plane", plane)?.map(|plane| plane.get().0);
        compute(py, "Polygon", || made_of(rings, plane)).map(Self)
    }

    /// Corners of the outline, turning to the left, the first not repeated: an array `[n, 2]`, m.
    #[getter]
    fn outline<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        corners(py, self.0.outline())
    }
    /// Corners of each hole, turning to the right: a list of arrays `[n, 2]`, m.
    #[getter]
    fn holes<'py>(&self, py: Python<'py>) -> PyResult<Vec<Any<'py>>> {
        self.0.holes().iter().map(|hole| corners(py, hole)).collect()
    }
    /// Area without the holes, m2.
    #[getter]
    fn area_m2(&self) -> f64 {
        self.0.area_m2()
    }
    /// Southwest and northeast corner of the upright rectangle around it: west, south, east, north, m.
    #[getter]
    fn extent_m(&self) -> (f64, f64, f64, f64) {
        let ([west, south], [east, north]) = self.0.extent();
        (west, south, east, north)
    }
    /// Whether positions lie inside, their last axis x and y in m; edges belong to the polygon.
    fn contains<'py>(&self, py: Python<'py>, xy_m: &Any<'py>) -> PyResult<Any<'py>> {
        let (shape, points) = gate::positions("xy_m", xy_m)?;
        let inside = compute(py, "Polygon.contains", || Ok(points.iter().map(|p| self.0.contains(*p)).collect::<Vec<_>>()))?;
        inside.into_pyarray(py).call_method1("reshape", (shape,))
    }
    /// Distance from positions to the nearest edge, of the outline or of a hole, m.
    fn edge_distance_m<'py>(&self, py: Python<'py>, xy_m: &Any<'py>) -> PyResult<Any<'py>> {
        let (shape, points) = gate::positions("xy_m", xy_m)?;
        let near = compute(py, "Polygon.edge_distance_m", || Ok(points.iter().map(|p| self.0.edge_distance_m(*p)).collect()))?;
        gate::shaped(py, shape, near)
    }
    /// The polygon as GeoJSON geometry in meters, for other packages: `shapely.geometry.shape(polygon)`.
    #[getter]
    fn __geo_interface__<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.geometry(py, |at| Ok(*at))
    }
    /// The polygon as a GeoJSON geometry (RFC 7946: longitude and latitude) by the plane of the farm.
    fn to_geojson<'py>(&self, py: Python<'py>, plane: &Any<'_>) -> PyResult<Any<'py>> {
        let plane = instance::<PyPlane>("plane", plane)?.get().0;
        self.geometry(py, move |at| plane.to_degrees(*at))
    }
    fn __repr__(&self) -> String {
        let record = json!(self.0);
        let part = |key| record.get(key).map(record::literal).unwrap_or_default();
        let holes = if self.0.holes().is_empty() { String::new() } else { format!(", holes={}", part("holes")) };
        format!("Polygon({}{holes})", part("outline"))
    }
});

impl PyPolygon {
    fn geometry<'py>(&self, py: Python<'py>, place: impl Fn(&[f64; 2]) -> dibble::Result<[f64; 2]> + Send + Sync) -> PyResult<Any<'py>> {
        let closed = |ring: &[[f64; 2]]| ring.iter().chain(ring.first()).map(&place).collect::<dibble::Result<Ring>>();
        let rings = compute(py, "Polygon", || self.0.rings().map(closed).collect::<dibble::Result<Vec<_>>>())?;
        let geometry = PyDict::new(py);
        geometry.set_item("type", "Polygon")?;
        geometry.set_item("coordinates", rings)?;
        Ok(geometry.into_any())
    }
}

fn made_of(rings: Vec<Ring>, plane: Option<Plane>) -> dibble::Result<Polygon> {
    let mut flat = Vec::with_capacity(rings.len());
    for (k, ring) in rings.into_iter().enumerate() {
        let name = if k == 0 { "the outline".to_string() } else { format!("hole {k}") };
        let place = |(i, at): (usize, [f64; 2])| match plane {
            Some(plane) => plane.to_meters(at[0], at[1]).map_err(|e| e.at(format!("{name}, corner {}", i + 1))),
            None => Ok(at),
        };
        flat.push(ring.into_iter().enumerate().map(place).collect::<dibble::Result<Ring>>()?);
    }
    let (outline, holes) = flat.split_first().map_or((&[][..], &[][..]), |(outline, holes)| (outline.as_slice(), holes));
    holes.iter().try_fold(Polygon::new(outline)?, |polygon, hole| polygon.with_hole(hole))
}

fn corners<'py>(py: Python<'py>, ring: &[[f64; 2]]) -> PyResult<Any<'py>> {
    let array = ring.concat().into_pyarray(py).call_method1("reshape", ((ring.len(), 2),))?;
    array.getattr("flags")?.setattr("writeable", false)?;
    Ok(array)
}
