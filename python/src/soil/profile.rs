//! `Profile`.

use super::hydraulic::{PySoil, written};
use crate::gate::{self, compute, instance, number};
use crate::{error, record};
use dibble::Error;
use dibble::soil::{Layer, Profile};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};

type Any<'py> = Bound<'py, PyAny>;

/// Layers of soil from the surface down; the last one goes on below its lower edge.
///
/// Examples
/// --------
/// >>> from dibble.soil import Profile, Soil
/// >>> loam, till = Soil.from_texture("silt loam", 3.0), Soil.from_texture("clay loam", 0.5)
/// >>> profile = Profile.layered([(0.3, loam), (1.0, till)])
/// >>> profile.available_water_mm(0.5) == loam.available_water_mm(0.3) + till.available_water_mm(0.2)
/// True
/// >>> profile.drainage_limit_mm_h(0.1) == till.ksat_mm_h  # the till holds the water up
/// True
#[pyclass(name = "Profile", module = "dibble.soil", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyProfile(pub Profile);

#[pymethods]
impl PyProfile {
    /// One soil all the way down.
    #[staticmethod]
    fn uniform(soil: &Bound<'_, PySoil>) -> Self {
        Self(Profile::uniform(soil.get().0))
    }

    /// Layers from the surface down, each a pair of the depth of its lower edge in m and its soil.
    #[staticmethod]
    fn layered(py: Python<'_>, layers: &Any<'_>) -> PyResult<Self> {
        let layer = |(i, pair): (usize, &Any<'_>)| {
            let name = format!("layers[{i}]");
            match gate::items(&name, pair, "two, the depth of the lower edge and the Soil,")?.as_slice() {
                [edge, soil] => Ok(Layer { to_depth_m: number("to_depth_m", edge)?, soil: instance::<PySoil>(&name, soil)?.get().0 }),
                others => {
                    let what = format!("{name} holds {} things", others.len());
                    let hint = "Give two: the depth of the lower edge in meters, and its Soil.";
                    Err(error::raise(py, &Error::inconsistent(what, hint)))
                }
            }
        };
        let layers = gate::items("layers", layers, "layers")?.iter().enumerate().map(layer).collect::<PyResult<Vec<_>>>()?;
        compute(py, "Profile.layered", || Profile::layered(layers)).map(Self)
    }

    /// The layers, surface first: pairs of the depth of the lower edge in m and the soil.
    #[getter]
    fn layers(&self) -> Vec<(f64, PySoil)> {
        self.0.layers().map(|layer| (layer.to_depth_m, PySoil(layer.soil))).collect()
    }

    /// Water between field capacity and wilting point from the surface to a depth of 0 to 10 m, mm.
    #[pyo3(signature = (depth_m, *, on_error = "raise"))]
    fn available_water_mm<'py>(&self, depth_m: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(depth_m.py(), [("depth_m", depth_m)], on_error, |[depth]| self.0.available_water_mm(depth))
    }

    /// Smallest saturated conductivity at a depth or anywhere beneath it, mm/h.
    #[pyo3(signature = (depth_m, *, on_error = "raise"))]
    fn drainage_limit_mm_h<'py>(&self, depth_m: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(depth_m.py(), [("depth_m", depth_m)], on_error, |[depth]| self.0.drainage_limit_mm_h(depth))
    }

    /// The layers as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "profile", &self.0)
    }
    /// A profile from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        record::from_json(py, "profile", text).map(Self)
    }
    /// The layers as plain dicts.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "profile", &self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes(py, "profile", data).map(Self)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "profile", &self.0)?,)))
    }
    fn __repr__(&self) -> String {
        let layers: Vec<_> = self.0.layers().map(|l| format!("({:?}, {})", l.to_depth_m, written(&l.soil))).collect();
        format!("Profile.layered([{}])", layers.join(", "))
    }
    fn _repr_html_(&self) -> String {
        let rows: Vec<_> = self.0.layers().map(|l| (l.soil.texture().name(), format!("to {}", l.to_depth_m), "m")).collect();
        record::html("Soil profile", &rows)
    }
}
