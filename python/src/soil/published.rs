//! Published ranges of water holding.

use crate::gate::{compute, number};
use dibble::soil::published;
use pyo3::prelude::*;

type Range = (f64, f64);
/// field capacity, wilting point, available (m3/m3), readily and totally evaporable (mm)
type Row = (Range, Range, Range, Range, Range);

/// low, high (m3/m3), source
#[pyfunction]
fn available_by_source(texture: &str, organic_matter_pct: &Bound<'_, PyAny>) -> PyResult<Vec<(f64, f64, &'static str)>> {
    let organic = number("organic_matter_pct", organic_matter_pct)?;
    let found = compute(organic_matter_pct.py(), "available_by_source", || published::available_by_source(texture.parse()?, organic))?;
    Ok(found.iter().map(|row| (row.low, row.high, row.source)).collect())
}

#[pyfunction]
fn fao56_table_19(py: Python<'_>, texture: &str) -> PyResult<Option<Row>> {
    let found = compute(py, "fao56_table_19", || Ok(published::fao56_table_19(texture.parse()?)))?;
    Ok(found.map(|r| (r.field_capacity, r.wilting_point, r.available, r.readily_evaporable_mm, r.total_evaporable_mm)))
}

/// Adds the tables to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(available_by_source, module)?)?;
    module.add_function(wrap_pyfunction!(fao56_table_19, module)?)
}
