//! `Duty`.

use crate::record::{self, record_class};
use dibble::hydraulics::Duty;
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

/// The point at which pump, hoses and nozzle agree; made by `duty_point`.
///
/// Examples
/// --------
/// >>> from dibble.hydraulics import Hose, Nozzle, Pump, duty_point
/// >>> duty = duty_point(Pump.from_rating(flow_l_min=300, head_m=66), Hose(152.4, 50.8, rating_kpa=600), Nozzle(15.16), 3)
/// >>> for caution in duty.cautions:
/// ...     print(caution["text"])
/// hose 1 works at 641 kPa and is rated for 600 kPa: it can burst
/// water runs at 2.5 m/s in hose 1; above 1.5 m/s much pressure is lost and a sudden stop hits hard
#[pyclass(name = "Duty", module = "dibble.hydraulics", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyDuty(pub Duty);

record_class!(PyDuty, "duty point", Duty::from_json, {
    /// Flow, L/min.
    #[getter]
    fn flow_l_min(&self) -> f64 {
        self.0.flow_l_min
    }
    /// Pressure at the foot of the nozzle, kPa.
    #[getter]
    fn nozzle_pressure_kpa(&self) -> f64 {
        self.0.nozzle_pressure_kpa
    }
    /// Head of the pump, m.
    #[getter]
    fn pump_head_m(&self) -> f64 {
        self.0.pump_head_m
    }
    /// Pressure behind the pump, kPa.
    #[getter]
    fn pump_pressure_kpa(&self) -> f64 {
        self.0.pump_pressure_kpa
    }
    /// The same with the nozzle closed, kPa.
    #[getter]
    fn closed_pressure_kpa(&self) -> f64 {
        self.0.closed_pressure_kpa
    }
    /// Where the head goes: a dict of parts, m.
    #[getter]
    fn heads<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "heads", &self.0.heads)
    }
    /// Speed in each hose, m/s.
    #[getter]
    fn velocity_m_s(&self) -> Vec<f64> {
        self.0.velocity_m_s.clone()
    }
    /// Net positive suction head at the pump, m.
    #[getter]
    fn npsh_available_m(&self) -> f64 {
        self.0.npsh_available_m
    }
    /// Power of the water, kW.
    #[getter]
    fn water_kw(&self) -> f64 {
        self.0.water_kw
    }
    /// Shaft power, kW.
    #[getter]
    fn brake_kw(&self) -> f64 {
        self.0.brake_kw
    }
    /// Fuel for an hour, L (kWh for a motor); None when the engine is not known.
    #[getter]
    fn fuel_per_hour(&self) -> Option<f64> {
        self.0.fuel_per_hour
    }
    /// What to mind, each a dict with text, value, limit and unit.
    #[getter]
    fn cautions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "cautions", &self.0.cautions)
    }
    /// What was taken for granted, each a dict with key, what, value, unit, source and weight.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "assumptions", &self.0.assumptions)
    }
    fn __repr__(&self) -> String {
        format!(
            "<Duty: {:.1} L/min, {:.0} kPa at the nozzle, {:.1} m of head>",
            self.0.flow_l_min, self.0.nozzle_pressure_kpa, self.0.pump_head_m
        )
    }
    fn _repr_html_(&self) -> String {
        let duty = &self.0;
        let of = |value: f64, decimals: usize| format!("{value:.decimals$}");
        let mut rows = vec![
            ("flow", of(duty.flow_l_min, 1), "L/min"),
            ("pressure at the nozzle", of(duty.nozzle_pressure_kpa, 0), "kPa"),
            ("pressure behind the pump", of(duty.pump_pressure_kpa, 0), "kPa"),
            ("head of the pump", of(duty.pump_head_m, 1), "m"),
            ("power of the water", of(duty.water_kw, 2), "kW"),
            ("shaft power", of(duty.brake_kw, 2), "kW"),
        ];
        rows.extend(duty.cautions.iter().map(|caution| ("mind", caution.text.clone(), "")));
        record::html("Duty point", &rows)
    }
});
