//! `Layout`.

use crate::gate::{compute, number, number_or_none};
use crate::{record, table};
use dibble::stand::{Layout, Rows};
use numpy::{IntoPyArray, PyArray1, PyArray2, PyArrayMethods};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyType};
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// A rectangular block of rows: how many trees, and where each stands.
///
/// Parameters
/// ----------
/// length_m, width_m : float
///     The block's outer size along and across the rows, m.
/// row_spacing_m, tree_spacing_m : float
///     Between rows, and between the trees of a row, m.
/// headland_m : float
///     Left free on every side, m.
/// lane_every : int
///     A lane after every so many rows; 0 for none.
/// lane_width_m : float
///     Additional width of a lane, m.
///
/// Raises
/// ------
/// OutOfRangeError, InconsistentError
///     A length out of range, headlands that leave no room, more than five million trees.
///
/// Examples
/// --------
/// >>> from dibble.stand import Layout
/// >>> block = Layout(length_m=34, width_m=34, row_spacing_m=1.5, tree_spacing_m=1.5, headland_m=2, lane_every=5, lane_width_m=3)
/// >>> block.row_count, block.trees_in_row, block.trees, round(block.trees_gross)
/// (15, 21, 315, 514)
/// >>> block.positions_m[-1].tolist()  # along, across
/// [32.0, 29.0]
#[pyclass(name = "Layout", module = "dibble.stand", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyLayout(pub Layout);

#[pymethods]
impl PyLayout {
    #[new]
    #[pyo3(signature = (*, length_m, width_m, row_spacing_m, tree_spacing_m, headland_m = None, lane_every = 0, lane_width_m = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        length_m: &Any<'_>,
        width_m: &Any<'_>,
        row_spacing_m: &Any<'_>,
        tree_spacing_m: &Any<'_>,
        headland_m: Option<&Any<'_>>,
        lane_every: usize,
        lane_width_m: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let rows = Rows {
            length_m: number("length_m", length_m)?,
            width_m: number("width_m", width_m)?,
            row_spacing_m: number("row_spacing_m", row_spacing_m)?,
            tree_spacing_m: number("tree_spacing_m", tree_spacing_m)?,
            headland_m: number_or_none("headland_m", headland_m)?.unwrap_or(0.0),
            lane_every,
            lane_width_m: number_or_none("lane_width_m", lane_width_m)?.unwrap_or(0.0),
        };
        Self::checked(py, rows)
    }

    /// Rows.
    #[getter]
    fn row_count(&self) -> usize {
        self.0.row_count()
    }
    /// Trees in each row.
    #[getter]
    fn trees_in_row(&self) -> usize {
        self.0.trees_in_row()
    }
    /// Trees of the block, net of lanes and headlands.
    #[getter]
    fn trees(&self) -> usize {
        self.0.trees()
    }
    /// Trees that the same ground would hold without lanes and headlands: area over spacing.
    #[getter]
    fn trees_gross(&self) -> f64 {
        self.0.trees_gross()
    }
    /// Net trees per hectare of the block's outer area.
    #[getter]
    fn trees_per_hectare(&self) -> f64 {
        self.0.trees_per_hectare()
    }
    /// Where each tree stands, m: an array of (along the rows, across them), row by row; read-only.
    #[getter]
    fn positions_m<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyArray2<f64>>> {
        let flat: Vec<f64> = self.0.positions().flat_map(|(_, _, place)| place).collect();
        let array = flat.into_pyarray(py).reshape([self.0.trees(), 2])?;
        array.getattr("flags")?.setattr("writeable", false)?;
        Ok(array)
    }
    /// The trees as a table with row, tree (both counted from 1), x_m and y_m; `into` is "pandas", "polars", "pyarrow" or "dict".
    fn to_table<'py>(&self, py: Python<'py>, into: &str) -> PyResult<Any<'py>> {
        let columns = PyDict::new(py);
        let count = |part: fn(&(usize, usize, [f64; 2])) -> usize| PyArray1::from_iter(py, self.0.positions().map(|p| part(&p) as i64));
        let place = |axis: fn([f64; 2]) -> f64| self.0.positions().map(|(_, _, place)| axis(place)).collect::<Vec<_>>();
        columns.set_item("row", count(|p| p.0))?;
        columns.set_item("tree", count(|p| p.1))?;
        columns.set_item("x_m", table::array(py, &place(|[x, _]| x))?)?;
        columns.set_item("y_m", table::array(py, &place(|[_, y]| y))?)?;
        table::build(columns, Some(into), None)
    }

    /// The layout as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "layout", self.0.rows())
    }
    /// A layout from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Self::checked(py, record::from_json(py, "layout", text)?)
    }
    /// The layout as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "layout", self.0.rows())
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        Self::checked(py, record::from_bytes(py, "layout", data)?)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "layout", self.0.rows())?,)))
    }
    fn __len__(&self) -> usize {
        self.0.trees()
    }
    fn __repr__(&self) -> String {
        format!("Layout({})", record::arguments(&json!(self.0.rows())))
    }
    fn _repr_html_(&self) -> String {
        record::html(
            "Layout",
            &[
                ("rows", self.0.row_count().to_string(), ""),
                ("trees in a row", self.0.trees_in_row().to_string(), ""),
                ("trees", self.0.trees().to_string(), ""),
                ("trees, net", format!("{:.0}", self.0.trees_per_hectare()), "per ha"),
            ],
        )
    }
}

impl PyLayout {
    fn checked(py: Python<'_>, rows: Rows) -> PyResult<Self> {
        compute(py, "Layout", || Layout::new(rows)).map(Self)
    }
}
