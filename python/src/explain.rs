//! Steps of an explanation.

use crate::record;
use dibble::explain::Step;
use pyo3::exceptions::PyIndexError;
use pyo3::prelude::*;
use pyo3::types::{PyIterator, PyList};
use std::sync::Arc;

/// One step of an explanation: what is reckoned, how, from what, with the result and its source. `print` it.
#[pyclass(name = "Step", module = "dibble.explain", frozen, eq)]
#[derive(PartialEq)]
pub struct PyStep(Step);

#[pymethods]
impl PyStep {
    /// What is reckoned.
    #[getter]
    fn what(&self) -> &str {
        &self.0.what
    }
    /// How, in words and symbols.
    #[getter]
    fn formula(&self) -> &str {
        &self.0.formula
    }
    /// From what: name, value and unit of each number.
    #[getter]
    fn inputs(&self) -> Vec<(&str, f64, &str)> {
        self.0.inputs.iter().map(|input| (input.name.as_str(), input.value, input.unit.as_str())).collect()
    }
    /// The result.
    #[getter]
    fn value(&self) -> f64 {
        self.0.value
    }
    /// Its unit; empty for fractions and counts.
    #[getter]
    fn unit(&self) -> &str {
        &self.0.unit
    }
    /// Where the formula stands.
    #[getter]
    fn source(&self) -> &str {
        &self.0.source
    }
    fn __str__(&self) -> String {
        self.0.to_string()
    }
    fn __repr__(&self) -> String {
        format!("<Step {}>", self.0)
    }
}

/// An answer taken apart: a sequence of steps. `print` it.
#[pyclass(name = "Explanation", module = "dibble.explain", frozen, eq, sequence)]
#[derive(PartialEq)]
pub struct PyExplanation(Arc<Vec<Step>>);

impl From<Vec<Step>> for PyExplanation {
    fn from(steps: Vec<Step>) -> Self {
        Self(Arc::new(steps))
    }
}

#[pymethods]
impl PyExplanation {
    fn __len__(&self) -> usize {
        self.0.len()
    }
    fn __getitem__(&self, index: isize) -> PyResult<PyStep> {
        let place = if index < 0 { index.checked_add_unsigned(self.0.len()) } else { Some(index) };
        let step = place.and_then(|at| self.0.get(usize::try_from(at).ok()?));
        step.cloned().map(PyStep).ok_or_else(|| PyIndexError::new_err(format!("there are {} steps", self.0.len())))
    }
    fn __iter__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyIterator>> {
        PyList::new(py, self.0.iter().cloned().map(|step| Py::new(py, PyStep(step))).collect::<PyResult<Vec<_>>>()?)?.try_iter()
    }
    /// The steps as a list of dicts.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        record::to_dict(py, "explanation", &*self.0)
    }
    /// The steps as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "explanation", &*self.0)
    }
    fn __str__(&self) -> String {
        self.0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    }
    fn __repr__(&self) -> String {
        format!("<Explanation of {} steps>", self.0.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.__str__())
    }
}

/// Adds the classes to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyStep>()?;
    module.add_class::<PyExplanation>()
}
