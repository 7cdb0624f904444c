//! Trees to water by hand.

use super::plan::pairs;
use crate::error;
use crate::gate::{choice, compute, count, for_each, formulas, number, number_or_none, position, positions};
use crate::record::{self, record_class};
use dibble::placement::by_hand::{self, BucketInput, BucketList, Crew, DryTree};
use dibble::{Error, units};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    liters_for(depth_mm, ring_m) = by_hand::liters_for(depth_mm, ring_m);
}

/// Tank and crew, as `dibble/placement/by_hand.py` has them.
#[derive(FromPyObject)]
struct Hands<'py> {
    volume_l: Any<'py>,
    fill_l_min: Any<'py>,
    hand_l_min: Any<'py>,
    people: Any<'py>,
    walk_m_s: Any<'py>,
}

#[pyfunction]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn bucket_list(
    py: Python<'_>,
    trees_xy_m: &Any<'_>,
    depth_mm: &Any<'_>,
    numbers: Option<Vec<(u32, u32)>>,
    water_xy_m: &Any<'_>,
    crew: Hands<'_>,
    ring_m: &Any<'_>,
    basin_mm: Option<&Any<'_>>,
) -> PyResult<PyBucketList> {
    let (_, places) = positions("trees_xy_m", trees_xy_m)?;
    let depths = for_each("depth_mm", depth_mm, places.len())?;
    let numbers = numbers.unwrap_or_else(|| (1..).take(places.len()).map(|tree| (0, tree)).collect());
    if numbers.len() != places.len() {
        let problem = format!("{} rows and trees are given for {} positions", numbers.len(), places.len());
        return Err(error::raise(py, &Error::inconsistent(problem, "Give a pair of row and tree for each position.")));
    }
    let each = places.iter().zip(depths).zip(numbers);
    let input = BucketInput {
        trees: each.map(|((&[x_m, y_m], depth_mm), (row, tree))| DryTree { row, tree, x_m, y_m, depth_mm }).collect(),
        water_xy_m: position("water_xy_m", water_xy_m)?,
        crew: Crew {
            volume_l: number("volume_l", &crew.volume_l)?,
            fill_l_min: number("fill_l_min", &crew.fill_l_min)?,
            hand_l_min: number("hand_l_min", &crew.hand_l_min)?,
            people: u32::try_from(count("people", &crew.people)?).unwrap_or(u32::MAX),
            walk_m_s: number("walk_m_s", &crew.walk_m_s)?,
        },
        ring_m: number("ring_m", ring_m)?,
        basin_mm: number_or_none("basin_mm", basin_mm)?,
    };
    compute(py, "bucket_list", || by_hand::bucket_list(&input)).map(PyBucketList)
}

/// Who gets how much by hand, in which order, and what it takes; made by `bucket_list`. `print` it.
#[pyclass(name = "BucketList", module = "dibble.placement", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyBucketList(pub BucketList);

record_class!(PyBucketList, "bucket list", BucketList::from_json, {
    /// Fillings of the tank in their order, each a dict with stops, liters and walk_m.
    #[getter]
    fn loads<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "loads", &self.0.loads)
    }
    /// Every stop in the order of the walk, each a dict with row, tree, x_m, y_m, liters, pour and of_pours.
    #[getter]
    fn stops<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "stops", &self.0.stops().collect::<Vec<_>>())
    }
    /// Positions of the stops in the order of the walk, `[n, 2]`, m.
    #[getter]
    fn points_xy_m<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        pairs(py, &self.0.points_xy_m())
    }
    /// Number of trees.
    #[getter]
    fn trees(&self) -> usize {
        self.0.trees
    }
    /// Width of the ring, m.
    #[getter]
    fn ring_m(&self) -> f64 {
        self.0.ring_m
    }
    /// All water, L.
    #[getter]
    fn liters(&self) -> f64 {
        self.0.liters
    }
    /// All walking, m.
    #[getter]
    fn walk_m(&self) -> f64 {
        self.0.walk_m
    }
    /// Filling, min.
    #[getter]
    fn fill_min(&self) -> f64 {
        self.0.fill_min
    }
    /// Walking, min.
    #[getter]
    fn walk_min(&self) -> f64 {
        self.0.walk_min
    }
    /// Pouring, everybody at once, min.
    #[getter]
    fn pour_min(&self) -> f64 {
        self.0.pour_min
    }
    /// People who pour.
    #[getter]
    fn people(&self) -> u32 {
        self.0.people
    }
    /// Filling, walking and pouring one after the other, h.
    #[getter]
    fn elapsed_h(&self) -> f64 {
        self.0.elapsed_h
    }
    /// The same times the people, h.
    #[getter]
    fn crew_h(&self) -> f64 {
        self.0.crew_h
    }
    /// What was taken for granted, each a dict with key, what, value, unit, source and weight.
    #[getter]
    fn assumptions<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "assumptions", &self.0.assumptions)
    }
    /// One line: trees, water, loads, time; `units` is "us" or "si".
    #[pyo3(signature = (*, units = "us"))]
    fn summary(&self, py: Python<'_>, units: &str) -> PyResult<String> {
        Ok(self.0.summary(choice::<units::System>(py, units)?))
    }
    /// The list in words; `units` is "us" or "si".
    #[pyo3(signature = (*, units = "us"))]
    fn text(&self, py: Python<'_>, units: &str) -> PyResult<String> {
        Ok(self.0.text(choice::<units::System>(py, units)?))
    }
    /// The stops as CSV, one a line.
    fn to_csv(&self) -> String {
        self.0.to_csv()
    }
    fn __str__(&self) -> String {
        self.0.text(units::System::default())
    }
    fn __repr__(&self) -> String {
        format!("<BucketList: {} trees, {:.0} L in {} loads>", self.0.trees, self.0.liters, self.0.loads.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.__str__())
    }
});

/// Adds the list to `_dibble`.
pub fn register_list(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(bucket_list, module)?)
}
