//! Each tree's own ledger, and which trees lacked water when.

use super::column::PyColumn;
use crate::control::long;
use crate::gate::{self, day_or_none};
use crate::record::{self, record_class};
use crate::table;
use dibble::water::{self, TreeStress, UnevenWatering};
use numpy::PyArray1;
use pyo3::prelude::*;
use pyo3::types::{PyDate, PyDict};

type Any<'py> = Bound<'py, PyAny>;

/// Ledgers of trees; `dibble/water.py` says what the arguments mean.
#[pyfunction]
#[pyo3(signature = (column, depths_mm, *, to, progress))]
fn tree_ledgers(
    py: Python<'_>,
    column: &Any<'_>,
    depths_mm: Vec<(Bound<'_, PyAny>, Bound<'_, PyAny>)>,
    to: Option<&Any<'_>>,
    progress: Option<&Any<'_>>,
) -> PyResult<PyTreeStress> {
    let owned = gate::instance::<PyColumn>("column", column)?.get().0.clone();
    let watering = |(date, depths): &(Any<'_>, Any<'_>)| {
        Ok(UnevenWatering { date: gate::day("depths_mm", date)?, depths_mm: gate::column("depths_mm", depths)? })
    };
    let uneven: Vec<UnevenWatering> = depths_mm.iter().map(watering).collect::<PyResult<_>>()?;
    let to = day_or_none("to", to)?.unwrap_or(owned.weather.last());
    long(py, "trees", progress, move |control| water::trees(&owned.column(), &uneven, to, control)).map(PyTreeStress)
}

/// Which trees lacked water, day by day; made by `trees`.
///
/// Trees are counted from 0 in the order of the depths.
#[pyclass(name = "TreeStress", module = "dibble.water", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyTreeStress(TreeStress);

record_class!(PyTreeStress, "stress of trees", TreeStress::from_json, {
    /// Number of trees.
    #[getter]
    fn trees(&self) -> usize {
        self.0.trees
    }
    /// First day of the ledgers.
    #[getter]
    fn first<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.from)
    }
    /// Last day that is counted.
    #[getter]
    fn last<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.to)
    }
    /// The stressed trees of each day that had any: a dict of days to arrays of trees.
    #[getter]
    fn days<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let days = PyDict::new(py);
        for day in &self.0.days {
            days.set_item(table::date(py, day.date)?, whole(py, &day.trees))?;
        }
        Ok(days)
    }
    /// Days of stress of each tree, `[tree]`.
    #[getter]
    fn days_of_tree<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<i64>> {
        whole(py, &self.0.days_of_tree)
    }
    /// What each tree lacked of field capacity on the morning after the last day, mm, `[tree]`; the evening where that is
    /// the last of the weather.
    #[getter]
    fn depletion_mm<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyArray1<f64>>> {
        table::array(py, &self.0.depletion_mm)
    }
    /// Water given to each tree, mm, `[tree]`.
    #[getter]
    fn given_mm<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyArray1<f64>>> {
        table::array(py, &self.0.given_mm)
    }
    fn __repr__(&self) -> String {
        let ever = self.0.days_of_tree.iter().filter(|days| **days > 0).count();
        let days = self.0.days.len();
        format!("<TreeStress of {} trees, {} to {}: {ever} stressed, on {days} days>", self.0.trees, self.0.from, self.0.to)
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.__repr__())
    }
});

fn whole<'py>(py: Python<'py>, numbers: &[u32]) -> Bound<'py, PyArray1<i64>> {
    PyArray1::from_iter(py, numbers.iter().map(|n| i64::from(*n)))
}

/// Adds function and class to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyTreeStress>()?;
    module.add_function(wrap_pyfunction!(tree_ledgers, module)?)
}
