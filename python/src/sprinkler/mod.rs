//! `dibble.sprinkler`: a head and its nozzle, where its water lands, how evenly, and how long it must run.

mod cans;
mod evenness;
mod head;
mod landing;
mod nozzle;
mod profile;
mod rate;
mod sets;
mod spray;
mod wind;

pub use head::PySprinkler;
pub use nozzle::PyNozzle;

use pyo3::prelude::*;

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<profile::PyLeg>()?;
    module.add_class::<PyNozzle>()?;
    module.add_class::<PySprinkler>()?;
    module.add_class::<wind::PyWind>()?;
    cans::register(module)?;
    cans::register_tests(module)?;
    evenness::register(module)?;
    evenness::register_lattices(module)?;
    landing::register(module)?;
    nozzle::register(module)?;
    nozzle::register_throw(module)?;
    rate::register(module)?;
    rate::register_layouts(module)?;
    sets::register(module)?;
    spray::register(module)?;
    spray::register_losses(module)?;
    wind::register(module)
}
