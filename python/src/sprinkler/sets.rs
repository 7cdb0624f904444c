//! Sets, and the depth that they leave at any points.

use super::PySprinkler;
use crate::explain::PyExplanation;
use crate::gate::{self, compute, for_each, instance, position, positions};
use dibble::geom::Arc;
use dibble::sprinkler::{self, Set};
use numpy::{IntoPyArray, PyArray1};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;
type Wetted<'py> = (Bound<'py, PyArray1<i64>>, Bound<'py, PyArray1<f64>>);

/// What is said of each set besides its place; `dibble/sprinkler/sets.py` says what the arguments mean.
#[derive(FromPyObject)]
pub struct Each<'py> {
    minutes: Option<Any<'py>>,
    arc_deg: Option<Any<'py>>,
    facing_deg: Option<Any<'py>>,
    flow_l_min: Option<Any<'py>>,
    radius_m: Option<Any<'py>>,
}

/// The sets of a call.
pub fn sets_of(places: &Any<'_>, each: &Each<'_>, sprinkler: &PySprinkler) -> PyResult<Vec<Set>> {
    let py = places.py();
    let (_, places) = positions("sets_xy_m", places)?;
    let column = |name: &str, given: &Option<Any<'_>>| given.as_ref().map(|value| for_each(name, value, places.len())).transpose();
    let (minutes, flow, radius) =
        (column("minutes", &each.minutes)?, column("flow_l_min", &each.flow_l_min)?, column("radius_m", &each.radius_m)?);
    let (widths, facings) = (column("arc_deg", &each.arc_deg)?, column("facing_deg", &each.facing_deg)?);
    let at = |column: &Option<Vec<f64>>, i: usize| column.as_ref().and_then(|values| values.get(i).copied());
    compute(py, "sets", || {
        let set = |(i, place): (usize, &[f64; 2])| {
            let own = sprinkler.0.arc();
            let (width, facing) = (at(&widths, i), at(&facings, i));
            let arc = width.or(facing).map(|_| Arc::new(facing.unwrap_or(own.facing_deg()), width.unwrap_or(own.arc_deg())));
            Ok(Set {
                arc: arc.transpose().map_err(|e| e.at(format!("sets[{i}]")))?,
                flow_l_min: at(&flow, i),
                radius_m: at(&radius, i),
                ..Set::new(*place, at(&minutes, i).unwrap_or(0.0))
            })
        };
        places.iter().enumerate().map(set).collect()
    })
}

#[pyfunction]
fn apply<'py>(
    py: Python<'py>,
    sprinkler: &Any<'py>,
    sets_xy_m: &Any<'py>,
    points_xy_m: &Any<'py>,
    each: Each<'py>,
    n_threads: Option<usize>,
) -> PyResult<Any<'py>> {
    let sprinkler = instance::<PySprinkler>("sprinkler", sprinkler)?.get();
    let sets = sets_of(sets_xy_m, &each, sprinkler)?;
    let (shape, points) = positions("points_xy_m", points_xy_m)?;
    let depths = compute(py, "apply", || sprinkler::apply(&sprinkler.0, &sets, &points, n_threads))?;
    gate::shaped(py, shape, depths)
}

#[pyfunction]
fn footprints<'py>(
    py: Python<'py>,
    sprinkler: &Any<'py>,
    sets_xy_m: &Any<'py>,
    points_xy_m: &Any<'py>,
    each: Each<'py>,
    n_threads: Option<usize>,
) -> PyResult<Vec<Wetted<'py>>> {
    let sprinkler = instance::<PySprinkler>("sprinkler", sprinkler)?.get();
    let sets = sets_of(sets_xy_m, &each, sprinkler)?;
    let (_, points) = positions("points_xy_m", points_xy_m)?;
    let found = compute(py, "footprints", || sprinkler::footprints(&sprinkler.0, &sets, &points, n_threads))?;
    let arrays = |f: sprinkler::Footprint| (PyArray1::from_iter(py, f.points.iter().map(|p| *p as i64)), f.mm_per_min.into_pyarray(py));
    Ok(found.into_iter().map(arrays).collect())
}

#[pyfunction]
fn explain_depth<'py>(
    py: Python<'py>,
    sprinkler: &Any<'py>,
    sets_xy_m: &Any<'py>,
    at_xy_m: &Any<'py>,
    each: Each<'py>,
) -> PyResult<PyExplanation> {
    let sprinkler = instance::<PySprinkler>("sprinkler", sprinkler)?.get();
    let sets = sets_of(sets_xy_m, &each, sprinkler)?;
    let at = position("at_xy_m", at_xy_m)?;
    compute(py, "explain_depth", || sprinkler::explain_depth(&sprinkler.0, &sets, at)).map(PyExplanation::from)
}

/// Adds the functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(apply, module)?)?;
    module.add_function(wrap_pyfunction!(footprints, module)?)?;
    module.add_function(wrap_pyfunction!(explain_depth, module)?)
}
