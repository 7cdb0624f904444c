//! `Season`.

use super::reading::outcomes;
use crate::explain::PyExplanation;
use crate::gate::{self, compute};
use crate::{error, record, table};
use dibble::Error;
use dibble::water::Season;
use numpy::datetime::{Datetime, units::Days};
use numpy::ndarray::Array2;
use numpy::{IntoPyArray, PyArray1, PyArray2, PyArrayMethods};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyDict, PyList, PyType};
use serde_json::{Map, Value, json};
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;

/// Many columns through the same days: daily numbers, sums, readings and assumptions. Made by `run_season` and `run`.
///
/// `daily` and `totals` map names to read-only arrays: `season.daily["depletion_mm"][day, column]`,
/// `season.totals["rain_mm"][column]`. `series` and `total` give those of one column. Daily numbers are views of the
/// season's own memory: none is copied.
#[pyclass(name = "Season", module = "dibble.water", frozen)]
pub struct PySeason {
    /// Everything but the daily numbers.
    season: Arc<Season>,
    /// The daily numbers, moved into NumPy, in the order of the season's kept series.
    daily: Vec<Py<PyArray2<f64>>>,
    /// The kind of dataframe that the weather came in.
    kind: Option<String>,
}

impl PySeason {
    pub fn new(py: Python<'_>, mut season: Season, kind: Option<String>) -> PyResult<Self> {
        let freeze = |values: Array2<f64>| -> PyResult<_> {
            let array = values.into_pyarray(py);
            array.getattr("flags")?.setattr("writeable", false)?;
            Ok(array.unbind())
        };
        let daily = season.take_daily().into_iter().map(freeze).collect::<PyResult<_>>()?;
        Ok(Self { season: Arc::new(season), daily, kind })
    }

    /// The season with a copy of its daily numbers.
    fn whole(&self, py: Python<'_>) -> PyResult<Season> {
        let daily = self.daily.iter().map(|array| array.bind(py).readonly().as_array().to_owned()).collect();
        compute(py, "Season", || (*self.season).clone().with_daily(daily))
    }

    /// The place of a column, given by its name or place; the first if not given.
    fn place(&self, py: Python<'_>, column: Option<&Any<'_>>) -> PyResult<usize> {
        let Some(column) = column else { return Ok(0) };
        if let Ok(name) = column.extract::<String>() {
            return compute(py, "Season", || self.season.find(&name));
        }
        let place: i64 = column.extract()?;
        let count = self.season.columns().len();
        usize::try_from(place).ok().filter(|&at| at < count).ok_or_else(|| {
            let hint = "Give the place of a column, counted from 0, or its name.";
            error::raise(py, &Error::inconsistent(format!("column {place} is not within the season, which has {count}"), hint))
        })
    }

    fn array<'py>(&self, py: Python<'py>, name: &str) -> PyResult<&Bound<'py, PyArray2<f64>>> {
        let names: Vec<&str> = self.season.kept().iter().map(|series| series.name()).collect();
        let found = names.iter().position(|known| *known == name).and_then(|at| self.daily.get(at));
        found.map(|array| array.bind(py)).ok_or_else(|| error::raise(py, &Error::unknown("series", name, &names)))
    }
}

#[pymethods]
impl PySeason {
    /// Which ledger: "layered", "fao56" or "fao56 drain first".
    #[getter]
    fn form(&self) -> &'static str {
        self.season.form().name()
    }
    /// The first day.
    #[getter]
    fn first<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.season.first())
    }
    /// The last day.
    #[getter]
    fn last<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.season.date(self.season.days().saturating_sub(1)))
    }
    /// The days.
    #[getter]
    fn dates<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<Datetime<Days>>> {
        table::days(py, self.season.first(), self.season.days())
    }
    /// Names of the columns.
    #[getter]
    fn columns(&self) -> Vec<String> {
        self.season.columns().to_vec()
    }
    /// The daily numbers that were kept: a mapping of names to arrays `[day, column]`.
    #[getter]
    fn daily<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        let mapping = PyDict::new(py);
        for (series, array) in self.season.kept().iter().zip(&self.daily) {
            mapping.set_item(series.name(), array)?;
        }
        read_only(mapping)
    }
    /// A daily number of one column, day by day: the column by its name or place, the first if not given.
    #[pyo3(signature = (name, column = None))]
    fn series<'py>(&self, py: Python<'py>, name: &str, column: Option<&Any<'py>>) -> PyResult<Any<'py>> {
        let at = self.place(py, column)?;
        self.array(py, name)?.get_item((pyo3::types::PySlice::full(py), at))
    }
    /// Sums and counts over the season: a mapping of names to arrays `[column]`.
    #[getter]
    fn totals<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        let rows: Vec<Map<String, Value>> = self.season.totals().iter().filter_map(|sums| json!(sums).as_object().cloned()).collect();
        let mapping = PyDict::new(py);
        for name in rows.first().into_iter().flat_map(Map::keys) {
            let values: Vec<&Value> = rows.iter().filter_map(|row| row.get(name)).collect();
            let array = if values.iter().all(|value| value.is_u64()) {
                PyArray1::from_iter(py, values.iter().filter_map(|value| value.as_i64())).into_any()
            } else {
                PyArray1::from_iter(py, values.iter().map(|value| value.as_f64().unwrap_or(f64::NAN))).into_any()
            };
            array.getattr("flags")?.setattr("writeable", false)?;
            mapping.set_item(name, array)?;
        }
        read_only(mapping)
    }
    /// A sum or count of one column: the column by its name or place, the first if not given.
    #[pyo3(signature = (name, column = None))]
    fn total(&self, py: Python<'_>, name: &str, column: Option<&Any<'_>>) -> PyResult<f64> {
        let sums = json!(self.season.totals().get(self.place(py, column)?));
        let names: Vec<&String> = sums.as_object().into_iter().flat_map(Map::keys).collect();
        let unknown = || error::raise(py, &Error::unknown("total", name, &names));
        sums.get(name).and_then(Value::as_f64).ok_or_else(unknown)
    }
    /// What became of the readings, each a dict with its verdict and a sentence.
    #[getter]
    fn readings<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "readings", &outcomes(&self.season))
    }
    /// What was taken for granted, each a dict with key, what, value, unit, source and weight.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "assumptions", &self.season.assumptions())
    }
    /// The water balance of a day step by step; `print` it. Needs all series (`record="all"`).
    #[pyo3(signature = (date, column = None))]
    fn explain(&self, date: &Any<'_>, column: Option<&Any<'_>>) -> PyResult<PyExplanation> {
        let py = date.py();
        let (day, at, season) = (gate::day("date", date)?, self.place(py, column)?, self.whole(py)?);
        compute(py, "Season.explain", || season.explain(day, at)).map(PyExplanation::from)
    }

    /// The daily numbers as a table: in the kind of dataframe that the weather came in, else `into` "pandas", "polars",
    /// "pyarrow" or "dict". With several columns there is a row for each day and column.
    #[pyo3(signature = (into = None))]
    fn to_table<'py>(&self, py: Python<'py>, into: Option<&str>) -> PyResult<Any<'py>> {
        let names = self.season.columns();
        let first = i64::from(self.season.first().epoch_day());
        let days = (first..).take(self.season.days()).flat_map(|day| std::iter::repeat_n(Datetime::<Days>::from(day), names.len()));
        let parts = PyDict::new(py);
        parts.set_item("date", PyArray1::from_iter(py, days))?;
        if names.len() > 1 {
            let each = (0..self.season.days()).flat_map(|_| names.iter());
            parts.set_item("column", PyList::new(py, each.collect::<Vec<_>>())?)?;
        }
        for (series, array) in self.season.kept().iter().zip(&self.daily) {
            parts.set_item(series.name(), array.bind(py).call_method1("reshape", (-1,))?)?;
        }
        table::build(parts, into, self.kind.as_deref())
    }

    /// Draw one column: rain and water given above, the depletion against its limit and the days of stress below.
    ///
    /// Needs matplotlib (`pip install dibble[plot]`). `column` is a name or place, the first if not given;
    /// `allowed_depletion`, 0 to 1, draws the limit; `units` is "si" or "us". Returns a matplotlib `Figure`.
    #[pyo3(signature = (column = None, *, allowed_depletion = None, units = "si"))]
    fn plot<'py>(slf: &Bound<'py, Self>, column: Option<Any<'py>>, allowed_depletion: Option<f64>, units: &str) -> PyResult<Any<'py>> {
        let how = PyDict::new(slf.py());
        how.set_item("allowed_depletion", allowed_depletion)?;
        how.set_item("units", units)?;
        slf.py().import("dibble._plot")?.call_method("season", (slf, column), Some(&how))
    }

    /// The season as JSON, every number exactly.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "season", &self.whole(py)?)
    }
    /// A season from `to_json`, the same bit for bit.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Self::new(py, record::from_json(py, "season", text)?, None)
    }
    /// The season as plain dicts and lists.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "season", &self.whole(py)?)
    }
    #[staticmethod]
    #[pyo3(signature = (data, kind = None))]
    fn _from_bytes(py: Python<'_>, data: &[u8], kind: Option<String>) -> PyResult<Self> {
        Self::new(py, record::from_bytes(py, "season", data)?, kind)
    }
    #[allow(clippy::type_complexity)] // the shape that pickle asks for
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>, Option<String>))> {
        let bytes = record::to_bytes(py, "season", &self.whole(py)?)?;
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (bytes, self.kind.clone())))
    }
    fn __eq__(&self, py: Python<'_>, other: &Any<'_>) -> bool {
        other.cast::<Self>().is_ok_and(|other| {
            let (mine, other) = (&self.daily, other.get());
            let same =
                |(a, b): (&Py<PyArray2<f64>>, &Py<PyArray2<f64>>)| a.bind(py).readonly().as_array() == b.bind(py).readonly().as_array();
            self.season == other.season && mine.len() == other.daily.len() && mine.iter().zip(&other.daily).all(same)
        })
    }
    fn __len__(&self) -> usize {
        self.season.days()
    }
    fn __repr__(&self) -> String {
        const SHOWN: usize = 4;
        let names = self.season.columns();
        let mut columns = names.iter().take(SHOWN).cloned().collect::<Vec<_>>().join(", ");
        if names.len() > SHOWN {
            columns += &format!(" and {} more", names.len() - SHOWN);
        }
        let last = self.season.date(self.season.days().saturating_sub(1));
        format!("<Season of {} days, {} to {last}, {}: {columns}>", self.season.days(), self.season.first(), self.season.form())
    }
    fn _repr_html_(&self) -> String {
        let Some(sums) = self.season.totals().first() else { return String::new() };
        let mm = |value: f64| format!("{value:.1}");
        let caption = self.__repr__();
        let rows = [
            ("rain", mm(sums.rain_mm), "mm"),
            ("water given", mm(sums.irrigation_mm), "mm"),
            ("run off", mm(sums.runoff_mm + sums.irrigation_runoff_mm), "mm"),
            ("evaporation", mm(sums.evaporation_mm), "mm"),
            ("transpiration", mm(sums.transpiration_mm), "mm"),
            ("drained below the roots", mm(sums.drainage_mm), "mm"),
            ("depletion at the end", format!("{:.1} of {:.1}", sums.depletion_mm, sums.available_water_mm), "mm"),
            ("stress", sums.stress_days.to_string(), "days"),
            ("roots without air", sums.airless_days.to_string(), "days"),
        ];
        record::html(caption.trim_matches(['<', '>']), &rows)
    }
}

/// A dict that cannot be written to.
fn read_only(mapping: Bound<'_, PyDict>) -> PyResult<Any<'_>> {
    mapping.py().import("types")?.getattr("MappingProxyType")?.call1((mapping,))
}
