//! `Limits`.

use super::duty::PyDuty;
use crate::record::{self, record_class};
use dibble::hydraulics::Limits;
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

/// What limits a system, and what each single change would bring; made by `limits`. `print` it.
#[pyclass(name = "Limits", module = "dibble.hydraulics", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyLimits(pub Limits);

record_class!(PyLimits, "list of limits", Limits::from_json, {
    /// The duty point as it is.
    #[getter]
    fn duty(&self) -> PyDuty {
        PyDuty(self.0.duty.clone())
    }
    /// Where the head goes, largest first, the nozzle left out: dicts with part, head_m and share.
    #[getter]
    fn shares<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "shares", &self.0.shares)
    }
    /// Every change, best first: dicts with change, flow_l_min, nozzle_pressure_kpa, and the reason where it would not work.
    #[getter]
    fn alternatives<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "alternatives", &self.0.alternatives)
    }
    /// The change that helps most, None if none does.
    #[getter]
    fn best<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "alternative", &self.0.best())
    }
    fn __str__(&self) -> String {
        self.0.to_string()
    }
    fn __repr__(&self) -> String {
        format!("<Limits: {} changes tried>", self.0.alternatives.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.0.to_string())
    }
});
