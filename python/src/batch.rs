//! Many soil tests: rows in as text, answers out as columns; `dibble/batch.py` takes tables apart and puts them together.

use crate::{error, gate::compute, record};
use dibble::Error;
use dibble::batch::{Batch, BatchOptions, BatchSummary, CsvRows, FIELDS, Field, FieldKind, RowResult, write_heading, write_rows};
use numpy::PyArray1;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};
use std::fs::File;
use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};

enum Source {
    Table(Box<Batch>),
    File(Box<CsvRows<File>>),
}

impl Source {
    fn batch(&self) -> &Batch {
        match self {
            Source::Table(batch) => batch,
            Source::File(rows) => rows.batch(),
        }
    }

    /// The next answered rows of a file.
    fn next(&mut self) -> dibble::Result<Option<Vec<RowResult>>> {
        match self {
            Source::Table(_) => Err(Error::inconsistent("a table has no chunks to read", "Feed it.")),
            Source::File(rows) => rows.next().transpose(),
        }
    }
}

/// Soil tests on their way through a batch: of a table that is fed, or of a CSV file that is read.
#[pyclass(module = "dibble._dibble", frozen)]
struct SoilBatch {
    source: Mutex<Source>,
}

impl SoilBatch {
    fn source(&self) -> MutexGuard<'_, Source> {
        self.source.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[pymethods]
impl SoilBatch {
    /// A batch over the rows of a table under this heading; the heading counts as line 1.
    #[staticmethod]
    fn of_table(py: Python<'_>, heading: Vec<String>, options: &str) -> PyResult<Self> {
        let batch = compute(py, "SoilBatch", || Batch::new(&heading, 1, BatchOptions::parse(options, "the options")?))?;
        Ok(Self { source: Mutex::new(Source::Table(Box::new(batch))) })
    }

    /// A batch over the rows of a CSV file.
    #[staticmethod]
    fn of_file(py: Python<'_>, path: PathBuf, options: &str) -> PyResult<Self> {
        let rows = compute(py, "SoilBatch", || CsvRows::open(&path, BatchOptions::parse(options, "the options")?))?;
        Ok(Self { source: Mutex::new(Source::File(Box::new(rows))) })
    }

    /// The answers to the next rows, given column by column.
    fn feed<'py>(&self, py: Python<'py>, columns: Vec<Vec<String>>) -> PyResult<Bound<'py, PyDict>> {
        let rows: Vec<Vec<&str>> = (0..columns.first().map_or(0, Vec::len))
            .map(|row| columns.iter().map(|c| c.get(row).map_or("", String::as_str)).collect())
            .collect();
        let answers = compute(py, "SoilBatch.feed", || match &mut *self.source() {
            Source::Table(batch) => batch.feed(&rows),
            Source::File(_) => Err(Error::inconsistent("a file cannot be fed", "Read its chunks.")),
        })?;
        table(py, &answers)
    }

    /// The answers to the next rows of the file; None behind the last.
    fn chunk<'py>(&self, py: Python<'py>) -> PyResult<Option<Bound<'py, PyDict>>> {
        let answers = compute(py, "SoilBatch.chunk", || self.source().next())?;
        answers.map(|rows| table(py, &rows)).transpose()
    }

    /// The same as CSV text.
    fn chunk_csv(&self, py: Python<'_>) -> PyResult<Option<String>> {
        compute(py, "SoilBatch.chunk_csv", || {
            let Some(rows) = self.source().next()? else { return Ok(None) };
            let mut out = Vec::new();
            write_rows(&mut out, &rows)?;
            Ok(Some(String::from_utf8_lossy(&out).into_owned()))
        })
    }

    /// What the batch amounts to so far, as JSON.
    fn summary(&self, py: Python<'_>) -> PyResult<String> {
        let summary = compute(py, "SoilBatch.summary", || Ok(self.source().batch().summary()))?;
        record::to_json(py, "summary", &summary)
    }

    /// The decisions so far, as JSON.
    fn log(&self, py: Python<'_>) -> PyResult<String> {
        let log = compute(py, "SoilBatch.log", || Ok(self.source().batch().log()))?;
        record::to_json(py, "log", &log)
    }

    /// Each grower's letter.
    fn letters(&self, py: Python<'_>) -> PyResult<Vec<(String, String)>> {
        compute(py, "SoilBatch.letters", || {
            Ok(self.source().batch().letters().into_iter().map(|(name, page)| (name, page.to_string())).collect())
        })
    }
}

/// Answers as columns: lists of text with None, arrays of numbers with NaN.
fn table<'py>(py: Python<'py>, rows: &[RowResult]) -> PyResult<Bound<'py, PyDict>> {
    let mut columns: Vec<Vec<Field>> = FIELDS.iter().map(|_| Vec::with_capacity(rows.len())).collect();
    for row in rows {
        columns.iter_mut().zip(row.fields()).for_each(|(column, field)| column.push(field));
    }
    let out = PyDict::new(py);
    for ((name, kind), cells) in FIELDS.iter().zip(columns) {
        match kind {
            FieldKind::Number => {
                let numbers = cells.into_iter().map(|c| if let Field::Number(v) = c { v } else { f64::NAN });
                out.set_item(name, PyArray1::from_vec(py, numbers.collect()))?;
            }
            FieldKind::Text => {
                let texts = cells.into_iter().map(|c| if let Field::Text(t) = c { Some(t) } else { None });
                out.set_item(name, PyList::new(py, texts.collect::<Vec<_>>())?)?;
            }
        }
    }
    Ok(out)
}

/// Name of each column of the answer, and whether it holds numbers.
#[pyfunction]
fn soil_batch_fields() -> Vec<(&'static str, bool)> {
    FIELDS.iter().map(|(name, kind)| (*name, *kind == FieldKind::Number)).collect()
}

/// The heading of the answer as CSV.
#[pyfunction]
fn soil_batch_heading(py: Python<'_>) -> PyResult<String> {
    compute(py, "soil_batch_heading", || {
        let mut out = Vec::new();
        write_heading(&mut out)?;
        Ok(String::from_utf8_lossy(&out).into_owned())
    })
}

/// Mean of a nutrient over a summary, ppm; refused over mixed methods.
#[pyfunction]
fn soil_batch_mean(py: Python<'_>, summary: &str, nutrient: &str) -> PyResult<f64> {
    let summary: BatchSummary = record::from_json(py, "summary", summary)?;
    nutrient.parse().and_then(|n| summary.mean_ppm(n)).map_err(|e| error::raise(py, &e))
}

/// Adds the batch to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<SoilBatch>()?;
    module.add_function(wrap_pyfunction!(soil_batch_fields, module)?)?;
    module.add_function(wrap_pyfunction!(soil_batch_heading, module)?)?;
    module.add_function(wrap_pyfunction!(soil_batch_mean, module)?)
}
