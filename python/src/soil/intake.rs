//! Infiltration, pulses, published rates.

use super::PySoil;
use crate::gate::{compute, formulas, number, number_or_none};
use crate::record;
use dibble::soil::intake::{self, GreenAmpt, PulsePlan, PulseRequest, Step, Surface};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    ponding_time_h(rate_mm_h, ksat_mm_h, suction_mm, moisture_deficit) =
        intake::ponding_time_h(rate_mm_h, &GreenAmpt { ksat_mm_h, suction_mm, moisture_deficit });
    ponded_infiltration_mm(time_h, ksat_mm_h, suction_mm, moisture_deficit) =
        intake::ponded_infiltration_mm(time_h, &GreenAmpt { ksat_mm_h, suction_mm, moisture_deficit });
    surface_storage_mm(slope_pct) = intake::surface_storage_mm(slope_pct);
}

/// How to put a depth of water into slow ground without runoff. Made by `pulse_plan`.
#[pyclass(name = "PulsePlan", module = "dibble.soil", frozen, eq)]
#[derive(PartialEq)]
pub struct PyPulsePlan(PulsePlan);

#[pymethods]
impl PyPulsePlan {
    /// Depth that goes in, mm.
    #[getter]
    fn depth_mm(&self) -> f64 {
        self.0.depth_mm
    }
    /// Depth asked for that is left out, for the reason in `limit`, mm.
    #[getter]
    fn short_mm(&self) -> f64 {
        self.0.short_mm
    }
    /// What set the limit: "none", "depletion", "time" or "intake".
    #[getter]
    fn limit(&self) -> &'static str {
        self.0.limit.name()
    }
    /// The pulses in order: minutes on, minutes until all has soaked in, and depth in mm.
    #[getter]
    fn pulses(&self) -> Vec<(f64, f64, f64)> {
        self.0.pulses.iter().map(|pulse| (pulse.on_min, pulse.soak_min, pulse.depth_mm)).collect()
    }
    /// Minutes with the water on, all together.
    #[getter]
    fn on_min(&self) -> f64 {
        self.0.on_min
    }
    /// Hours from the first drop until the last has soaked in.
    #[getter]
    fn elapsed_h(&self) -> f64 {
        self.0.elapsed_h
    }
    /// The plan as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "pulse plan", &self.0)
    }
    /// A plan from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        record::from_json(py, "pulse plan", text).map(Self)
    }
    /// The plan as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "pulse plan", &self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes(py, "pulse plan", data).map(Self)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "pulse plan", &self.0)?,)))
    }
    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        Ok(format!("PulsePlan.from_json('{}')", self.to_json(py)?))
    }
    fn _repr_html_(&self) -> String {
        let rows: Vec<_> =
            self.0.pulses.iter().map(|p| ("on", format!("{:.0} min, then soak {:.0} min", p.on_min, p.soak_min), "")).collect();
        record::html(&format!("{:.1} mm in {:.1} h", self.0.depth_mm, self.0.elapsed_h), &rows)
    }
}

#[pyfunction]
#[pyo3(signature = (*, depth_mm, depletion_mm, rate_mm_h, ksat_mm_h, suction_mm, moisture_deficit, storage_mm, within_h))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn pulse_plan(
    py: Python<'_>,
    depth_mm: &Any<'_>,
    depletion_mm: &Any<'_>,
    rate_mm_h: &Any<'_>,
    ksat_mm_h: &Any<'_>,
    suction_mm: &Any<'_>,
    moisture_deficit: &Any<'_>,
    storage_mm: &Any<'_>,
    within_h: &Any<'_>,
) -> PyResult<PyPulsePlan> {
    let request = PulseRequest {
        depth_mm: number("depth_mm", depth_mm)?,
        depletion_mm: number("depletion_mm", depletion_mm)?,
        rate_mm_h: number("rate_mm_h", rate_mm_h)?,
        ground: ground(ksat_mm_h, suction_mm, moisture_deficit)?,
        storage_mm: number("storage_mm", storage_mm)?,
        within_h: number("within_h", within_h)?,
    };
    compute(py, "pulse_plan", || intake::pulse_plan(&request)).map(PyPulsePlan)
}

/// applied, infiltrated, runoff, standing (mm), first ponding (h)
type Infiltrated = (f64, f64, f64, f64, Option<f64>);

#[pyfunction]
#[pyo3(signature = (steps, *, ksat_mm_h, suction_mm, moisture_deficit, storage_mm))]
fn infiltrate(
    py: Python<'_>,
    steps: Vec<(Any<'_>, Any<'_>)>,
    ksat_mm_h: &Any<'_>,
    suction_mm: &Any<'_>,
    moisture_deficit: &Any<'_>,
    storage_mm: &Any<'_>,
) -> PyResult<Infiltrated> {
    let steps = steps
        .iter()
        .map(|(rate, hours)| Ok(Step { rate_mm_h: number("rate_mm_h", rate)?, duration_h: number("duration_h", hours)? }))
        .collect::<PyResult<Vec<_>>>()?;
    let (ground, storage) = (ground(ksat_mm_h, suction_mm, moisture_deficit)?, number("storage_mm", storage_mm)?);
    let found = compute(py, "infiltrate", || intake::infiltrate(&steps, &ground, storage))?;
    Ok((found.applied_mm, found.infiltrated_mm, found.runoff_mm, found.standing_mm, found.ponded_after_h))
}

fn ground(ksat_mm_h: &Any<'_>, suction_mm: &Any<'_>, moisture_deficit: &Any<'_>) -> PyResult<GreenAmpt> {
    Ok(GreenAmpt {
        ksat_mm_h: number("ksat_mm_h", ksat_mm_h)?,
        suction_mm: number("suction_mm", suction_mm)?,
        moisture_deficit: number("moisture_deficit", moisture_deficit)?,
    })
}

/// porosity, effective porosity, suction (mm), conductivity (mm/h)
#[pyfunction]
fn rawls_row(py: Python<'_>, texture: &str) -> PyResult<(f64, f64, f64, f64)> {
    let row = compute(py, "rawls_row", || Ok(intake::rawls_row(texture.parse()?)))?;
    Ok((row.porosity, row.effective_porosity, row.suction_mm, row.conductivity_mm_h))
}

/// rate (mm/h), whether it is from memory, source
#[pyfunction]
fn maximum_rate(
    py: Python<'_>,
    texture: &str,
    slope_pct: &Any<'_>,
    covered: bool,
    compact_subsoil: bool,
) -> PyResult<(f64, bool, &'static str)> {
    let slope = number("slope_pct", slope_pct)?;
    let found = compute(py, "maximum_rate_mm_h", || {
        intake::maximum_rate_mm_h(&Surface { texture: texture.parse()?, slope_pct: slope, covered, compact_subsoil })
    })?;
    Ok((found.rate_mm_h, found.from_memory, found.source))
}

/// value, low, high (mm/h), source
#[pyfunction]
#[pyo3(signature = (soil, measured_mm_h = None))]
fn conductivity(soil: &Bound<'_, PySoil>, measured_mm_h: Option<&Any<'_>>) -> PyResult<(f64, f64, f64, &'static str)> {
    let measured = number_or_none("measured_mm_h", measured_mm_h)?;
    let ground = soil.get().0;
    let found = compute(soil.py(), "conductivity", || intake::conductivity(&ground, measured))?;
    Ok((found.value_mm_h, found.low_mm_h, found.high_mm_h, found.source))
}

#[pyfunction]
fn basic_infiltration_mm_h(py: Python<'_>, texture: &str) -> PyResult<Option<(f64, f64)>> {
    compute(py, "basic_infiltration_mm_h", || Ok(intake::basic_infiltration_mm_h(texture.parse()?)))
}

/// Adds what is not a formula to `_dibble`.
pub fn register_plans(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyPulsePlan>()?;
    module.add_function(wrap_pyfunction!(pulse_plan, module)?)?;
    module.add_function(wrap_pyfunction!(infiltrate, module)?)?;
    module.add_function(wrap_pyfunction!(rawls_row, module)?)?;
    module.add_function(wrap_pyfunction!(maximum_rate, module)?)?;
    module.add_function(wrap_pyfunction!(conductivity, module)?)?;
    module.add_function(wrap_pyfunction!(basic_infiltration_mm_h, module)?)
}
