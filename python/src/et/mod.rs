//! `dibble.et`: reference evapotranspiration; the crop side is in `crop`.

pub mod crop;

use crate::gate::{self, Column, OnError, choice, formulas};
use dibble::et::kernel::{self, DailyColumns};
use dibble::et::{self, DailyInput, HourlyForm, HourlyInput, Surface};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    reference_with_soil_heat(
        tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, soil_heat_mj_m2;
        surface: Surface
    ) = et::reference_with_soil_heat(
        &DailyInput { tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, surface },
        soil_heat_mj_m2
    );
    reference_hourly(
        t_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, longitude_deg, utc_offset_h, elevation_m, day_of_year,
        midpoint_h, night_ratio; form: HourlyForm
    ) = et::reference_hourly(&HourlyInput {
        t_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, longitude_deg, utc_offset_h, elevation_m, day_of_year,
        midpoint_h, night_ratio, form
    });
    reference_from_temperature(tmin_c, tmax_c, latitude_deg, day_of_year) =
        et::reference_from_temperature(tmin_c, tmax_c, latitude_deg, day_of_year);
    evaporation_equivalent_mm(energy_mj_m2) = et::evaporation_equivalent_mm(energy_mj_m2);
    aerodynamic_resistance_s_m(height_m, wind_2m_m_s) = et::aerodynamic_resistance_s_m(height_m, wind_2m_m_s);
}

#[pyfunction]
#[pyo3(signature = (*, tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, surface, on_error = "raise", n_threads = None))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn reference_daily<'py>(
    py: Python<'py>,
    tmin_c: &Any<'py>,
    tmax_c: &Any<'py>,
    vapor_pressure_kpa: &Any<'py>,
    wind_2m_m_s: &Any<'py>,
    solar_mj_m2: &Any<'py>,
    latitude_deg: &Any<'py>,
    elevation_m: &Any<'py>,
    day_of_year: &Any<'py>,
    surface: &str,
    on_error: &str,
    n_threads: Option<usize>,
) -> PyResult<Any<'py>> {
    let surface: Surface = choice(py, surface)?;
    let inputs = [
        ("tmin_c", tmin_c),
        ("tmax_c", tmax_c),
        ("vapor_pressure_kpa", vapor_pressure_kpa),
        ("wind_2m_m_s", wind_2m_m_s),
        ("solar_mj_m2", solar_mj_m2),
        ("latitude_deg", latitude_deg),
        ("elevation_m", elevation_m),
        ("day_of_year", day_of_year),
    ];
    gate::batch(py, inputs, on_error, |names, columns, mode, out| {
        let [tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year] =
            columns.map(|column| match column {
                Column::One(value) => kernel::Column::Same(value),
                Column::Each(values) => kernel::Column::Each(values),
            });
        let days =
            DailyColumns { tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, surface };
        let faulty = kernel::reference_daily_or_nan(&days, out, n_threads)?;
        if !faulty || mode == OnError::Nan {
            return Ok(());
        }
        // A second look, day by day, names the first fault and counts the rest as every other formula does.
        gate::fill(names, columns, mode, out, &|[
            tmin_c,
            tmax_c,
            vapor_pressure_kpa,
            wind_2m_m_s,
            solar_mj_m2,
            latitude_deg,
            elevation_m,
            day_of_year,
        ]| {
            et::reference_daily(&DailyInput {
                tmin_c,
                tmax_c,
                vapor_pressure_kpa,
                wind_2m_m_s,
                solar_mj_m2,
                latitude_deg,
                elevation_m,
                day_of_year,
                surface,
            })
        })
    })
}

/// Adds the batch functions to `_dibble`.
pub fn register_batches(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(reference_daily, module)?)
}
