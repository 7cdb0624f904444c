//! Catch-can tests.

use super::PySprinkler;
use crate::gate::{column, compute, formulas, number, number_or_none};
use crate::record;
use dibble::sprinkler::{self, GridTest, LegTest};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    depth_from_volume_mm(volume_ml, opening_cm) = sprinkler::depth_from_volume_mm(volume_ml, opening_cm);
}

#[pyfunction]
fn grid_test<'py>(py: Python<'py>, caught_mm: &Any<'py>, minutes: &Any<'py>, wanted_mm: Option<&Any<'py>>) -> PyResult<Any<'py>> {
    let test = GridTest {
        caught_mm: column("caught_mm", caught_mm)?,
        minutes: number("minutes", minutes)?,
        wanted_mm: number_or_none("wanted_mm", wanted_mm)?,
    };
    let report = compute(py, "grid_test", || test.evaluate())?;
    record::to_dict(py, "grid test", &report)
}

/// The sprinkler as measured, the peak rate, and the share of the nozzle's flow that was caught.
#[pyfunction]
fn leg_test(
    py: Python<'_>,
    distances_m: &Any<'_>,
    legs: Vec<Any<'_>>,
    minutes: &Any<'_>,
    radius_m: Option<&Any<'_>>,
    flow_l_min: Option<&Any<'_>>,
) -> PyResult<(PySprinkler, f64, Option<f64>)> {
    let (distances_m, minutes) = (column("distances_m", distances_m)?, number("minutes", minutes)?);
    let (radius_m, flow_l_min) = (number_or_none("radius_m", radius_m)?, number_or_none("flow_l_min", flow_l_min)?);
    let leg = |caught: &Any<'_>| {
        Ok(LegTest { distances_m: distances_m.clone(), caught_mm: column("caught_mm", caught)?, minutes, radius_m, flow_l_min })
    };
    let legs = legs.iter().map(leg).collect::<PyResult<Vec<_>>>()?;
    let report = compute(py, "leg_test", || LegTest::mean(&legs)?.evaluate())?;
    Ok((PySprinkler(report.sprinkler), report.peak_rate_mm_h, report.caught_share))
}

/// Adds the tests to `_dibble`.
pub fn register_tests(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(grid_test, module)?)?;
    module.add_function(wrap_pyfunction!(leg_test, module)?)
}
