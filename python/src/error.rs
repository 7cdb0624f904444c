//! From `dibble::Error` to the exception classes of `dibble/errors.py`.

use dibble::Error;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple};

/// The Python exception for an error of the core, with its facts as attributes.
pub fn raise(py: Python<'_>, error: &Error) -> PyErr {
    build(py, error).map_or_else(|failure| failure, PyErr::from_value)
}

/// The exception for a panic that was caught on its way out of the core.
pub fn internal(py: Python<'_>, what: &str) -> PyErr {
    let message = format!("internal fault in {what}: it stopped before an answer. Please report this with the input that led to it.");
    call(py, "internal", &message, &PyDict::new(py)).map_or_else(|failure| failure, PyErr::from_value)
}

/// The exception for an argument of a kind that cannot be used.
pub fn wrong_kind(py: Python<'_>, name: &str, message: &str) -> PyErr {
    let facts = PyDict::new(py);
    let raised = facts.set_item("name", name).and_then(|()| call(py, "type", message, &facts));
    raised.map_or_else(|failure| failure, PyErr::from_value)
}

fn build<'py>(py: Python<'py>, error: &Error) -> PyResult<Bound<'py, PyAny>> {
    let facts = PyDict::new(py);
    facts.set_item("name", error.name())?;
    match (error.value(), error.given()) {
        (Some(number), _) => facts.set_item("value", number)?,
        (None, text) => facts.set_item("value", text)?,
    }
    facts.set_item("unit", error.unit())?;
    facts.set_item("index", error.index())?;
    facts.set_item("place", error.place())?;
    if error.problems().len() > 1 {
        let problems = error.problems().iter().map(|p| build(py, p)).collect::<PyResult<Vec<_>>>()?;
        facts.set_item("problems", PyTuple::new(py, problems)?)?;
    }
    call(py, kind(error), &error.to_string(), &facts)
}

fn call<'py>(py: Python<'py>, kind: &str, message: &str, facts: &Bound<'py, PyDict>) -> PyResult<Bound<'py, PyAny>> {
    py.import("dibble.errors")?.getattr("_from_core")?.call1((kind, message, facts))
}

fn kind(error: &Error) -> &'static str {
    match error {
        e if e.problems().len() > 1 => "several",
        e if e.is_out_of_range() => "out_of_range",
        e if e.is_missing() => "missing",
        e if e.is_unknown_name() => "unknown",
        e if e.is_unreadable() => "unreadable",
        e if e.is_inconsistent() => "inconsistent",
        e if e.is_infeasible() => "infeasible",
        e if e.is_cancelled() => "cancelled",
        e if e.is_limit() => "limit",
        e if e.is_file() => "file",
        _ => "internal",
    }
}
