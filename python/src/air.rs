//! `dibble.air`: moist air and wind.

use crate::gate::{self, choice, formulas};
use dibble::air::{self, HumidityRange, Psychrometer, Ventilation};
use pyo3::prelude::*;

formulas! {
    saturation_vapor_pressure(t_c) = air::saturation_vapor_pressure(t_c);
    mean_saturation_vapor_pressure(tmin_c, tmax_c) = air::mean_saturation_vapor_pressure(tmin_c, tmax_c);
    vapor_pressure_slope(t_c) = air::vapor_pressure_slope(t_c);
    atmospheric_pressure(elevation_m) = air::atmospheric_pressure(elevation_m);
    psychrometric_constant(elevation_m) = air::psychrometric_constant(elevation_m);
    dew_point(vapor_pressure_kpa) = air::dew_point(vapor_pressure_kpa);
    vapor_pressure_from_dew_point(dew_c) = air::vapor_pressure_from_dew_point(dew_c);
    vapor_pressure_from_rh_range(tmin_c, tmax_c, rh_min_pct, rh_max_pct) =
        air::vapor_pressure_from_rh_range(&HumidityRange { tmin_c, tmax_c, rh_min_pct, rh_max_pct });
    vapor_pressure_from_rh_max(tmin_c, rh_max_pct) = air::vapor_pressure_from_rh_max(tmin_c, rh_max_pct);
    vapor_pressure_from_rh_mean(tmin_c, tmax_c, rh_mean_pct) = air::vapor_pressure_from_rh_mean(tmin_c, tmax_c, rh_mean_pct);
    vapor_pressure_from_rh(t_c, rh_pct) = air::vapor_pressure_from_rh(t_c, rh_pct);
    wind_at_2m(wind_m_s, height_m) = air::wind_at_2m(wind_m_s, height_m);
}

#[pyfunction]
#[pyo3(signature = (*, dry_c, wet_c, pressure_kpa, ventilation, on_error = "raise"))]
fn vapor_pressure_from_psychrometer<'py>(
    py: Python<'py>,
    dry_c: &Bound<'py, PyAny>,
    wet_c: &Bound<'py, PyAny>,
    pressure_kpa: &Bound<'py, PyAny>,
    ventilation: &str,
    on_error: &str,
) -> PyResult<Bound<'py, PyAny>> {
    let ventilation: Ventilation = choice(py, ventilation)?;
    let inputs = [("dry_c", dry_c), ("wet_c", wet_c), ("pressure_kpa", pressure_kpa)];
    gate::each(py, inputs, on_error, |[dry_c, wet_c, pressure_kpa]| {
        air::vapor_pressure_from_psychrometer(&Psychrometer { dry_c, wet_c, pressure_kpa, ventilation })
    })
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(vapor_pressure_from_psychrometer, module)?)?;
    register_formulas(module)
}
