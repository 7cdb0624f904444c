//! `Estimate` and `BlockPlan`.

use crate::{record, table};
use dibble::farm::{BlockPlan, Estimate};
use pyo3::prelude::*;
use pyo3::types::PyDate;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// A number with its 10 to 90 % range.
#[pyclass(name = "Estimate", module = "dibble.farm", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyEstimate(Estimate);

#[pymethods]
impl PyEstimate {
    /// Most likely.
    #[getter]
    fn value(&self) -> f64 {
        self.0.value
    }
    /// Low end.
    #[getter]
    fn low(&self) -> f64 {
        self.0.low
    }
    /// High end.
    #[getter]
    fn high(&self) -> f64 {
        self.0.high
    }
    fn __float__(&self) -> f64 {
        self.0.value
    }
    fn __repr__(&self) -> String {
        let Estimate { value, low, high } = self.0;
        format!("<Estimate {value:.3}, {low:.3} to {high:.3}>")
    }
}

/// One block of the plan. Depths are of the trees' root discs unless named otherwise.
#[pyclass(name = "BlockPlan", module = "dibble.farm", frozen, eq)]
#[derive(PartialEq)]
pub struct PyBlockPlan(pub BlockPlan);

#[pymethods]
impl PyBlockPlan {
    /// Name of the block.
    #[getter]
    fn name(&self) -> &str {
        &self.0.name
    }
    /// Species.
    #[getter]
    fn species(&self) -> &str {
        &self.0.species
    }
    /// Day of planting.
    #[getter]
    fn planted<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.planted)
    }
    /// Living trees, if counted.
    #[getter]
    fn trees(&self) -> Option<u32> {
        self.0.trees
    }
    /// Ground of the block, m2: given, or trees times spacing.
    #[getter]
    fn area_m2(&self) -> Option<f64> {
        self.0.area_m2
    }
    /// Root depth, m.
    #[getter]
    fn root_depth_m(&self) -> PyEstimate {
        PyEstimate(self.0.root_depth_m)
    }
    /// Area of a tree's root disc, m2.
    #[getter]
    fn root_area_m2(&self) -> f64 {
        self.0.root_area_m2
    }
    /// Available water that the root zone holds, mm.
    #[getter]
    fn available_water_mm(&self) -> f64 {
        self.0.available_water_mm
    }
    /// Depletion this morning, mm.
    #[getter]
    fn depletion_mm(&self) -> PyEstimate {
        PyEstimate(self.0.depletion_mm)
    }
    /// Depletion this morning, share of the available water.
    #[getter]
    fn depletion(&self) -> PyEstimate {
        PyEstimate(self.0.depletion)
    }
    /// Depletion at which to water, share of the available water.
    #[getter]
    fn allowed_depletion(&self) -> f64 {
        self.0.allowed_depletion
    }
    /// How it stands: "water now", "soon", "enough" or "too wet".
    #[getter]
    fn standing(&self) -> &'static str {
        self.0.standing.words()
    }
    /// Days until the allowed depletion is reached; None beyond the horizon.
    #[getter]
    fn days_left(&self) -> Option<PyEstimate> {
        self.0.days_left.map(PyEstimate)
    }
    /// Unstressed use of the coming seven days, mm.
    #[getter]
    fn week_use_mm(&self) -> f64 {
        self.0.week_use_mm
    }
    /// Rain foreseen in the coming seven days, mm.
    #[getter]
    fn week_rain_mm(&self) -> f64 {
        self.0.week_rain_mm
    }
    /// The block's use in the coming seven days, trees, strip and alley by their ground, mm.
    #[getter]
    fn block_week_use_mm(&self) -> f64 {
        self.0.block_week_use_mm
    }
    /// Water to give into the root zone, mm; 0 where it is not worth starting.
    #[getter]
    fn net_mm(&self) -> f64 {
        self.0.net_mm
    }
    /// Water to pump, mm: low and high by the efficiency.
    #[getter]
    fn gross_mm(&self) -> (f64, f64) {
        self.0.gross_mm
    }
    /// Net water on a tree's root disc, L.
    #[getter]
    fn tree_l(&self) -> f64 {
        self.0.tree_l
    }
    /// Water to pump for the block, L: low and high; None without its area.
    #[getter]
    fn block_l(&self) -> Option<(f64, f64)> {
        self.0.block_l
    }
    /// Running time of a set, min: low and high.
    #[getter]
    fn run_min(&self) -> (f64, f64) {
        self.0.run_min
    }
    /// How it enters the ground, as a dict with its pulses; None where nothing is to be given.
    #[getter]
    fn intake<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "intake", &self.0.intake)
    }
    /// Sums since the start, as a dict.
    #[getter]
    fn so_far<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "so_far", &self.0.so_far)
    }
    /// What readings said, in sentences.
    #[getter]
    fn readings(&self) -> Vec<String> {
        self.0.readings.iter().map(ToString::to_string).collect()
    }
    /// What today's rain or watering would do, as a dict; None if not asked.
    #[getter]
    fn what_if<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "what_if", &self.0.what_if)
    }
    /// What was taken for granted about this block, each a dict.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "assumptions", &self.0.assumptions)
    }
    /// The block's feeding as a dict: the next one with its amounts, what a year needs, lime, cost; None where the farm says
    /// nothing about it.
    #[getter]
    fn feeding<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "feeding", &self.0.feeding)
    }
    /// Where to set the sprinkler and what each tree gets, as a dict; None in a plan without sets.
    #[getter]
    fn sets<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "sets", &self.0.sets)
    }
    /// Each tree's own ledger up to yesterday and where it stands, as a dict; None where no sets were logged.
    #[getter]
    fn trees_so_far<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "trees_so_far", &self.0.trees_so_far)
    }
    /// The block's plan as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "block plan", &json!(self.0))
    }
    fn __repr__(&self) -> String {
        let block = &self.0;
        format!(
            "<BlockPlan \"{}\": {}, {:.0} % used, {:.1} mm to give>",
            block.name,
            block.standing.words(),
            100.0 * block.depletion.value,
            block.net_mm
        )
    }
}
