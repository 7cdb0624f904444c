//! `GapReport`.

use crate::record;
use dibble::weather::GapReport;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};
use std::sync::Arc;

/// What the records held and lacked, which values were set aside and why, and what stood in for them. `print` it.
#[pyclass(name = "GapReport", module = "dibble.weather", frozen, eq)]
#[derive(PartialEq)]
pub struct PyGapReport(pub Arc<GapReport>);

#[pymethods]
impl PyGapReport {
    /// Days with no record at all.
    #[getter]
    fn days_absent(&self) -> usize {
        self.0.days_absent
    }
    /// Values that were set aside, each a dict with date, what, value and why.
    #[getter]
    fn faults<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        record::to_dict(py, "faults", &self.0.faults)
    }
    /// Remarks of the reader: columns not read, units taken for granted.
    #[getter]
    fn notes(&self) -> Vec<String> {
        self.0.notes.clone()
    }
    /// The report as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        record::to_dict(py, "gap report", &*self.0)
    }
    /// The report as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "gap report", &*self.0)
    }
    /// A report from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Ok(Self(Arc::new(record::from_json(py, "gap report", text)?)))
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        Ok(Self(Arc::new(record::from_bytes(py, "gap report", data)?)))
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "gap report", &*self.0)?,)))
    }
    fn __str__(&self) -> String {
        self.0.to_string()
    }
    fn __repr__(&self) -> String {
        format!("<GapReport of {} days from {}: {} values set aside>", self.0.days, self.0.first, self.0.faults.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.0.to_string())
    }
}
