//! Where the water of sets ends up.

use super::PySprinkler;
use super::sets::{Each, sets_of};
use crate::gate::{compute, instance, instances};
use crate::geom::PyPolygon;
use crate::record;
use dibble::geom::Polygon;
use dibble::sprinkler;
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

/// Liters of each set within the polygon.
#[pyfunction]
fn water_within_l(py: Python<'_>, sprinkler: &Any<'_>, sets_xy_m: &Any<'_>, polygon: &Any<'_>, each: Each<'_>) -> PyResult<Vec<f64>> {
    let (sprinkler, polygon) =
        (instance::<PySprinkler>("sprinkler", sprinkler)?.get(), &instance::<PyPolygon>("polygon", polygon)?.get().0);
    let sets = sets_of(sets_xy_m, &each, sprinkler)?;
    compute(py, "water_within_l", || {
        let within = |(i, set)| sprinkler::water_within_l(&sprinkler.0, set, polygon).map_err(|e| e.at(format!("sets[{i}]")));
        sets.iter().enumerate().map(within).collect()
    })
}

#[pyfunction]
fn destination<'py>(
    py: Python<'py>,
    sprinkler: &Any<'py>,
    sets_xy_m: &Any<'py>,
    block: &Any<'py>,
    keep_out: &Any<'py>,
    each: Each<'py>,
) -> PyResult<Any<'py>> {
    let (sprinkler, block) = (instance::<PySprinkler>("sprinkler", sprinkler)?.get(), &instance::<PyPolygon>("block", block)?.get().0);
    let sets = sets_of(sets_xy_m, &each, sprinkler)?;
    let keep_out: Vec<Polygon> = instances::<PyPolygon>("keep_out", keep_out)?.iter().map(|area| area.get().0.clone()).collect();
    let went = compute(py, "destination", || sprinkler::destination(&sprinkler.0, &sets, block, &keep_out))?;
    record::to_dict(py, "destination", &went)
}

#[pyfunction]
fn overlap_share(py: Python<'_>, sprinkler: &Any<'_>, sets_xy_m: &Any<'_>, each: Each<'_>) -> PyResult<f64> {
    let sprinkler = instance::<PySprinkler>("sprinkler", sprinkler)?.get();
    let sets = sets_of(sets_xy_m, &each, sprinkler)?;
    compute(py, "overlap_share", || sprinkler::overlap_share(&sprinkler.0, &sets))
}

/// Adds the functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(water_within_l, module)?)?;
    module.add_function(wrap_pyfunction!(destination, module)?)?;
    module.add_function(wrap_pyfunction!(overlap_share, module)?)
}
