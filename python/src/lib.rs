//! Python bindings of dibble: argument newtypes in, core call with the GIL released, result newtypes out.

#![forbid(unsafe_code)]

use pyo3::prelude::*;

#[pymodule]
fn _dibble(_module: &Bound<'_, PyModule>) -> PyResult<()> {
    Ok(())
}
