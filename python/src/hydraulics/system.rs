//! `System`: pump, hoses and nozzle.

use super::duty::PyDuty;
use super::hose::{PyHose, hoses_of};
use super::limits::PyLimits;
use super::pump::PyPump;
use crate::explain::PyExplanation;
use crate::gate::{Word, choice, compute, instance, number, number_or_none};
use crate::record::{self, record_class};
use crate::sprinkler::PyNozzle;
use dibble::hydraulics::{self, Aim, System, SystemInput};
use pyo3::prelude::*;
use pyo3::types::PyDict;

type Any<'py> = Bound<'py, PyAny>;

/// Pump, hoses and nozzle: what is between the water and the sprinkler.
///
/// Parameters
/// ----------
/// pump : Pump
///     The pump.
/// hose : Hose or sequence of Hose
///     From the pump to the sprinkler, in the order of the water.
/// nozzle : Nozzle
///     The nozzle.
/// lift_m : float
///     Rise from the pump to the nozzle, -300 to 300 m.
/// suction_lift_m : float
///     Height of the pump above the water, m.
/// suction : Hose or sequence of Hose
///     Suction hoses.
/// elevation_m, water_c : float
///     Elevation above sea level, and temperature of the water; 0 m and 15 deg C.
/// engine : {"gasoline", "diesel", "propane", "electric"}, optional
///     What turns the pump; gives the fuel for an hour.
///
/// Raises
/// ------
/// OutOfRangeError, SeveralError, UnknownNameError
///     A value out of range (all are named at once), or an engine that is not known.
///
/// Examples
/// --------
/// >>> from dibble.hydraulics import Hose, Nozzle, Pump, System
/// >>> system = System(Pump.from_rating(flow_l_min=300, head_m=66), Hose(152.4, 50.8), Nozzle(15.16), 3)
/// >>> duty = system.duty_point()
/// >>> round(duty.flow_l_min), round(duty.nozzle_pressure_kpa)
/// (305, 420)
#[pyclass(name = "System", module = "dibble.hydraulics", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PySystem(pub System);

record_class!(PySystem, "system", {
    #[new]
    #[pyo3(signature = (pump, hose, nozzle, lift_m, *, suction_lift_m = None, suction = None, elevation_m = None, water_c = None, engine = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        pump: &Any<'_>,
        hose: &Any<'_>,
        nozzle: &Any<'_>,
        lift_m: &Any<'_>,
        suction_lift_m: Option<&Any<'_>>,
        suction: Option<&Any<'_>>,
        elevation_m: Option<&Any<'_>>,
        water_c: Option<&Any<'_>>,
        engine: Option<Word>,
    ) -> PyResult<Self> {
        let (pump, nozzle, lift) =
            (instance::<PyPump>("pump", pump)?.get().0.clone(), instance::<PyNozzle>("nozzle", nozzle)?.get().0, number("lift_m", lift_m)?);
        let mut input = SystemInput::new(pump, hoses_of("hose", hose)?, nozzle, lift);
        input.suction_lift_m = number_or_none("suction_lift_m", suction_lift_m)?.unwrap_or(input.suction_lift_m);
        input.suction = suction.map(|hoses| hoses_of("suction", hoses)).transpose()?.unwrap_or_default();
        input.elevation_m = number_or_none("elevation_m", elevation_m)?.unwrap_or(input.elevation_m);
        input.water_c = number_or_none("water_c", water_c)?.unwrap_or(input.water_c);
        input.engine = engine.map(|engine| choice(py, &engine)).transpose()?;
        compute(py, "System", || System::new(input)).map(Self)
    }

    /// The pump.
    #[getter]
    fn pump(&self) -> PyPump {
        PyPump(self.0.input().pump.clone())
    }
    /// From the pump to the sprinkler, in the order of the water.
    #[getter]
    fn hose(&self) -> Vec<PyHose> {
        self.0.input().hose.iter().cloned().map(PyHose).collect()
    }
    /// The nozzle.
    #[getter]
    fn nozzle(&self) -> PyNozzle {
        PyNozzle(self.0.input().nozzle)
    }
    /// Rise from the pump to the nozzle, m.
    #[getter]
    fn lift_m(&self) -> f64 {
        self.0.input().lift_m
    }
    /// Height of the pump above the water, m.
    #[getter]
    fn suction_lift_m(&self) -> f64 {
        self.0.input().suction_lift_m
    }

    /// Where the head goes at a flow in L/min, whatever the pump: a dict of parts, m, with their sum `total_m`.
    fn heads<'py>(&self, py: Python<'py>, flow_l_min: &Any<'py>) -> PyResult<Any<'py>> {
        let flow = number("flow_l_min", flow_l_min)?;
        let heads = compute(py, "System.heads", || self.0.heads(flow))?;
        let parts = record::to_dict(py, "heads", &heads)?;
        parts.set_item("total_m", heads.total_m())?;
        Ok(parts)
    }
    /// The flow at which the pump's head is what suction, hoses, lift and nozzle take, and what follows from it.
    ///
    /// Raises
    /// ------
    /// InfeasibleError
    ///     The pump cannot lift the water to the sprinkler (says how many meters it is short), or the duty point lies beyond
    ///     the end of its curve.
    fn duty_point(&self, py: Python<'_>) -> PyResult<PyDuty> {
        compute(py, "duty_point", || hydraulics::duty_point(&self.0)).map(PyDuty)
    }
    /// What limits it, and which single change helps most: half of each hose, each hose one size wider, the nozzle a tenth
    /// wider or narrower, 3 m less lift, each solved for its own duty point. `print` it.
    ///
    /// With `least_pressure_kpa` the aim is more water while the nozzle keeps that pressure; without it, more pressure.
    #[pyo3(signature = (*, least_pressure_kpa = None))]
    fn limits(&self, py: Python<'_>, least_pressure_kpa: Option<&Any<'_>>) -> PyResult<PyLimits> {
        let aim = match number_or_none("least_pressure_kpa", least_pressure_kpa)? {
            Some(least_pressure_kpa) => Aim::Flow { least_pressure_kpa },
            None => Aim::Pressure,
        };
        compute(py, "limits", || hydraulics::limits(&self.0, aim)).map(PyLimits)
    }
    /// How the duty point comes about, part by part along the water; `print` it.
    fn explain(&self, py: Python<'_>) -> PyResult<PyExplanation> {
        compute(py, "System.explain", || self.0.explain()).map(PyExplanation::from)
    }
    /// Draw the pump's head and what the rest takes against the flow, with the duty point. Needs matplotlib
    /// (`pip install dibble[plot]`); `units` is "si" or "us". Returns a matplotlib `Figure`.
    #[pyo3(signature = (*, units = "si"))]
    fn plot<'py>(slf: &Bound<'py, Self>, units: &str) -> PyResult<Any<'py>> {
        let how = PyDict::new(slf.py());
        how.set_item("units", units)?;
        slf.py().import("dibble._plot")?.call_method("system", (slf,), Some(&how))
    }
    fn __repr__(&self) -> String {
        let input = self.0.input();
        let bores = input.hose.iter().map(|h| format!("{} m of {} mm", h.input().length_m, h.input().bore_mm));
        format!("<System: {}, nozzle of {} mm, lift {} m>", bores.collect::<Vec<_>>().join(", "), input.nozzle.bore_mm(), input.lift_m)
    }
});
