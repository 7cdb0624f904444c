//! `Daily`.

use super::report::PyGapReport;
use super::site::PySite;
use crate::gate::{self, compute};
use crate::{record, table};
use dibble::weather::Daily;
use numpy::PyArray1;
use numpy::datetime::{Datetime, units::Days};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyDict, PyType};
use std::sync::Arc;

type Floats<'py> = Bound<'py, PyArray1<f64>>;

/// Complete days: every day has every number, and `assumptions` says what was taken for granted. Made by
/// `Weather.complete`. Arrays are read-only, one value for each day.
#[pyclass(name = "Daily", module = "dibble.weather", frozen, eq)]
pub struct PyDaily {
    pub days: Arc<Daily>,
    pub kind: Option<String>,
}

impl PartialEq for PyDaily {
    fn eq(&self, other: &Self) -> bool {
        self.days == other.days
    }
}

impl PyDaily {
    pub fn new(days: Daily, kind: Option<String>) -> Self {
        Self { days: Arc::new(days), kind }
    }
    fn same_kind(&self, days: Daily) -> Self {
        Self::new(days, self.kind.clone())
    }
}

#[pymethods]
impl PyDaily {
    /// The place.
    #[getter]
    fn site(&self) -> PySite {
        PySite(*self.days.site())
    }
    /// The first day.
    #[getter]
    fn first<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.days.first())
    }
    /// The last day.
    #[getter]
    fn last<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.days.last())
    }
    /// The days.
    #[getter]
    fn dates<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<Datetime<Days>>> {
        table::days(py, self.days.first(), self.days.len())
    }
    /// Lowest air temperature, deg C.
    #[getter]
    fn tmin_c<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.tmin_c())
    }
    /// Highest air temperature, deg C.
    #[getter]
    fn tmax_c<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.tmax_c())
    }
    /// Actual vapor pressure, kPa.
    #[getter]
    fn vapor_pressure_kpa<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.vapor_pressure_kpa())
    }
    /// Lowest relative humidity, %.
    #[getter]
    fn rh_min_pct<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.rh_min_pct())
    }
    /// Wind speed at 2 m, m/s, at least 0.5.
    #[getter]
    fn wind_2m_m_s<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.wind_2m_m_s())
    }
    /// Solar radiation, MJ/m2.
    #[getter]
    fn solar_mj_m2<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.solar_mj_m2())
    }
    /// Rain, mm.
    #[getter]
    fn rain_mm<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.rain_mm())
    }
    /// Reference evapotranspiration of short grass, mm.
    #[getter]
    fn eto_mm<'py>(&self, py: Python<'py>) -> PyResult<Floats<'py>> {
        table::array(py, self.days.eto_mm())
    }
    /// Is the day a forecast?
    #[getter]
    fn forecast<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<bool>> {
        PyArray1::from_slice(py, self.days.forecast())
    }
    /// What was taken for granted, each with its number of days.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        record::to_dict(py, "assumptions", &self.days.assumptions())
    }
    /// What the records held and lacked, and what stood in for it.
    fn gap_report(&self) -> PyGapReport {
        PyGapReport(Arc::new(self.days.gap_report().clone()))
    }

    /// The days from one to another, both included.
    fn between(&self, py: Python<'_>, first: &Bound<'_, PyAny>, last: &Bound<'_, PyAny>) -> PyResult<Self> {
        let (first, last) = (gate::day("first", first)?, gate::day("last", last)?);
        compute(py, "Daily.between", || self.days.between(first, last)).map(|days| self.same_kind(days))
    }
    /// With more days after the last, rainless, each with the mean of the last `mean_of` days, marked as forecast.
    #[pyo3(signature = (days, *, mean_of))]
    fn extended(&self, py: Python<'_>, days: usize, mean_of: usize) -> PyResult<Self> {
        compute(py, "Daily.extended", || (*self.days).clone().extended(days, mean_of)).map(|days| self.same_kind(days))
    }
    /// The same days with another rain, mm, on one of them: "what if it rains".
    fn with_rain(&self, py: Python<'_>, date: &Bound<'_, PyAny>, rain_mm: &Bound<'_, PyAny>) -> PyResult<Self> {
        let (date, rain) = (gate::day("date", date)?, gate::number("rain_mm", rain_mm)?);
        compute(py, "Daily.with_rain", || (*self.days).clone().with_rain(date, rain)).map(|days| self.same_kind(days))
    }

    /// The days as a table: in the kind of dataframe that came in, else `into` "pandas", "polars", "pyarrow" or "dict".
    #[pyo3(signature = (into = None))]
    fn to_table<'py>(&self, py: Python<'py>, into: Option<&str>) -> PyResult<Bound<'py, PyAny>> {
        let columns = PyDict::new(py);
        columns.set_item("date", self.dates(py))?;
        let numbers: [(&str, &[f64]); 8] = [
            ("tmin_c", self.days.tmin_c()),
            ("tmax_c", self.days.tmax_c()),
            ("vapor_pressure_kpa", self.days.vapor_pressure_kpa()),
            ("rh_min_pct", self.days.rh_min_pct()),
            ("wind_2m_m_s", self.days.wind_2m_m_s()),
            ("solar_mj_m2", self.days.solar_mj_m2()),
            ("rain_mm", self.days.rain_mm()),
            ("eto_mm", self.days.eto_mm()),
        ];
        for (name, values) in numbers {
            columns.set_item(name, table::array(py, values)?)?;
        }
        columns.set_item("forecast", self.forecast(py))?;
        table::build(columns, into, self.kind.as_deref())
    }
    /// The days as JSON, every number exactly.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "daily", &*self.days)
    }
    /// Days from `to_json`, the same bit for bit.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Ok(Self::new(record::from_json(py, "daily", text)?, None))
    }
    /// The days as plain dicts and lists.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        record::to_dict(py, "daily", &*self.days)
    }
    #[staticmethod]
    #[pyo3(signature = (data, kind = None))]
    fn _from_bytes(py: Python<'_>, data: &[u8], kind: Option<String>) -> PyResult<Self> {
        Ok(Self::new(record::from_bytes(py, "daily", data)?, kind))
    }
    #[allow(clippy::type_complexity)] // the shape that pickle asks for
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (Bound<'py, PyBytes>, Option<String>))> {
        let bytes = record::to_bytes(py, "daily", &*self.days)?;
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (bytes, self.kind.clone())))
    }
    fn __len__(&self) -> usize {
        self.days.len()
    }
    fn __repr__(&self) -> String {
        let days = &self.days;
        let eto: f64 = days.eto_mm().iter().sum();
        let rain: f64 = days.rain_mm().iter().sum();
        format!("<Daily of {} days, {} to {}: rain {rain:.1} mm, ETo {eto:.1} mm>", days.len(), days.first(), days.last())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&format!("{}\n{}", self.__repr__(), self.days.gap_report()))
    }
}
