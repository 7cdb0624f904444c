//! `dibble.units`: quantities with a unit, and the conversions of the trade.

use crate::gate::{self, compute};
use dibble::units;
use pyo3::prelude::*;

#[pyfunction]
#[pyo3(signature = (value, from_unit, to_unit, *, on_error = "raise"))]
pub fn convert<'py>(value: &Bound<'py, PyAny>, from_unit: &str, to_unit: &str, on_error: &str) -> PyResult<Bound<'py, PyAny>> {
    gate::each(value.py(), [("value", value)], on_error, |[v]| units::convert(v, from_unit, to_unit))
}

#[pyfunction]
pub fn parse_quantity(py: Python<'_>, text: &str, unit: &str) -> PyResult<f64> {
    compute(py, "units.parse", || units::parse(text, unit))
}

#[pyfunction]
#[pyo3(signature = (*, ppm, depth_m, bulk_density_g_cm3, on_error = "raise"))]
pub fn ppm_to_kg_ha<'py>(
    ppm: &Bound<'py, PyAny>,
    depth_m: &Bound<'py, PyAny>,
    bulk_density_g_cm3: &Bound<'py, PyAny>,
    on_error: &str,
) -> PyResult<Bound<'py, PyAny>> {
    let inputs = [("ppm", ppm), ("depth_m", depth_m), ("bulk_density_g_cm3", bulk_density_g_cm3)];
    gate::each(ppm.py(), inputs, on_error, |[ppm, depth, density]| units::ppm_to_kg_ha(ppm, depth, density))
}

#[pyfunction]
#[pyo3(signature = (*, kg_ha, depth_m, bulk_density_g_cm3, on_error = "raise"))]
pub fn kg_ha_to_ppm<'py>(
    kg_ha: &Bound<'py, PyAny>,
    depth_m: &Bound<'py, PyAny>,
    bulk_density_g_cm3: &Bound<'py, PyAny>,
    on_error: &str,
) -> PyResult<Bound<'py, PyAny>> {
    let inputs = [("kg_ha", kg_ha), ("depth_m", depth_m), ("bulk_density_g_cm3", bulk_density_g_cm3)];
    gate::each(kg_ha.py(), inputs, on_error, |[kg_ha, depth, density]| units::kg_ha_to_ppm(kg_ha, depth, density))
}

#[pyfunction]
#[pyo3(signature = (*, depth_mm, area_m2, on_error = "raise"))]
pub fn depth_to_volume_l<'py>(depth_mm: &Bound<'py, PyAny>, area_m2: &Bound<'py, PyAny>, on_error: &str) -> PyResult<Bound<'py, PyAny>> {
    gate::each(depth_mm.py(), [("depth_mm", depth_mm), ("area_m2", area_m2)], on_error, |[depth, area]| {
        units::depth_to_volume_l(depth, area)
    })
}

#[pyfunction]
#[pyo3(signature = (*, volume_l, area_m2, on_error = "raise"))]
pub fn volume_to_depth_mm<'py>(volume_l: &Bound<'py, PyAny>, area_m2: &Bound<'py, PyAny>, on_error: &str) -> PyResult<Bound<'py, PyAny>> {
    gate::each(volume_l.py(), [("volume_l", volume_l), ("area_m2", area_m2)], on_error, |[volume, area]| {
        units::volume_to_depth_mm(volume, area)
    })
}

#[pyfunction]
#[pyo3(signature = (*, flow_l_min, area_m2, on_error = "raise"))]
pub fn flow_to_rate_mm_h<'py>(flow_l_min: &Bound<'py, PyAny>, area_m2: &Bound<'py, PyAny>, on_error: &str) -> PyResult<Bound<'py, PyAny>> {
    gate::each(flow_l_min.py(), [("flow_l_min", flow_l_min), ("area_m2", area_m2)], on_error, |[flow, area]| {
        units::flow_to_rate_mm_h(flow, area)
    })
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(convert, module)?)?;
    module.add_function(wrap_pyfunction!(parse_quantity, module)?)?;
    module.add_function(wrap_pyfunction!(ppm_to_kg_ha, module)?)?;
    module.add_function(wrap_pyfunction!(kg_ha_to_ppm, module)?)?;
    module.add_function(wrap_pyfunction!(depth_to_volume_l, module)?)?;
    module.add_function(wrap_pyfunction!(volume_to_depth_mm, module)?)?;
    module.add_function(wrap_pyfunction!(flow_to_rate_mm_h, module)?)
}
