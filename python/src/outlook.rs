//! `dibble.outlook`: what to measure next, and the coming weeks over past years.

use crate::control::long;
use crate::farm::file::PyFarm;
use crate::farm::plan::records;
use crate::gate::{self, choice};
use crate::record::{self, record_class};
use crate::{error, schedule, season_log, table};
use dibble::bounds;
use dibble::farm::{self, Part, PlanOptions};
use dibble::outlook::{self as core, Outlook, OutlookOptions, Sensitivity};
use dibble::{Date, weather::Weather};
use pyo3::prelude::*;
use pyo3::types::{PyDate, PyTuple};
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;

/// Which input moves the plan most; made by `sensitivity`. `print` it.
#[pyclass(name = "Sensitivity", module = "dibble.outlook", frozen, eq)]
#[derive(PartialEq)]
pub struct PySensitivity(Sensitivity);

record_class!(PySensitivity, "sensitivity", Sensitivity::from_json, {
    /// The morning of the plan.
    #[getter]
    fn date<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.date)
    }
    /// Answers as things are taken now: dicts of `about`, `start_h` and `run_min`.
    #[getter]
    fn now<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "answers", &self.0.now)
    }
    /// Inputs with what they do, the one that moves a start most first.
    #[getter]
    fn swings<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "swings", &self.0.swings)
    }
    /// Inputs that were measured or play no part.
    #[getter]
    fn settled(&self) -> Vec<&'static str> {
        self.0.settled.iter().map(|input| input.name()).collect()
    }
    fn __str__(&self) -> String {
        self.0.to_string()
    }
    fn __repr__(&self) -> String {
        let first = self.0.swings.first().map_or("nothing", |s| s.input.name());
        format!("<Sensitivity on {}: {first} moves the start most>", self.0.date)
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.0.to_string())
    }
});

/// The coming weeks as past years would make them; made by `outlook`. `print` it.
#[pyclass(name = "Outlook", module = "dibble.outlook", frozen, eq)]
#[derive(PartialEq)]
pub struct PyOutlook(Outlook);

record_class!(PyOutlook, "outlook", Outlook::from_json, {
    /// Name of the farm.
    #[getter]
    fn farm(&self) -> &str {
        &self.0.farm
    }
    /// The morning that it begins with.
    #[getter]
    fn date<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.date)
    }
    /// Days looked ahead.
    #[getter]
    fn days(&self) -> usize {
        self.0.days
    }
    /// Of them, days of the forecast.
    #[getter]
    fn forecast_days(&self) -> usize {
        self.0.forecast_days
    }
    /// Past years.
    #[getter]
    fn years(&self) -> Vec<i32> {
        self.0.years.clone()
    }
    /// Years that were left out, and why.
    #[getter]
    fn left_out(&self) -> Vec<String> {
        self.0.left_out.clone()
    }
    /// Rain of the days, mm: a dict of `low`, `middle` and `high`.
    #[getter]
    fn rain_mm<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "rain", &self.0.rain_mm)
    }
    /// The blocks, dicts: bands of depletion, chances and days due, waterings, water pumped.
    #[getter]
    fn blocks<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "blocks", &self.0.blocks)
    }
    /// Each block's band and chance day by day, as a table; `into` is "pandas", "polars", "pyarrow" or "dict".
    fn to_table<'py>(&self, py: Python<'py>, into: &str) -> PyResult<Any<'py>> {
        let columns = py.import("dibble._table")?.getattr("from_csv")?.call1((self.to_csv(py)?, Outlook::WORD_COLUMNS))?;
        table::build(columns.extract()?, Some(into), None)
    }
    /// The same as CSV (RFC 4180).
    fn to_csv(&self, py: Python<'_>) -> PyResult<String> {
        gate::compute(py, "Outlook.to_csv", || self.0.to_csv())
    }
    fn __str__(&self) -> String {
        self.0.to_string()
    }
    fn __repr__(&self) -> String {
        format!("<Outlook of {} from {}: {} days, {} years>", self.0.farm, self.0.date, self.0.days, self.0.years.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.0.to_string())
    }
});

/// The parts that outlooks and sensitivities add to the page of a plan.
pub fn parts(more: &Bound<'_, PyTuple>) -> PyResult<Vec<Part>> {
    let part = |given: Any<'_>| {
        if let Ok(outlook) = given.cast::<PyOutlook>() {
            return Ok(outlook.get().0.part());
        }
        if let Ok(found) = given.cast::<PySensitivity>() {
            return Ok(found.get().0.part());
        }
        let message = format!("more holds a {}: an Outlook or a Sensitivity is needed.", given.get_type().name()?);
        Err(error::wrong_kind(given.py(), "more", &message))
    };
    more.iter().map(part).collect()
}

/// What both calls ask of a plan.
struct Asked {
    farm: Arc<farm::Farm>,
    weather: Arc<Weather>,
    today: Date,
    options: PlanOptions,
}

impl Asked {
    #[allow(clippy::too_many_arguments)] // as the calls take them
    fn of(
        py: Python<'_>,
        farm: &Bound<'_, PyFarm>,
        weather: &Any<'_>,
        today: Option<&Any<'_>>,
        gaps: &str,
        winter: &str,
        first: Option<&Any<'_>>,
        log: Option<&Any<'_>>,
        units: Option<&str>,
    ) -> PyResult<Self> {
        let weather = records(py, "weather", weather)?;
        let options = PlanOptions {
            gaps: choice(py, gaps)?,
            winter: choice(py, winter)?,
            from: gate::day_or_none("first", first)?,
            units: gate::choice_or_none(py, units)?,
            log: season_log::of(py, log)?,
            ..PlanOptions::default()
        };
        let today = gate::day_or_none("today", today)?.unwrap_or_else(|| farm::usual_today(&weather));
        Ok(Self { farm: Arc::clone(&farm.get().0), weather, today, options })
    }
}

#[pyfunction]
#[pyo3(signature = (farm, weather, today, *, gaps, winter, first, log, closed, n_threads, progress))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn sensitivity(
    py: Python<'_>,
    farm: &Bound<'_, PyFarm>,
    weather: &Any<'_>,
    today: Option<&Any<'_>>,
    gaps: &str,
    winter: &str,
    first: Option<&Any<'_>>,
    log: Option<&Any<'_>>,
    closed: Option<&Any<'_>>,
    n_threads: Option<usize>,
    progress: Option<&Any<'_>>,
) -> PyResult<PySensitivity> {
    let mut asked = Asked::of(py, farm, weather, today, gaps, winter, first, log, None)?;
    asked.options.closed = schedule::closed_or_none(closed)?;
    let found = long(py, "sensitivity", progress, move |control| {
        asked.options.control = control.clone();
        core::sensitivity(&asked.farm, &asked.weather, asked.today, &asked.options, &core::by_week, n_threads)
    });
    found.map(PySensitivity)
}

#[pyfunction]
#[pyo3(signature = (farm, weather, today, history, *, days, years, forecast_days, gaps, winter, first, log, units, n_threads, progress))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn outlook(
    py: Python<'_>,
    farm: &Bound<'_, PyFarm>,
    weather: &Any<'_>,
    today: Option<&Any<'_>>,
    history: Option<&Any<'_>>,
    days: &Any<'_>,
    years: Option<Vec<i32>>,
    forecast_days: Option<usize>,
    gaps: &str,
    winter: &str,
    first: Option<&Any<'_>>,
    log: Option<&Any<'_>>,
    units: Option<&str>,
    n_threads: Option<usize>,
    progress: Option<&Any<'_>>,
) -> PyResult<PyOutlook> {
    let mut asked = Asked::of(py, farm, weather, today, gaps, winter, first, log, units)?;
    let history = history.map(|h| records(py, "history", h)).transpose()?;
    let days = usize::try_from(gate::whole(&bounds::OUTLOOK_DAYS, days)?).unwrap_or(usize::MAX);
    let given = OutlookOptions { days, forecast_days, years, n_threads };
    let found = long(py, "outlook", progress, move |control| {
        asked.options.control = control.clone();
        core::outlook(&asked.farm, &asked.weather, asked.today, history.as_deref(), &asked.options, &given)
    });
    found.map(PyOutlook)
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PySensitivity>()?;
    module.add_class::<PyOutlook>()?;
    module.add_function(wrap_pyfunction!(sensitivity, module)?)?;
    module.add_function(wrap_pyfunction!(outlook, module)?)
}
