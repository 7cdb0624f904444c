//! `Farm`.

use crate::gate::compute;
use crate::weather::{PySite, PyWeather};
use crate::{record, table};
use dibble::farm::Farm;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyType};
use std::path::PathBuf;
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;

/// A farm as its owner writes it: place, sprinkler, soils, blocks, and the log of what fell, was given and was seen.
///
/// Examples
/// --------
/// >>> from dibble.farm import Farm
/// >>> farm = Farm.parse('''
/// ... name = "Hill"
/// ... [site]
/// ... latitude_deg = 45.5
/// ... elevation = "950 ft"
/// ... [soil.loam]
/// ... texture = "silt loam"
/// ... [[block]]
/// ... name = "North"
/// ... species = "Fraser fir"
/// ... planted = 2026
/// ... row_spacing = "6 ft"
/// ... tree_spacing_m = 1.5
/// ... soil = "loam"
/// ... ''')
/// >>> farm.name, farm.blocks, round(farm.site.elevation_m, 2)
/// ('Hill', ['North'], 289.56)
#[pyclass(name = "Farm", module = "dibble.farm", frozen, eq)]
#[derive(PartialEq)]
pub struct PyFarm(pub Arc<Farm>);

impl From<Farm> for PyFarm {
    fn from(farm: Farm) -> Self {
        Self(Arc::new(farm))
    }
}

#[pymethods]
impl PyFarm {
    /// Reads a farm file, written in TOML.
    ///
    /// Raises
    /// ------
    /// FileError, SeveralError or the only problem
    ///     A file that cannot be read, and every mistake in it at once, each with its line and key.
    #[staticmethod]
    fn read(py: Python<'_>, path: PathBuf) -> PyResult<Self> {
        compute(py, "Farm.read", || Farm::read(path)).map(Self::from)
    }
    /// Reads a farm from TOML text; `name` stands in messages in place of a path.
    #[staticmethod]
    #[pyo3(signature = (text, name = "farm.toml"))]
    fn parse(py: Python<'_>, text: &str, name: &str) -> PyResult<Self> {
        compute(py, "Farm.parse", || Farm::parse(text, name)).map(Self::from)
    }
    /// The demo farm: invented, on rolling glacial ground in the upper Great Lakes country.
    #[staticmethod]
    fn demo(py: Python<'_>) -> PyResult<Self> {
        compute(py, "Farm.demo", Farm::demo).map(Self::from)
    }
    /// The demo farm's file as a person writes it: every key that a farm file may hold, in use or behind a `#`, with a word on it.
    #[staticmethod]
    fn demo_toml() -> &'static str {
        Farm::demo_toml()
    }
    /// Weather of the demo farm as CSV.
    #[staticmethod]
    fn demo_weather_csv() -> &'static str {
        Farm::demo_weather_csv()
    }
    /// Weather of the demo farm: invented; its last days are marked as a forecast.
    #[staticmethod]
    fn demo_weather(py: Python<'_>) -> PyResult<PyWeather> {
        compute(py, "Farm.demo_weather", Farm::demo_weather).map(PyWeather::from)
    }
    /// The farm as TOML that `parse` reads back, quantities in SI.
    fn to_toml(&self, py: Python<'_>) -> PyResult<String> {
        compute(py, "Farm.to_toml", || self.0.to_toml())
    }

    /// What the farm is called.
    #[getter]
    fn name(&self) -> &str {
        self.0.name()
    }
    /// Units that answers are printed in, "us" or "si".
    #[getter]
    fn units(&self) -> &'static str {
        self.0.units().name()
    }
    /// Where it lies.
    #[getter]
    fn site(&self) -> PySite {
        PySite(*self.0.site())
    }
    /// Names of the blocks, in the order of the file.
    #[getter]
    fn blocks(&self) -> Vec<String> {
        self.0.input().block.iter().map(|block| block.name.clone()).collect()
    }
    /// Wind (m/s) and heat (deg C) from which on no set runs, as `[sprinkler]` names them: what `dibble.schedule.closed_hours` takes.
    #[getter]
    fn hour_limits<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "hour_limits", &self.0.hour_limits())
    }
    /// The last day that any block's log speaks of.
    #[getter]
    fn last_entry<'py>(&self, py: Python<'py>) -> PyResult<Option<Bound<'py, PyDate>>> {
        self.0.last_entry().map(|day| table::date(py, day)).transpose()
    }

    /// The farm as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "farm", &*self.0)
    }
    /// A farm from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        record::from_json::<Farm>(py, "farm", text).map(Self::from)
    }
    /// The farm as a dict, with the keys of the farm file.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "farm", &*self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes::<Farm>(py, "farm", data).map(Self::from)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "farm", &*self.0)?,)))
    }
    fn __repr__(&self) -> String {
        format!("<Farm \"{}\" of {} blocks: {}>", self.0.name(), self.0.input().block.len(), self.blocks().join(", "))
    }
    fn _repr_html_(&self) -> String {
        let blocks = &self.0.input().block;
        let rows: Vec<_> = blocks.iter().map(|block| (block.name.as_str(), block.species.clone(), block.soil.as_str())).collect();
        record::html(self.0.name(), &rows)
    }
}
