//! `Refill`.

use crate::gate::{self, compute, number, number_or_none};
use crate::record;
use crate::stand::PyStand;
use dibble::water::Refill;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// When to water and how much. The defaults are common practice and yours to change.
///
/// Parameters
/// ----------
/// allowed_depletion : float
///     Share of the available water that may be used before watering; 0.35 for transplants.
/// refill_fraction : float
///     Share of the depletion that is given back, 0.85; the rest is room for rain.
/// event_cap_mm : float
///     Most that one event gives, mm net; 25.4.
/// minimum_mm : float
///     Less than this is not worth starting, mm net; 3.
/// efficiency : (float, float)
///     Share of the pumped water that reaches the roots, low and high end; (0.65, 0.80) for a big sprinkler.
///
/// Raises
/// ------
/// OutOfRangeError, InconsistentError
///     A value out of range, an efficiency range the wrong way round.
///
/// Examples
/// --------
/// >>> from dibble.water import Refill
/// >>> need = Refill().need(depletion_mm=10.0, available_water_mm=24.0)
/// >>> need["due"], need["net_mm"], [round(mm, 1) for mm in need["gross_mm"]]
/// (True, 8.5, [10.6, 13.1])
#[pyclass(name = "Refill", module = "dibble.water", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyRefill(pub Refill);

#[pymethods]
impl PyRefill {
    #[new]
    #[pyo3(signature = (*, allowed_depletion = None, refill_fraction = None, event_cap_mm = None, minimum_mm = None, efficiency = None))]
    fn new(
        py: Python<'_>,
        allowed_depletion: Option<&Any<'_>>,
        refill_fraction: Option<&Any<'_>>,
        event_cap_mm: Option<&Any<'_>>,
        minimum_mm: Option<&Any<'_>>,
        efficiency: Option<[Any<'_>; 2]>,
    ) -> PyResult<Self> {
        let usual = Refill::default();
        let rule = Refill {
            allowed_depletion: number_or_none("allowed_depletion", allowed_depletion)?.unwrap_or(usual.allowed_depletion),
            refill_fraction: number_or_none("refill_fraction", refill_fraction)?.unwrap_or(usual.refill_fraction),
            event_cap_mm: number_or_none("event_cap_mm", event_cap_mm)?.unwrap_or(usual.event_cap_mm),
            minimum_mm: number_or_none("minimum_mm", minimum_mm)?.unwrap_or(usual.minimum_mm),
            efficiency: match efficiency {
                Some([low, high]) => (number("efficiency", &low)?, number("efficiency", &high)?),
                None => usual.efficiency,
            },
        };
        Self::checked(py, rule)
    }

    /// The usual rule with the allowed depletion of a stand on a day.
    #[staticmethod]
    #[pyo3(signature = (stand, date, *, south = false))]
    fn for_stand(stand: &Bound<'_, PyStand>, date: &Any<'_>, south: bool) -> PyResult<Self> {
        Ok(Self(Refill::for_stand(&stand.get().0, gate::day("date", date)?, south)))
    }

    /// Share of the available water that may be used before watering.
    #[getter]
    fn allowed_depletion(&self) -> f64 {
        self.0.allowed_depletion
    }
    /// Share of the depletion that is given back.
    #[getter]
    fn refill_fraction(&self) -> f64 {
        self.0.refill_fraction
    }
    /// Most that one event gives, mm net.
    #[getter]
    fn event_cap_mm(&self) -> f64 {
        self.0.event_cap_mm
    }
    /// Less than this is not worth starting, mm net.
    #[getter]
    fn minimum_mm(&self) -> f64 {
        self.0.minimum_mm
    }
    /// Share of the pumped water that reaches the roots, low and high end.
    #[getter]
    fn efficiency(&self) -> (f64, f64) {
        self.0.efficiency
    }
    /// What a depletion asks for: a dict with `due`, `net_mm` (0 where it is not worth starting) and the range `gross_mm`.
    #[pyo3(signature = (*, depletion_mm, available_water_mm))]
    fn need<'py>(&self, depletion_mm: &Any<'py>, available_water_mm: &Any<'py>) -> PyResult<Any<'py>> {
        let (depletion, available) = (number("depletion_mm", depletion_mm)?, number("available_water_mm", available_water_mm)?);
        record::to_dict(depletion_mm.py(), "need", &self.0.need(depletion, available))
    }

    /// The rule as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "refill", &self.0)
    }
    /// A rule from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Self::checked(py, record::from_json(py, "refill", text)?)
    }
    /// The rule as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "refill", &self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        Self::checked(py, record::from_bytes(py, "refill", data)?)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "refill", &self.0)?,)))
    }
    fn __repr__(&self) -> String {
        format!("Refill({})", record::arguments(&json!(self.0)))
    }
    fn _repr_html_(&self) -> String {
        let rule = &self.0;
        record::html(
            "Refill rule",
            &[
                ("allowed depletion", rule.allowed_depletion.to_string(), ""),
                ("share given back", rule.refill_fraction.to_string(), ""),
                ("most at once", rule.event_cap_mm.to_string(), "mm"),
                ("least worth starting", rule.minimum_mm.to_string(), "mm"),
                ("efficiency", format!("{} to {}", rule.efficiency.0, rule.efficiency.1), ""),
            ],
        )
    }
}

impl PyRefill {
    fn checked(py: Python<'_>, rule: Refill) -> PyResult<Self> {
        compute(py, "Refill", || rule.checked()).map(Self)
    }
}
