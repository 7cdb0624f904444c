//! `Reading`, and readings weighed against a ledger.

use crate::gate::{self, compute, number, number_or_none};
use crate::{record, table};
use dibble::water::{self, Reading, Seen};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyType};
use serde_json::{Value, json};

type Any<'py> = Bound<'py, PyAny>;

/// What a shovel, a tensiometer or a probe said of one layer, taken in the morning before that day's water.
///
/// Parameters
/// ----------
/// date : datetime.date or str
///     The day.
/// from_depth_m, to_depth_m : float
///     Upper and lower edge of what was read, m; a point sensor has no lower edge.
/// feel : str, optional
///     Band of the feel test: "dry", "slightly moist", "moist", "wet", "full", or the percent left as "25-50".
/// tension_kpa : float, optional
///     Soil water tension, kPa (the same number in centibars).
/// water_content : float, optional
///     Volumetric water content, m3/m3.
/// available : float, optional
///     Share of the available water, 0 to 1.
/// holes : int
///     Holes or sensors that agree on it.
/// uncertainty : float, optional
///     Standard deviation as a share of the available water; without it, the method's own.
///
/// Raises
/// ------
/// MissingError, InconsistentError, OutOfRangeError, UnknownNameError
///     Not exactly one of feel, tension_kpa, water_content and available; a value out of range.
///
/// Examples
/// --------
/// >>> from dibble.water import Reading
/// >>> Reading("2026-07-14", from_depth_m=0.05, to_depth_m=0.15, feel="moist", holes=3)
/// Reading("2026-07-14", from_depth_m=0.05, to_depth_m=0.15, feel="moist", holes=3)
#[pyclass(name = "Reading", module = "dibble.water", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyReading(pub Reading);

#[pymethods]
impl PyReading {
    #[new]
    #[pyo3(signature = (date, *, from_depth_m, to_depth_m = None, feel = None, tension_kpa = None, water_content = None, available = None, holes = 1, uncertainty = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        date: &Any<'_>,
        from_depth_m: &Any<'_>,
        to_depth_m: Option<&Any<'_>>,
        feel: Option<&str>,
        tension_kpa: Option<&Any<'_>>,
        water_content: Option<&Any<'_>>,
        available: Option<&Any<'_>>,
        holes: u32,
        uncertainty: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let py = date.py();
        let date = gate::day("date", date)?;
        let from_depth_m = number("from_depth_m", from_depth_m)?;
        let to_depth_m = number_or_none("to_depth_m", to_depth_m)?.unwrap_or(from_depth_m);
        let feel = feel.map(|band| gate::choice(py, band)).transpose()?;
        let tension_kpa = number_or_none("tension_kpa", tension_kpa)?;
        let water_content = number_or_none("water_content", water_content)?;
        let available = number_or_none("available", available)?;
        let uncertainty = number_or_none("uncertainty", uncertainty)?;
        let seen = compute(py, "Reading", || Seen::one_of(feel, tension_kpa, water_content, available))?;
        Self::checked(py, Reading { date, from_depth_m, to_depth_m, seen, holes, uncertainty })
    }

    /// The day.
    #[getter]
    fn date<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.date)
    }
    /// Upper edge of what was read, m.
    #[getter(from_depth_m)]
    fn upper_edge_m(&self) -> f64 {
        self.0.from_depth_m
    }
    /// Lower edge, m.
    #[getter(to_depth_m)]
    fn lower_edge_m(&self) -> f64 {
        self.0.to_depth_m
    }
    /// Holes or sensors that agree.
    #[getter]
    fn holes(&self) -> u32 {
        self.0.holes
    }

    /// The reading as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "reading", &self.0)
    }
    /// A reading from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Self::checked(py, record::from_json(py, "reading", text)?)
    }
    /// The reading as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "reading", &self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        Self::checked(py, record::from_bytes(py, "reading", data)?)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "reading", &self.0)?,)))
    }
    fn __repr__(&self) -> String {
        let Reading { date, from_depth_m, to_depth_m, seen, holes, uncertainty } = self.0;
        let (how, value) = match seen {
            Seen::Feel(band) => ("feel", json!(band)),
            Seen::TensionKpa(kpa) => ("tension_kpa", json!(kpa)),
            Seen::WaterContent(content) => ("water_content", json!(content)),
            Seen::Available(share) => ("available", json!(share)),
        };
        let mut text =
            format!("Reading(\"{date}\", from_depth_m={from_depth_m:?}, to_depth_m={to_depth_m:?}, {how}={}", record::literal(&value));
        if holes != 1 {
            text += &format!(", holes={holes}");
        }
        match uncertainty {
            Some(sd) if sd.is_infinite() => text += ", uncertainty=float(\"inf\")",
            Some(sd) => text += &format!(", uncertainty={sd:?}"),
            None => {}
        }
        text + ")"
    }
}

impl PyReading {
    fn checked(py: Python<'_>, reading: Reading) -> PyResult<Self> {
        compute(py, "Reading", || reading.check())?;
        Ok(Self(reading))
    }
}

/// What became of a reading, as a dict with its sentence.
pub fn outcomes(season: &water::Season) -> Value {
    let outcome = |reading: &water::ReadingOutcome| {
        let mut row = json!(reading);
        if let Some(entries) = row.as_object_mut() {
            entries.insert("text".into(), reading.to_string().into());
        }
        row
    };
    season.readings().iter().map(outcome).collect()
}

#[pyfunction]
#[pyo3(signature = (*, ledger, ledger_sd, reading, reading_sd, only_drier = false))]
fn weigh(
    py: Python<'_>,
    ledger: &Any<'_>,
    ledger_sd: &Any<'_>,
    reading: &Any<'_>,
    reading_sd: &Any<'_>,
    only_drier: bool,
) -> PyResult<(f64, f64, f64, f64, &'static str)> {
    let (ledger, ledger_sd) = (number("ledger", ledger)?, number("ledger_sd", ledger_sd)?);
    let (reading, reading_sd) = (number("reading", reading)?, number("reading_sd", reading_sd)?);
    let found = compute(py, "weigh", || water::weighed(ledger, ledger_sd, reading, reading_sd, only_drier))?;
    Ok((found.available, found.sd, found.gain, found.errors_apart, found.verdict.name()))
}

/// Adds the function to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(weigh, module)?)
}
