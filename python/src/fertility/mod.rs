//! `dibble.fertility`: soil test to spoon.

mod blend;
mod foliar;
mod ground;
mod hand;
mod interpret;
mod lime;
mod nitrogen;
mod products;
mod recommend;
mod soil_test;
mod sulfur;
mod tables;

use pyo3::prelude::*;

/// One entry of a mapping by names.
fn named<'py>(item: &Bound<'py, PyAny>) -> PyResult<(String, Bound<'py, PyAny>)> {
    let (name, value): (Bound<'py, PyAny>, Bound<'py, PyAny>) = item.extract()?;
    let text = name.extract::<String>().map_err(|_| {
        let shown = name.repr().map_or_else(|_| "a name".into(), |r| r.to_string());
        let hint = "Name each value by text, \"P\" or \"n_kg\".";
        crate::error::raise(item.py(), &dibble::Error::inconsistent(format!("{shown} is no name"), hint))
    })?;
    Ok((text, value))
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<tables::PyTables>()?;
    soil_test::register(module)?;
    interpret::register(module)?;
    interpret::register_classes(module)?;
    lime::register(module)?;
    lime::register_classes(module)?;
    sulfur::register(module)?;
    sulfur::register_classes(module)?;
    ground::register(module)?;
    nitrogen::register(module)?;
    products::register(module)?;
    blend::register(module)?;
    hand::register(module)?;
    hand::register_classes(module)?;
    foliar::register(module)?;
    recommend::register(module)
}
