//! `Plan`, and the call that makes one.

use super::block::PyBlockPlan;
use super::file::PyFarm;
use crate::control::long;
use crate::explain::PyExplanation;
use crate::gate::{self, choice, compute, number_or_none};
use crate::weather::PyWeather;
use crate::{error, outlook, record, schedule, season_log, table};
use dibble::farm::{self, Plan, PlanOptions, Section};
use dibble::weather::Weather;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyTuple, PyType};
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;

/// The week's plan: how dry each block is, days left, what to give and how it enters the ground. `print` it; made by `plan`.
#[pyclass(name = "Plan", module = "dibble.farm", frozen, eq)]
#[derive(PartialEq)]
pub struct PyPlan(Arc<Plan>);

impl From<Plan> for PyPlan {
    fn from(plan: Plan) -> Self {
        Self(Arc::new(plan))
    }
}

#[pymethods]
impl PyPlan {
    /// Name of the farm.
    #[getter]
    fn farm(&self) -> &str {
        &self.0.farm
    }
    /// The morning it is made for.
    #[getter]
    fn date<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.date)
    }
    /// First day of the reckoning.
    #[getter]
    fn first<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.from)
    }
    /// Last day of the given weather.
    #[getter]
    fn weather_to<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.weather_to)
    }
    /// Given days from the plan's date on.
    #[getter]
    fn days_ahead(&self) -> usize {
        self.0.days_ahead
    }
    /// Units it is printed in, "us" or "si".
    #[getter]
    fn units(&self) -> &'static str {
        self.0.units.name()
    }
    /// Rate of the sprinkler, mm/h.
    #[getter]
    fn rate_mm_h(&self) -> f64 {
        self.0.rate_mm_h
    }
    /// The blocks, in the order of the farm.
    #[getter]
    fn blocks(&self) -> Vec<PyBlockPlan> {
        self.0.blocks.iter().cloned().map(PyBlockPlan).collect()
    }
    /// A block by its name.
    fn block(&self, py: Python<'_>, name: &str) -> PyResult<PyBlockPlan> {
        compute(py, "Plan.block", || self.0.block(name).cloned()).map(PyBlockPlan)
    }
    /// Gaps and faults of the weather, in words.
    #[getter]
    fn weather_notes(&self) -> Vec<String> {
        self.0.weather_notes.clone()
    }
    /// How much of the season log counts, and what of it does not; empty without one.
    #[getter]
    fn log_notes(&self) -> Vec<String> {
        self.0.log_notes.clone()
    }
    /// What was taken for granted about weather and sprinkler, each a dict; those of a block stand with it.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "assumptions", &self.0.assumptions)
    }
    /// Usual cautions that go with it.
    #[getter]
    fn cautions(&self) -> Vec<&str> {
        self.0.cautions()
    }
    /// What the next feedings of all blocks take, as a dict: products, bags, cost, cautions; None where none is planned.
    #[getter]
    fn feeding<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "feeding", &self.0.feeding)
    }
    /// The week, as a dict: start by, timetable, remedies, supply, cost, heat, advice.
    #[getter]
    fn week<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "week", &self.0.week)
    }
    /// The field sheet: one printable page of HTML that stands alone. Needs jinja2 (`pip install dibble[report]`).
    /// `more` are an `Outlook` and a `Sensitivity` that it shall tell too.
    #[pyo3(signature = (*more))]
    fn sheet<'py>(slf: &Bound<'py, Self>, more: &Bound<'py, PyTuple>) -> PyResult<Any<'py>> {
        slf.py().import("dibble._sheet")?.call_method1("html", (slf, more))
    }
    /// The plan in words as plain dicts: title, about, and parts with their lines and tables, as `print` lays them out.
    /// `more` are an `Outlook` and a `Sensitivity` that it shall tell too.
    #[pyo3(signature = (*more))]
    fn page<'py>(&self, py: Python<'py>, more: &Bound<'_, PyTuple>) -> PyResult<Any<'py>> {
        record::to_dict(py, "page", &self.0.page().with(outlook::parts(more)?))
    }
    /// What `print` shows, with the parts of `more`: an `Outlook` and a `Sensitivity`.
    #[pyo3(signature = (*more))]
    fn text(&self, more: &Bound<'_, PyTuple>) -> PyResult<String> {
        Ok(self.0.page().with(outlook::parts(more)?).to_string())
    }
    /// The answer in short, as text: every block in a line, the week, what to give, the next feeding, what to mind.
    /// `more` are an `Outlook` and a `Sensitivity` that it shall tell too.
    #[pyo3(signature = (*more))]
    fn answer(&self, more: &Bound<'_, PyTuple>) -> PyResult<String> {
        Ok(self.0.answer().with(outlook::parts(more)?).to_string())
    }
    /// What the field sheet shows large, as plain dicts in the form of `page`: the answer, then block by block where to stand and
    /// for how long, who gets a bucket, what the next feeding takes.
    fn field<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "page", &self.0.field())
    }
    /// One part of the whole page as text, by its key ("week", "sets", "cautions", ...) or by the name of a block.
    /// `more` are an `Outlook` and a `Sensitivity` whose parts are known too.
    #[pyo3(signature = (name, *more))]
    fn part(&self, py: Python<'_>, name: &str, more: &Bound<'_, PyTuple>) -> PyResult<String> {
        let page = self.0.page().with(outlook::parts(more)?);
        compute(py, "Plan.part", || page.only(name)).map(|page| page.to_string())
    }
    /// How a block's answer came about, step by step; `print` it.
    fn explain(&self, py: Python<'_>, block: &str) -> PyResult<PyExplanation> {
        compute(py, "Plan.explain", || self.0.explain(block)).map(PyExplanation::from)
    }

    /// The blocks as a table, one row for each, in SI; `into` is "pandas", "polars", "pyarrow" or "dict".
    fn to_table<'py>(&self, py: Python<'py>, into: &str) -> PyResult<Any<'py>> {
        let columns = py.import("dibble._table")?.getattr("from_csv")?.call1((self.0.to_csv(), Plan::WORD_COLUMNS))?;
        table::build(columns.extract()?, Some(into), None)
    }
    /// The blocks as CSV (RFC 4180), one row for each, in SI.
    fn to_csv(&self) -> String {
        self.0.to_csv()
    }
    /// Every set as CSV (RFC 4180), in walking order, in SI; only the heading in a plan without sets.
    fn sets_csv(&self) -> String {
        self.0.sets_csv()
    }
    /// Sets and short trees as GeoJSON (RFC 7946). Needs the farm's longitude, else MissingError.
    fn sets_geojson(&self, py: Python<'_>, farm: &Bound<'_, PyFarm>) -> PyResult<String> {
        let farm = Arc::clone(&farm.get().0);
        compute(py, "Plan.sets_geojson", || self.0.sets_geojson(&farm))
    }
    /// Every stop of the bucket lists as CSV (RFC 4180), in SI; empty where nobody needs a bucket.
    fn bucket_csv(&self) -> String {
        self.0.bucket_csv()
    }
    /// Every tree with a ledger of its own as CSV (RFC 4180): water given, days of stress, depletion; only the heading where
    /// no sets were logged.
    fn trees_csv(&self) -> String {
        self.0.trees_csv()
    }
    /// The plan as JSON, every number exactly.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        compute(py, "Plan.to_json", || self.0.to_json())
    }
    /// A plan from `to_json`, the same bit for bit.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        compute(py, "Plan.from_json", || Plan::from_json(text)).map(Self::from)
    }
    /// The JSON Schema of `to_json`, as text, for programs that read a plan without this package.
    #[staticmethod]
    fn schema() -> &'static str {
        Plan::json_schema()
    }
    /// The plan as plain dicts and lists.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "plan", &*self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes::<Plan>(py, "plan", data).map(Self::from)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "plan", &*self.0)?,)))
    }
    fn __str__(&self) -> String {
        self.0.to_string()
    }
    fn __repr__(&self) -> String {
        let due = self.0.blocks.iter().filter(|block| block.net_mm > 0.0).count();
        format!("<Plan of {} for {}: {} blocks, water for {due}>", self.0.farm, self.0.date, self.0.blocks.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.0.to_string())
    }
}

/// The records of a `Weather`.
pub fn records(py: Python<'_>, name: &str, weather: &Any<'_>) -> PyResult<Arc<Weather>> {
    if let Ok(weather) = weather.cast::<PyWeather>() {
        return Ok(Arc::clone(&weather.get().records));
    }
    let class = weather.get_type().name()?;
    let message = format!("{name} is of class {class}: a Weather is needed. Read one with Weather.read_csv or Weather.from_table.");
    Err(error::wrong_kind(py, name, &message))
}

/// Makes a plan; `dibble/farm.py` says what the arguments mean.
#[pyfunction]
#[pyo3(signature = (farm, weather, today, *, gaps, winter, first, rain_mm, watered_min, units, log, closed, sets, n_threads, progress))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn make_plan(
    py: Python<'_>,
    farm: &Bound<'_, PyFarm>,
    weather: &Any<'_>,
    today: Option<&Any<'_>>,
    gaps: &str,
    winter: &str,
    first: Option<&Any<'_>>,
    rain_mm: Option<&Any<'_>>,
    watered_min: Option<&Any<'_>>,
    units: Option<&str>,
    log: Option<&Any<'_>>,
    closed: Option<&Any<'_>>,
    sets: bool,
    n_threads: Option<usize>,
    progress: Option<&Any<'_>>,
) -> PyResult<PyPlan> {
    let (farm, weather) = (Arc::clone(&farm.get().0), records(py, "weather", weather)?);
    let mut options = PlanOptions {
        gaps: choice(py, gaps)?,
        winter: choice(py, winter)?,
        from: first.map(|day| gate::day("first", day)).transpose()?,
        rain_mm: number_or_none("rain_mm", rain_mm)?,
        watered_min: number_or_none("watered_min", watered_min)?,
        units: units.map(|system| choice(py, system)).transpose()?,
        log: season_log::of(py, log)?,
        closed: schedule::closed_or_none(closed)?,
        n_threads,
        with: if sets { vec![Section::Sets] } else { Vec::new() },
        ..PlanOptions::default()
    };
    let today = match today {
        Some(day) => gate::day("today", day)?,
        None => farm::usual_today(&weather),
    };
    let made = long(py, "plan", progress, move |control| {
        options.control = control.clone();
        farm::plan(&farm, &weather, today, &options)
    });
    made.map(PyPlan::from)
}

/// Adds the function to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(make_plan, module)?)
}
