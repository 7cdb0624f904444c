//! `Pump`.

use crate::gate::{self, compute, number, number_or_none, positions};
use crate::record::{self, record_class};
use dibble::hydraulics::{Curve, Pump, PumpInput};
use pyo3::prelude::*;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// A pump: its head against its flow, by points of the maker's curve, by one rated point, or by the power of its engine.
///
/// Make one with `from_points`, `from_rating` or `from_power`. All take `efficiency` (water power over shaft power, 0.05 to 1;
/// 0.55 if not given) and `npsh_required_m`.
///
/// Examples
/// --------
/// >>> from dibble.hydraulics import Pump
/// >>> pump = Pump.from_rating(flow_l_min=300, head_m=60)
/// >>> pump.head_m([0, 300, 600]).tolist()
/// [80.0, 60.0, 0.0]
#[pyclass(name = "Pump", module = "dibble.hydraulics", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyPump(pub Pump);

record_class!(PyPump, "pump", {
    /// A pump by points of its curve: pairs of flow in L/min and head in m, from no flow on. Between them runs a cubic that
    /// never rises.
    ///
    /// Raises
    /// ------
    /// OutOfRangeError, InconsistentError
    ///     A value out of range, fewer than two points, no point at no flow, flows that do not rise or a head that rises.
    #[staticmethod]
    #[pyo3(signature = (points, *, efficiency = None, npsh_required_m = None))]
    fn from_points(points: &Any<'_>, efficiency: Option<&Any<'_>>, npsh_required_m: Option<&Any<'_>>) -> PyResult<Self> {
        made(points.py(), Curve::Points(positions("points", points)?.1), efficiency, npsh_required_m)
    }
    /// A pump by its rated point. Its curve is H (4 - (q/Q)²) / 3: a third more head at no flow, none at twice the flow
    /// (common practice). `power_kw`, the shaft power at that point, gives the efficiency.
    #[staticmethod]
    #[pyo3(signature = (*, flow_l_min, head_m, power_kw = None, efficiency = None, npsh_required_m = None))]
    fn from_rating(
        flow_l_min: &Any<'_>,
        head_m: &Any<'_>,
        power_kw: Option<&Any<'_>>,
        efficiency: Option<&Any<'_>>,
        npsh_required_m: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let curve = Curve::Rated {
            flow_l_min: number("flow_l_min", flow_l_min)?,
            head_m: number("head_m", head_m)?,
            power_kw: number_or_none("power_kw", power_kw)?,
        };
        made(flow_l_min.py(), curve, efficiency, npsh_required_m)
    }
    /// A pump of which only the engine is known: head is what its shaft power lifts, up to a head at no flow.
    #[staticmethod]
    #[pyo3(signature = (*, shaft_kw, shutoff_head_m, efficiency = None, npsh_required_m = None))]
    fn from_power(
        shaft_kw: &Any<'_>,
        shutoff_head_m: &Any<'_>,
        efficiency: Option<&Any<'_>>,
        npsh_required_m: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let curve = Curve::Power { shaft_kw: number("shaft_kw", shaft_kw)?, shutoff_head_m: number("shutoff_head_m", shutoff_head_m)? };
        made(shaft_kw.py(), curve, efficiency, npsh_required_m)
    }

    /// Water power over shaft power.
    #[getter]
    fn efficiency(&self) -> f64 {
        self.0.efficiency()
    }
    /// Net positive suction head that it needs, m.
    #[getter]
    fn npsh_required_m(&self) -> Option<f64> {
        self.0.input().npsh_required_m
    }
    /// Largest flow that the curve covers, L/min.
    #[getter]
    fn most_flow_l_min(&self) -> f64 {
        self.0.most_flow_l_min()
    }
    /// Head at flows in L/min, m; 0 beyond the end of a curve that is known to its end, that of the last point otherwise.
    #[pyo3(signature = (flow_l_min, *, on_error = "raise"))]
    fn head_m<'py>(&self, flow_l_min: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(flow_l_min.py(), [("flow_l_min", flow_l_min)], on_error, |[flow]| {
            Ok(self.0.head_m(dibble::bounds::FLOW_L_MIN.check(flow)?))
        })
    }
    fn __repr__(&self) -> String {
        let record = json!(self.0);
        let mut rest = record.clone();
        let _ = rest.as_object_mut().map(|fields| fields.remove("curve"));
        let rest = record::arguments(&rest);
        let comma = if rest.is_empty() { "" } else { ", " };
        match self.0.input().curve {
            Curve::Points(_) => {
                let points = record.pointer("/curve/points").map(record::literal).unwrap_or_default();
                format!("Pump.from_points({points}{comma}{rest})")
            }
            Curve::Rated { .. } => {
                let curve = record.pointer("/curve/rated").map(record::arguments).unwrap_or_default();
                format!("Pump.from_rating({curve}{comma}{rest})")
            }
            Curve::Power { .. } => {
                let curve = record.pointer("/curve/power").map(record::arguments).unwrap_or_default();
                format!("Pump.from_power({curve}{comma}{rest})")
            }
        }
    }
});

fn made(py: Python<'_>, curve: Curve, efficiency: Option<&Any<'_>>, npsh_required_m: Option<&Any<'_>>) -> PyResult<PyPump> {
    let mut input = PumpInput::new(curve);
    input.efficiency = number_or_none("efficiency", efficiency)?;
    input.npsh_required_m = number_or_none("npsh_required_m", npsh_required_m)?;
    compute(py, "Pump", || Pump::new(input)).map(PyPump)
}
