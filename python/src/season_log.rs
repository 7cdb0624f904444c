//! `dibble.record`: the season log, survival counts and replants. (`record.rs` beside it is about classes of any area.)

use crate::gate::{self, compute, number};
use crate::record::{self, answer};
use crate::{error, table};
use dibble::record::{self as core, Entry, Log, Plot, Replant, ReplantInput, Runs, Survey, SurveyInput, Worth, WorthInput};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyList, PyType};
use std::path::PathBuf;
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;
type Cells = Vec<(String, String)>;

/// A season log: a table that is only ever added to, faulty lines kept and reported.
///
/// Examples
/// --------
/// >>> from dibble.record import Log
/// >>> log = Log.parse('''season log,1,Hill
/// ... id,date,block,what,depth_mm
/// ... a,2026-07-14,North,water,12.7
/// ... b,2026-07-15,No''')
/// >>> log.farm, len(log.entries), log.entries[0]["depth_mm"]
/// ('Hill', 1, 12.7)
/// >>> log.faults[0].split(". ")[0]
/// 'line 4 is not counted: it breaks off after 3 of 5 cells'
#[pyclass(name = "Log", module = "dibble.record", frozen, eq)]
#[derive(PartialEq)]
pub struct PyLog(pub Arc<Log>);

impl From<Log> for PyLog {
    fn from(log: Log) -> Self {
        Self(Arc::new(log))
    }
}

/// The log of an argument that may be left out.
pub fn of(py: Python<'_>, log: Option<&Any<'_>>) -> PyResult<Option<Log>> {
    let Some(log) = log else { return Ok(None) };
    if let Ok(log) = log.cast::<PyLog>() {
        return Ok(Some((*log.get().0).clone()));
    }
    let class = log.get_type().name()?;
    Err(error::wrong_kind(py, "log", &format!("log is of class {class}: a Log is needed. Read one with dibble.record.Log.read.")))
}

/// Entries as dicts of their cells: words as text, counts as int, quantities as float.
fn dicts<'py>(py: Python<'py>, entries: impl Iterator<Item = Entry>) -> PyResult<Bound<'py, PyList>> {
    let list = PyList::empty(py);
    for entry in entries {
        let dict = PyDict::new(py);
        for (name, cell) in entry.cells() {
            if Log::WORD_COLUMNS.contains(&name) {
                dict.set_item(name, cell)?;
            } else if let Ok(count) = cell.parse::<u32>()
                && matches!(name, "holes" | "living" | "planted")
            {
                dict.set_item(name, count)?;
            } else {
                dict.set_item(name, cell.parse::<f64>().unwrap_or(f64::NAN))?;
            }
        }
        list.append(dict)?;
    }
    Ok(list)
}

#[pymethods]
impl PyLog {
    /// An empty log of a farm.
    #[new]
    fn new(py: Python<'_>, farm: &str) -> PyResult<Self> {
        compute(py, "Log", || Log::new(farm)).map(Self::from)
    }
    /// Reads a log from its text; `name` stands in messages in place of a path.
    #[staticmethod]
    #[pyo3(signature = (text, name = "season log"))]
    fn parse(py: Python<'_>, text: &str, name: &str) -> PyResult<Self> {
        compute(py, "Log.parse", || Log::parse(text, name)).map(Self::from)
    }
    /// Reads the log at a path.
    #[staticmethod]
    fn read(py: Python<'_>, path: PathBuf) -> PyResult<Self> {
        compute(py, "Log.read", || core::read(path)).map(Self::from)
    }
    /// The farm that it is kept for.
    #[getter]
    fn farm(&self) -> &str {
        self.0.farm()
    }
    /// What it is called in messages.
    #[getter]
    fn name(&self) -> &str {
        self.0.name()
    }
    /// The whole text, faulty lines included.
    #[getter]
    fn text(&self) -> &str {
        self.0.text()
    }
    /// Every entry that could be read, in the order of lines.
    #[getter]
    fn entries<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        dicts(py, self.0.entries().iter().cloned())
    }
    /// Entries that count: done, not struck and not replaced, in order of days.
    #[getter]
    fn counting<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        dicts(py, self.0.counting().into_iter().cloned())
    }
    /// Entries that were planned and neither done nor struck, in order of days.
    #[getter]
    fn open<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        dicts(py, self.0.open().into_iter().cloned())
    }
    /// Lines that are not used, each with its number and reason.
    #[getter]
    fn faults(&self) -> Vec<String> {
        self.0.faults().iter().map(ToString::to_string).collect()
    }
    /// What is used and deserves a second look.
    #[getter]
    fn remarks(&self) -> Vec<String> {
        self.0.remarks().to_vec()
    }
    /// An id that no line has: the day and a number.
    fn next_id(&self, date: &Any<'_>) -> PyResult<String> {
        Ok(self.0.next_id(gate::day("date", date)?))
    }
    /// The log with one more entry, given as cells under their headings.
    fn _with(&self, py: Python<'_>, cells: Cells) -> PyResult<Self> {
        compute(py, "Log.with", || self.0.with(Entry::from_cells(&cells)?)).map(Self::from)
    }

    /// The entries as a table, quantities in SI; `into` is "pandas", "polars", "pyarrow" or "dict".
    fn to_table<'py>(&self, py: Python<'py>, into: &str) -> PyResult<Any<'py>> {
        let columns = py.import("dibble._table")?.getattr("from_csv")?.call1((self.to_csv(py)?, Log::WORD_COLUMNS))?;
        table::build(columns.extract()?, Some(into), None)
    }
    /// The entries as CSV (RFC 4180) under all headings of the log, quantities in SI.
    fn to_csv(&self, py: Python<'_>) -> PyResult<String> {
        compute(py, "Log.to_csv", || self.0.to_csv())
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes::<Log>(py, "log", data).map(Self::from)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "log", &*self.0)?,)))
    }
    fn __str__(&self) -> &str {
        self.0.text()
    }
    fn __repr__(&self) -> String {
        let (entries, faults) = (self.0.entries().len(), self.0.faults().len());
        format!("<Log of {}: {entries} entries, {faults} lines not counted>", self.0.farm())
    }
    fn _repr_html_(&self) -> String {
        record::pre(self.0.text())
    }
}

#[pyfunction]
fn log_append(py: Python<'_>, path: PathBuf, farm: &str, cells: Cells) -> PyResult<String> {
    compute(py, "append", || core::append(path, farm, Entry::from_cells(&cells)?)).map(|entry| entry.id)
}

answer! {
    /// The survival of a block; made by `survival`. `print` it.
    PySurvey(Survey) = "dibble.record", "Survey";
    {
        /// Trees planted in the rows and plots.
        planted,
        /// Of them, living.
        living,
        /// Share that lives.
        rate,
        /// Low end of its interval.
        low,
        /// High end of its interval.
        high,
        /// Level of the interval.
        level,
        /// How many times the interval's variance is that of trees drawn one by one; None with one plot.
        design_effect,
        /// Between plots, a dict: `variance_ratio`, `chi_square`, `degrees_of_freedom`, `chance`, `clumped`; None with one plot.
        clumping,
        /// Along each row that was walked tree by tree, dicts as `runs` gives them.
        rows,
        /// Longest gap of any row, trees.
        longest_gap,
    }
    {}
}

answer! {
    /// A row walked tree by tree; made by `runs`. `print` it.
    PyRuns(Runs) = "dibble.record", "Runs";
    {
        /// Stretches of living and of missing trees.
        runs,
        /// As many would be expected by chance; None where all live or none.
        expected,
        /// Chance of so few or fewer; None where all live or none.
        chance,
        /// Lengths of the gaps, trees.
        gaps,
        /// Number of the first missing tree of each gap, from 1.
        gap_starts,
    }
    {}
}

answer! {
    /// Trees to order; made by `replant`. `print` it.
    PyReplant(Replant) = "dibble.record", "Replant";
    {
        /// Missing trees by the rate.
        missing,
        /// By the high end of the rate.
        missing_low,
        /// By the low end of the rate.
        missing_high,
        /// Trees to order, whole bundles.
        order,
        /// Bundles.
        bundles,
    }
    {}
}

answer! {
    /// Is a replant worth its cost; made by `replant_worth`. `print` it.
    PyWorth(Worth) = "dibble.record", "Worth";
    {
        /// Is it?
        pays,
        /// Does it reach its sale before the ground is cleared?
        in_time,
        /// What one replant brings today, after its cost.
        net,
        /// Share of replants that must live for it to pay; None where a tree brings nothing.
        break_even_survival,
        /// Age of the block until which a replant pays, years; None where it never does.
        until_age_years,
    }
    {}
}

#[pyfunction]
fn survival(py: Python<'_>, plots: Vec<(String, u32, u32, Option<String>)>, of_trees: Option<u32>, level: &Any<'_>) -> PyResult<PySurvey> {
    let plots = plots.into_iter().map(|(place, planted, living, row)| Plot { place, planted, living, row }).collect();
    let given = SurveyInput { plots, of_trees, level: number("level", level)? };
    compute(py, "survival", || core::survival(&given)).map(PySurvey)
}

#[pyfunction]
fn score_interval(py: Python<'_>, living: u32, planted: u32, level: &Any<'_>) -> PyResult<(f64, f64)> {
    let level = number("level", level)?;
    compute(py, "score_interval", || core::score_interval(living, planted, level))
}

#[pyfunction]
fn row_runs(py: Python<'_>, row: &str) -> PyResult<PyRuns> {
    compute(py, "runs", || core::runs(row)).map(PyRuns)
}

#[pyfunction]
fn walked_plot(py: Python<'_>, place: &str, row: &str) -> PyResult<(String, u32, u32, Option<String>)> {
    compute(py, "survival", || Plot::walked(place, row)).map(|p| (p.place, p.planted, p.living, p.row))
}

#[pyfunction]
fn stand_density(py: Python<'_>, counts: Vec<u32>, radius_m: &Any<'_>, level: &Any<'_>) -> PyResult<(f64, f64, f64)> {
    let (radius_m, level) = (number("radius_m", radius_m)?, number("level", level)?);
    compute(py, "stand_density", || core::stand_density(&counts, radius_m, level))
}

#[pyfunction]
fn fewest_plots(py: Python<'_>, area_m2: &Any<'_>) -> PyResult<u32> {
    let area_m2 = number("area_m2", area_m2)?;
    compute(py, "fewest_plots", || core::fewest_plots(area_m2))
}

#[pyfunction]
#[pyo3(signature = (survey, *, of_trees, loss, spares, bundle))]
fn replant(
    py: Python<'_>,
    survey: &Bound<'_, PySurvey>,
    of_trees: u32,
    loss: &Any<'_>,
    spares: &Any<'_>,
    bundle: u32,
) -> PyResult<PyReplant> {
    let given = ReplantInput { of_trees, loss: number("loss", loss)?, spares: number("spares", spares)?, bundle };
    let survey = survey.get();
    compute(py, "replant", || core::replant(&survey.0, &given)).map(PyReplant)
}

#[pyfunction]
#[pyo3(signature = (*, age_years, sale_years, cleared_years, price, cost, survival, interest))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn replant_worth(
    py: Python<'_>,
    age_years: &Any<'_>,
    sale_years: &Any<'_>,
    cleared_years: &Any<'_>,
    price: &Any<'_>,
    cost: &Any<'_>,
    survival: &Any<'_>,
    interest: &Any<'_>,
) -> PyResult<PyWorth> {
    let given = WorthInput {
        age_years: number("age_years", age_years)?,
        sale_years: number("sale_years", sale_years)?,
        cleared_years: number("cleared_years", cleared_years)?,
        price: number("price", price)?,
        cost: number("cost", cost)?,
        survival: number("survival", survival)?,
        interest: number("interest", interest)?,
    };
    compute(py, "replant_worth", || core::replant_worth(&given)).map(PyWorth)
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("PLOT_RADIUS_M", core::PLOT_RADIUS_M)?;
    module.add_class::<PyLog>()?;
    module.add_class::<PySurvey>()?;
    module.add_class::<PyRuns>()?;
    module.add_class::<PyReplant>()?;
    module.add_class::<PyWorth>()?;
    module.add_function(wrap_pyfunction!(log_append, module)?)?;
    module.add_function(wrap_pyfunction!(survival, module)?)?;
    module.add_function(wrap_pyfunction!(score_interval, module)?)?;
    module.add_function(wrap_pyfunction!(row_runs, module)?)?;
    module.add_function(wrap_pyfunction!(walked_plot, module)?)?;
    module.add_function(wrap_pyfunction!(stand_density, module)?)?;
    module.add_function(wrap_pyfunction!(fewest_plots, module)?)?;
    module.add_function(wrap_pyfunction!(replant, module)?)?;
    module.add_function(wrap_pyfunction!(replant_worth, module)?)
}
