//! `Plane`.

use crate::gate::{self, compute, number};
use crate::record::{self, record_class};
use dibble::geom::Plane;
use numpy::IntoPyArray;
use pyo3::prelude::*;
use pyo3::types::PyTuple;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// The plane that touches the Earth (WGS 84) at an origin on the farm: degrees to meters east and north, and back.
///
/// Longitude comes first, as in GeoJSON. Within 5 km of the origin a distance comes out at most 2 mm short; points more than
/// 20 km away are refused, and the message says so if longitude and latitude look exchanged.
///
/// Parameters
/// ----------
/// longitude_deg, latitude_deg : float
///     The origin.
///
/// Raises
/// ------
/// OutOfRangeError
///     Longitude beyond 180 or latitude beyond 90 degrees.
///
/// Examples
/// --------
/// >>> from dibble.geom import Plane
/// >>> plane = Plane(-84.70, 45.00)
/// >>> plane.to_meters([[-84.70, 45.00], [-84.70, 45.01]]).round(1).tolist()
/// [[0.0, 0.0], [0.0, 1111.3]]
/// >>> plane.to_degrees([0.0, 1111.3]).round(5).tolist()
/// [-84.7, 45.01]
#[pyclass(name = "Plane", module = "dibble.geom", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyPlane(pub Plane);

record_class!(PyPlane, "plane", {
    #[new]
    fn new(py: Python<'_>, longitude_deg: &Any<'_>, latitude_deg: &Any<'_>) -> PyResult<Self> {
        let (longitude, latitude) = (number("longitude_deg", longitude_deg)?, number("latitude_deg", latitude_deg)?);
        compute(py, "Plane", || Plane::new(longitude, latitude)).map(Self)
    }

    /// Longitude of the origin, degrees.
    #[getter]
    fn longitude_deg(&self) -> f64 {
        self.0.longitude_deg()
    }
    /// Latitude of the origin, degrees.
    #[getter]
    fn latitude_deg(&self) -> f64 {
        self.0.latitude_deg()
    }
    /// Meters east and north of the origin, from longitude and latitude in the last axis of an array.
    fn to_meters<'py>(&self, py: Python<'py>, lon_lat_deg: &Any<'py>) -> PyResult<Any<'py>> {
        self.each(py, "lon_lat_deg", lon_lat_deg, |[longitude, latitude]| self.0.to_meters(longitude, latitude))
    }
    /// Longitude and latitude, from meters east and north of the origin in the last axis of an array.
    fn to_degrees<'py>(&self, py: Python<'py>, xy_m: &Any<'py>) -> PyResult<Any<'py>> {
        self.each(py, "xy_m", xy_m, |at| self.0.to_degrees(at))
    }
    fn __repr__(&self) -> String {
        format!("Plane({})", record::arguments(&json!(self.0)))
    }
});

impl PyPlane {
    fn each<'py>(
        &self,
        py: Python<'py>,
        name: &str,
        value: &Any<'py>,
        call: impl Fn([f64; 2]) -> dibble::Result<[f64; 2]> + Send + Sync,
    ) -> PyResult<Any<'py>> {
        let (mut shape, pairs) = gate::positions(name, value)?;
        let turned = compute(py, "Plane", || {
            let at = |(i, pair): (usize, &[f64; 2])| call(*pair).map_err(|e| e.at(format!("{name}[{i}]")));
            pairs.iter().enumerate().map(at).collect::<dibble::Result<Vec<_>>>()
        })?;
        shape.push(2);
        turned.concat().into_pyarray(py).call_method1("reshape", (PyTuple::new(py, shape)?,))
    }
}
