//! `Stand`.

use crate::gate::{self, compute, number, number_or_none};
use crate::{record, table};
use dibble::stand::{Stand, StandInput};
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyType};
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// The trees of a block: species, planting and spacing. What was not measured is estimated from species group, stock
/// and age, and listed by `assumptions`.
///
/// Parameters
/// ----------
/// species : str
///     English or Latin name; `species()` lists them.
/// planted : datetime.date or str
///     Day of planting; where only the year is known, May 1st (November 1st south of the equator).
/// row_spacing_m, tree_spacing_m : float
///     Between rows, and between the trees of a row, m.
/// stock : str, optional
///     Nursery code such as "2-2" or "plug+1".
/// strip_width_m : float, optional
///     Width of the weed-free strip along each row, m; 1.2 where the rows leave room for it.
/// alley : {"grass", "clover", "bare"}
///     What grows between the strips.
/// mulch_cover, weed_cover : float
///     Share of the strip under organic mulch, and of the ground beside the crown under weeds, 0 to 1.
/// height_m, crown_width_m, root_depth_m : float, optional
///     As measured; held for the run.
/// allowed_depletion : float, optional
///     Share of the available water that may be used before watering; 0.35 in the first two growing seasons and 0.50
///     afterwards if not given.
///
/// Raises
/// ------
/// UnknownNameError, OutOfRangeError, UnreadableError, InconsistentError, SeveralError
///     Every problem at once.
///
/// Examples
/// --------
/// >>> from dibble.stand import Stand
/// >>> stand = Stand(species="Fraser fir", planted="2024-05-01", row_spacing_m=1.8, tree_spacing_m=1.8, stock="2-2")
/// >>> stand.root_depth_m("2024-05-01"), round(stand.root_depth_m("2026-07-15"), 2)
/// (0.15, 0.39)
/// >>> stand.allowed_depletion("2024-07-15"), stand.allowed_depletion("2026-07-15")
/// (0.35, 0.5)
#[pyclass(name = "Stand", module = "dibble.stand", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyStand(pub Stand);

#[pymethods]
impl PyStand {
    #[new]
    #[pyo3(signature = (*, species, planted, row_spacing_m, tree_spacing_m, stock = None, strip_width_m = None, alley = "grass", mulch_cover = None, weed_cover = None, height_m = None, crown_width_m = None, root_depth_m = None, allowed_depletion = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        species: &str,
        planted: &Any<'_>,
        row_spacing_m: &Any<'_>,
        tree_spacing_m: &Any<'_>,
        stock: Option<String>,
        strip_width_m: Option<&Any<'_>>,
        alley: &str,
        mulch_cover: Option<&Any<'_>>,
        weed_cover: Option<&Any<'_>>,
        height_m: Option<&Any<'_>>,
        crown_width_m: Option<&Any<'_>>,
        root_depth_m: Option<&Any<'_>>,
        allowed_depletion: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let usual = StandInput::new(
            species,
            gate::day("planted", planted)?,
            number("row_spacing_m", row_spacing_m)?,
            number("tree_spacing_m", tree_spacing_m)?,
        );
        let input = StandInput {
            stock,
            strip_width_m: number_or_none("strip_width_m", strip_width_m)?.unwrap_or(usual.strip_width_m),
            alley: gate::choice(py, alley)?,
            mulch_cover: number_or_none("mulch_cover", mulch_cover)?.unwrap_or(usual.mulch_cover),
            weed_cover: number_or_none("weed_cover", weed_cover)?.unwrap_or(usual.weed_cover),
            height_m: number_or_none("height_m", height_m)?,
            crown_width_m: number_or_none("crown_width_m", crown_width_m)?,
            root_depth_m: number_or_none("root_depth_m", root_depth_m)?,
            allowed_depletion: number_or_none("allowed_depletion", allowed_depletion)?,
            ..usual
        };
        Self::checked(py, input)
    }

    /// English name of the species.
    #[getter]
    fn species(&self) -> &'static str {
        self.0.species().name()
    }
    /// Group of species that are reckoned alike.
    #[getter]
    fn group(&self) -> &'static str {
        &self.0.species().group().name
    }
    /// How the group bears waterlogged soil, in words.
    #[getter]
    fn wet_feet(&self) -> &'static str {
        &self.0.species().group().wet_feet
    }
    /// Day of planting.
    #[getter]
    fn planted<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.input().planted)
    }
    /// Ground that belongs to one tree, m2.
    #[getter]
    fn tree_area_m2(&self) -> f64 {
        self.0.tree_area_m2()
    }
    /// Trees per hectare of planted ground, lanes not taken off.
    #[getter]
    fn trees_per_hectare(&self, py: Python<'_>) -> PyResult<f64> {
        compute(py, "trees_per_hectare", || self.0.trees_per_hectare())
    }

    /// Growing seasons since planting, parts of a season counted. `south` is for the southern hemisphere, here as below.
    #[pyo3(signature = (date, *, south = false))]
    fn seasons(&self, date: &Any<'_>, south: bool) -> PyResult<f64> {
        Ok(self.0.seasons(gate::day("date", date)?, south))
    }
    /// Height, m: measured, or estimated from group, stock and age.
    #[pyo3(signature = (date, *, south = false))]
    fn height_m(&self, date: &Any<'_>, south: bool) -> PyResult<f64> {
        Ok(self.0.height_m(gate::day("date", date)?, south))
    }
    /// Radius of the crown, m: half the measured width, or a share of the height.
    #[pyo3(signature = (date, *, south = false))]
    fn crown_radius_m(&self, date: &Any<'_>, south: bool) -> PyResult<f64> {
        Ok(self.0.crown_radius_m(gate::day("date", date)?, south))
    }
    /// Root depth, m: measured, or the planted 0.15 m, deepening in growing seasons.
    #[pyo3(signature = (date, *, south = false))]
    fn root_depth_m(&self, date: &Any<'_>, south: bool) -> PyResult<f64> {
        Ok(self.0.root_depth_m(gate::day("date", date)?, south))
    }
    /// Radius of the root disc, m: the larger of the planted roots' and the crown's, within half the strip.
    #[pyo3(signature = (date, *, south = false))]
    fn root_radius_m(&self, date: &Any<'_>, south: bool) -> PyResult<f64> {
        Ok(self.0.root_radius_m(gate::day("date", date)?, south))
    }
    /// Area of the root disc, m2: 1 mm on it is so many liters a tree.
    #[pyo3(signature = (date, *, south = false))]
    fn root_area_m2(&self, date: &Any<'_>, south: bool) -> PyResult<f64> {
        Ok(self.0.root_area_m2(gate::day("date", date)?, south))
    }
    /// Share of the available water that may be used before watering.
    #[pyo3(signature = (date, *, south = false))]
    fn allowed_depletion(&self, date: &Any<'_>, south: bool) -> PyResult<f64> {
        Ok(self.0.allowed_depletion(gate::day("date", date)?, south))
    }
    /// What is estimated on a day, each a dict with key, what, value, unit, source and weight.
    #[pyo3(signature = (date, *, south = false))]
    fn assumptions<'py>(&self, date: &Any<'py>, south: bool) -> PyResult<Any<'py>> {
        let day = gate::day("date", date)?;
        record::to_dict(date.py(), "assumptions", &self.0.assumptions(day, south))
    }

    /// The stand as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "stand", self.0.input())
    }
    /// A stand from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Self::checked(py, record::from_json(py, "stand", text)?)
    }
    /// The stand as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "stand", self.0.input())
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        Self::checked(py, record::from_bytes(py, "stand", data)?)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "stand", self.0.input())?,)))
    }
    fn __repr__(&self) -> String {
        format!("Stand({})", record::arguments(&json!(self.0.input())))
    }
    fn _repr_html_(&self) -> String {
        let input = self.0.input();
        let meters = |value: f64| format!("{value:.2}");
        record::html(
            &format!("Stand of {} ({})", self.0.species(), self.0.species().latin()),
            &[
                ("planted", input.planted.to_string(), ""),
                ("between rows", meters(input.row_spacing_m), "m"),
                ("between trees", meters(input.tree_spacing_m), "m"),
                ("strip", meters(input.strip_width_m), "m"),
                ("alley", input.alley.to_string(), ""),
            ],
        )
    }
}

impl PyStand {
    fn checked(py: Python<'_>, input: StandInput) -> PyResult<Self> {
        compute(py, "Stand", || Stand::new(input)).map(Self)
    }
}
