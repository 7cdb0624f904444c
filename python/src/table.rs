//! Dataframes in and out, by way of `dibble/_table.py`; arrays for a notebook; calendar days.

use crate::error;
use dibble::{Date, Error};
use numpy::PyArray1;
use numpy::datetime::{Datetime, units::Days};
use pyo3::prelude::*;
use pyo3::types::{PyDate, PyDict};

/// A dataframe taken apart: `Parts` of `dibble/_table.py`.
#[derive(FromPyObject)]
pub struct Parts<'py> {
    pub dates: Vec<String>,
    pub hours: Vec<u32>,
    pub numbers: Bound<'py, PyDict>,
    pub forecast: Option<Vec<bool>>,
    pub unread: Vec<String>,
    pub kind: Option<String>,
}

/// Takes a dataframe, or a mapping of columns, apart.
pub fn parts<'py>(table: &Bound<'py, PyAny>, hourly: bool) -> PyResult<Parts<'py>> {
    table.py().import("dibble._table")?.getattr("columns")?.call1((table, hourly))?.extract()
}

/// All dates, or all that are wrong with them, each with its row.
pub fn dates(py: Python<'_>, texts: &[String]) -> PyResult<Vec<Date>> {
    let mut problems = Vec::new();
    let mut dates = Vec::with_capacity(texts.len());
    for (row, text) in texts.iter().enumerate() {
        match text.parse::<Date>() {
            Ok(date) => dates.push(date),
            Err(problem) => problems.push(problem.at(format!("row {}", row + 1))),
        }
    }
    Error::several(problems).map_or(Ok(dates), |problem| Err(error::raise(py, &problem)))
}

/// Puts columns into a dataframe of the kind asked for, else of the kind that came in.
pub fn build<'py>(columns: Bound<'py, PyDict>, into: Option<&str>, kind: Option<&str>) -> PyResult<Bound<'py, PyAny>> {
    columns.py().import("dibble._table")?.getattr("build")?.call1((columns, into, kind))
}

/// A read-only array of numbers.
pub fn array<'py>(py: Python<'py>, values: &[f64]) -> PyResult<Bound<'py, PyArray1<f64>>> {
    let array = PyArray1::from_slice(py, values);
    array.getattr("flags")?.setattr("writeable", false)?;
    Ok(array)
}

/// The days from `first` on, as NumPy has them.
pub fn days<'py>(py: Python<'py>, first: Date, count: usize) -> Bound<'py, PyArray1<Datetime<Days>>> {
    let first = i64::from(first.epoch_day());
    PyArray1::from_iter(py, (first..).take(count).map(Datetime::from))
}

/// A day as `datetime.date`.
pub fn date<'py>(py: Python<'py>, day: Date) -> PyResult<Bound<'py, PyDate>> {
    PyDate::new(py, day.year(), u8::try_from(day.month())?, u8::try_from(day.day())?)
}
