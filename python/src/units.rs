//! `dibble.units`: quantities with a unit, and the conversions of the trade.

use crate::gate::{self, compute, formulas};
use dibble::units;
use pyo3::prelude::*;

formulas! {
    ppm_to_kg_ha(ppm, depth_m, bulk_density_g_cm3) = units::ppm_to_kg_ha(ppm, depth_m, bulk_density_g_cm3);
    kg_ha_to_ppm(kg_ha, depth_m, bulk_density_g_cm3) = units::kg_ha_to_ppm(kg_ha, depth_m, bulk_density_g_cm3);
    depth_to_volume_l(depth_mm, area_m2) = units::depth_to_volume_l(depth_mm, area_m2);
    volume_to_depth_mm(volume_l, area_m2) = units::volume_to_depth_mm(volume_l, area_m2);
    flow_to_rate_mm_h(flow_l_min, area_m2) = units::flow_to_rate_mm_h(flow_l_min, area_m2);
}

#[pyfunction]
#[pyo3(signature = (value, from_unit, to_unit, *, on_error = "raise"))]
fn convert<'py>(value: &Bound<'py, PyAny>, from_unit: &str, to_unit: &str, on_error: &str) -> PyResult<Bound<'py, PyAny>> {
    gate::each(value.py(), [("value", value)], on_error, |[value]| units::convert(value, from_unit, to_unit))
}

#[pyfunction]
fn parse_quantity(py: Python<'_>, text: &str, unit: &str) -> PyResult<f64> {
    compute(py, "units.parse", || units::parse(text, unit))
}

/// Adds the functions that take text to `_dibble`.
pub fn register_text(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(convert, module)?)?;
    module.add_function(wrap_pyfunction!(parse_quantity, module)?)
}
