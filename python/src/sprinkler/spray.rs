//! Spray that never reaches the ground.

use crate::gate::{Word, choice, compute, formulas, number};
use crate::record;
use dibble::sprinkler::{self, Coarseness, SprayAir, SprayClimate};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    effective_share(eto_mm, wind_m_s, pressure_kpa, nozzle_mm) =
        sprinkler::effective_share(&Coarseness { eto_mm, wind_m_s, pressure_kpa, nozzle_mm });
}

/// Low and high end, and the entry for the list of assumptions.
#[pyfunction]
fn spray_loss<'py>(py: Python<'py>, climate: Word) -> PyResult<(f64, f64, Any<'py>)> {
    let climate: SprayClimate = choice(py, &climate)?;
    let (loss, assumed) = sprinkler::spray_loss(climate);
    Ok((loss.low, loss.high, record::to_dict(py, "assumption", &assumed)?))
}

/// Low and high end, and each publication: loss, source, whether it counts in the range.
#[pyfunction]
#[pyo3(signature = (*, wind_m_s, t_c, rh_pct, pressure_kpa, nozzle_mm, night))]
#[allow(clippy::type_complexity)] // taken apart by the Python file of the same name
fn published_losses(
    py: Python<'_>,
    wind_m_s: &Any<'_>,
    t_c: &Any<'_>,
    rh_pct: &Any<'_>,
    pressure_kpa: &Any<'_>,
    nozzle_mm: &Any<'_>,
    night: bool,
) -> PyResult<(f64, f64, Vec<(f64, &'static str, bool)>)> {
    let air = SprayAir {
        wind_m_s: number("wind_m_s", wind_m_s)?,
        t_c: number("t_c", t_c)?,
        rh_pct: number("rh_pct", rh_pct)?,
        pressure_kpa: number("pressure_kpa", pressure_kpa)?,
        nozzle_mm: number("nozzle_mm", nozzle_mm)?,
        night,
    };
    let (range, each) = compute(py, "published_losses", || sprinkler::published_losses(&air))?;
    Ok((range.low, range.high, each.iter().map(|e| (e.loss, e.source, e.counted)).collect()))
}

/// Adds what is no formula to `_dibble`.
pub fn register_losses(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(spray_loss, module)?)?;
    module.add_function(wrap_pyfunction!(published_losses, module)?)
}
