//! How even depths are, at given places and on endless lattices.

use super::PySprinkler;
use crate::error;
use crate::gate::{Word, choice, column, compute, count, formulas, instance, number};
use crate::record;
use dibble::Error;
use dibble::sprinkler::{self, Lattice, Layout};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

formulas! {
    adequacy_depth(cu_pct, share) = sprinkler::adequacy_depth(cu_pct, share);
    du_from_cu(cu_pct) = sprinkler::du_from_cu(cu_pct);
}

#[pyfunction]
fn uniformity<'py>(py: Python<'py>, depths_mm: &Any<'py>) -> PyResult<Any<'py>> {
    let depths = column("depths_mm", depths_mm)?;
    let even = compute(py, "uniformity", || sprinkler::uniformity(&depths))?;
    record::to_dict(py, "uniformity", &even)
}

#[pyfunction]
fn adequacy_share(py: Python<'_>, depths_mm: &Any<'_>, needed_mm: &Any<'_>) -> PyResult<f64> {
    let (depths, needed) = (column("depths_mm", depths_mm)?, number("needed_mm", needed_mm)?);
    compute(py, "adequacy_share", || sprinkler::adequacy_share(&depths, needed))
}

#[pyfunction]
fn lattice_uniformity<'py>(
    py: Python<'py>,
    sprinkler: &Any<'py>,
    spacing_m: &Any<'py>,
    lattice: Word,
    per_side: Option<&Any<'py>>,
) -> PyResult<Any<'py>> {
    let lattice = lattice_of(&lattice, spacing_m)?;
    let sprinkler = instance::<PySprinkler>("sprinkler", sprinkler)?.get();
    let per_side = per_side.map(|n| count("per_side", n)).transpose()?.map(|n| usize::try_from(n).unwrap_or(usize::MAX));
    let even = compute(py, "lattice_uniformity", || sprinkler::lattice_uniformity(&sprinkler.0, lattice, per_side))?;
    record::to_dict(py, "uniformity", &even)
}

fn lattice_of(name: &str, spacing_m: &Any<'_>) -> PyResult<Lattice> {
    let refuse = |error: Error| Err(error::raise(spacing_m.py(), &error));
    let one = || number("spacing_m", spacing_m);
    match name {
        "square" => Ok(Lattice::Square { spacing_m: one()? }),
        "triangular" => Ok(Lattice::Triangular { spacing_m: one()? }),
        "rectangular" => match column("spacing_m", spacing_m)?.as_slice() {
            &[x_m, y_m] => Ok(Lattice::Rectangular { x_m, y_m }),
            other => {
                let problem = format!("spacing_m holds {} numbers for a rectangular lattice", other.len());
                refuse(Error::inconsistent(problem, "Give two: east to west and north to south, in meters."))
            }
        },
        other => refuse(Error::unknown("lattice", other, &["square", "rectangular", "triangular"])),
    }
}

#[pyfunction]
fn spacing_study<'py>(py: Python<'py>, sprinkler: &Any<'py>, over_diameter: &Any<'py>, lattice: Word) -> PyResult<Any<'py>> {
    let triangular = choice::<Layout>(py, &lattice)? == Layout::Triangular;
    let (sprinkler, shares) = (instance::<PySprinkler>("sprinkler", sprinkler)?.get(), column("over_diameter", over_diameter)?);
    let rows = compute(py, "spacing_study", || sprinkler::spacing_study(&sprinkler.0, &shares, triangular))?;
    record::to_dict(py, "spacing study", &rows)
}

#[pyfunction]
fn lane_uniformity<'py>(py: Python<'py>, sprinkler: &Any<'py>, lane_m: &Any<'py>) -> PyResult<Any<'py>> {
    let (sprinkler, lane) = (instance::<PySprinkler>("sprinkler", sprinkler)?.get(), number("lane_m", lane_m)?);
    let even = compute(py, "lane_uniformity", || sprinkler::lane_uniformity(&sprinkler.0, lane))?;
    record::to_dict(py, "uniformity", &even)
}

/// Adds what is no formula to `_dibble`.
pub fn register_lattices(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(uniformity, module)?)?;
    module.add_function(wrap_pyfunction!(adequacy_share, module)?)?;
    module.add_function(wrap_pyfunction!(lattice_uniformity, module)?)?;
    module.add_function(wrap_pyfunction!(spacing_study, module)?)?;
    module.add_function(wrap_pyfunction!(lane_uniformity, module)?)
}
