//! Curve numbers.

use crate::gate::{compute, formulas, number};
use dibble::soil::runoff::{self, Antecedent, HydrologicGroup};
use pyo3::prelude::*;

formulas! {
    runoff_mm(rain_mm, curve_number) = runoff::runoff_mm(rain_mm, curve_number);
    retention_mm(curve_number) = runoff::retention_mm(curve_number);
    curve_number_when(average; antecedent: Antecedent) = antecedent.curve_number(average);
}

#[pyfunction]
fn curve_number(py: Python<'_>, cover: &str, condition: &str, group: &str) -> PyResult<f64> {
    compute(py, "curve_number", || Ok(runoff::curve_number(cover.parse()?, condition.parse()?, group.parse()?)))
}

#[pyfunction]
fn antecedent_by_five_day_rain(py: Python<'_>, rain_mm: &Bound<'_, PyAny>, growing_season: bool) -> PyResult<&'static str> {
    let rain = number("rain_mm", rain_mm)?;
    compute(py, "antecedent_by_five_day_rain", || Ok(Antecedent::by_five_day_rain(rain, growing_season)?.name()))
}

#[pyfunction]
fn hydrologic_group(py: Python<'_>, texture: &str) -> PyResult<&'static str> {
    compute(py, "hydrologic_group", || Ok(HydrologicGroup::of(texture.parse()?).name()))
}

#[pyfunction]
fn minimum_infiltration_mm_h(py: Python<'_>, group: &str) -> PyResult<(f64, f64)> {
    compute(py, "minimum_infiltration_mm_h", || Ok(group.parse::<HydrologicGroup>()?.minimum_infiltration_mm_h()))
}

/// Adds what is not a formula to `_dibble`.
pub fn register_words(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(curve_number, module)?)?;
    module.add_function(wrap_pyfunction!(antecedent_by_five_day_rain, module)?)?;
    module.add_function(wrap_pyfunction!(hydrologic_group, module)?)?;
    module.add_function(wrap_pyfunction!(minimum_infiltration_mm_h, module)?)
}
