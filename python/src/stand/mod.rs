//! `dibble.stand`: rows and spacing, the trees of a block, and what its three surfaces ask of the water.

mod cover;
mod crop_days;
mod layout;
mod tree;

pub use cover::PySurfaces;
pub use crop_days::PyCropDays;
pub use layout::PyLayout;
pub use tree::PyStand;

use crate::gate::{compute, formulas};
use crate::record;
use dibble::stand::{self, Species};
use pyo3::prelude::*;
use serde_json::json;

formulas! {
    trees_per_hectare(row_spacing_m, tree_spacing_m) = stand::trees_per_hectare(row_spacing_m, tree_spacing_m);
}

/// The species table: a list of dicts, each species with the defaults of its group.
#[pyfunction]
fn species_rows(py: Python<'_>) -> PyResult<Bound<'_, PyAny>> {
    let rows = compute(py, "species", || {
        Ok(Species::all()?.iter().map(|s| json!({"name": s.name(), "latin": s.latin(), "group": s.group()})).collect::<Vec<_>>())
    })?;
    record::to_dict(py, "species", &rows)
}

/// Adds the classes of the area to `_dibble`.
pub fn register_classes(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PyStand>()?;
    module.add_class::<PyLayout>()?;
    module.add_class::<PyCropDays>()?;
    module.add_class::<PySurfaces>()?;
    module.add_function(wrap_pyfunction!(species_rows, module)?)
}
