//! Friction and fittings.

use crate::gate::{Word, choice, compute, count, formulas};
use dibble::hydraulics::{self, DarcyPipe, Fitting, Material};
use pyo3::prelude::*;

formulas! {
    hazen_williams_loss_m(flow_l_min, bore_mm, length_m, c) = hydraulics::hazen_williams_loss_m(flow_l_min, bore_mm, length_m, c);
    darcy_loss_m(flow_l_min, bore_mm, length_m, roughness_mm, water_c) =
        hydraulics::darcy_loss_m(&DarcyPipe { flow_l_min, bore_mm, length_m, roughness_mm, water_c });
    friction_factor(reynolds, relative_roughness) = hydraulics::friction_factor(reynolds, relative_roughness);
    kinematic_viscosity_m2_s(water_c) = hydraulics::kinematic_viscosity_m2_s(water_c);
    velocity_m_s(flow_l_min, bore_mm) = hydraulics::velocity_m_s(flow_l_min, bore_mm);
    fitting_loss_m(k, flow_l_min, bore_mm) = hydraulics::fitting_loss_m(k, flow_l_min, bore_mm);
}

#[pyfunction]
fn multi_outlet_factor(py: Python<'_>, outlets: &Bound<'_, PyAny>) -> PyResult<f64> {
    let outlets = count("outlets", outlets)?;
    compute(py, "multi_outlet_factor", || hydraulics::multi_outlet_factor(usize::try_from(outlets).unwrap_or(usize::MAX)))
}

#[pyfunction]
fn fitting_k(py: Python<'_>, fitting: Word) -> PyResult<f64> {
    choice(py, &fitting).map(Fitting::k)
}

#[pyfunction]
fn hazen_williams_c(py: Python<'_>, material: Word) -> PyResult<f64> {
    choice(py, &material).map(Material::c)
}

/// Adds what is no formula to `_dibble`.
pub fn register_tables(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(multi_outlet_factor, module)?)?;
    module.add_function(wrap_pyfunction!(fitting_k, module)?)?;
    module.add_function(wrap_pyfunction!(hazen_williams_c, module)?)
}
