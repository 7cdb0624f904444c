//! Python bindings of dibble: arguments in through the gate, core call with the GIL released, results out.
//!
//! The files repeat the names of the core modules and of the Python package. `_dibble` stays flat.

#![forbid(unsafe_code)]

mod air;
mod batch;
mod control;
mod cost;
mod error;
mod et;
mod explain;
mod farm;
mod fertility;
mod gate;
mod geom;
mod hydraulics;
mod outlook;
mod placement;
mod record;
mod schedule;
mod season_log;
mod soil;
mod sprinkler;
mod stand;
mod sun;
mod table;
mod units;
mod water;
mod weather;

use pyo3::prelude::*;

#[pymodule]
fn _dibble(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("__version__", env!("CARGO_PKG_VERSION"))?;
    air::register(module)?;
    batch::register(module)?;
    cost::register(module)?;
    et::register(module)?;
    et::register_batches(module)?;
    et::crop::register(module)?;
    explain::register(module)?;
    farm::register(module)?;
    geom::register(module)?;
    hydraulics::register(module)?;
    outlook::register(module)?;
    placement::register(module)?;
    fertility::register(module)?;
    schedule::register(module)?;
    season_log::register(module)?;
    soil::register(module)?;
    sprinkler::register(module)?;
    stand::register(module)?;
    stand::register_classes(module)?;
    sun::register(module)?;
    units::register(module)?;
    units::register_text(module)?;
    water::register(module)?;
    weather::register(module)
}
