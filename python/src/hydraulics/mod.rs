//! `dibble.hydraulics`: losses, pump, hose and nozzle solved together, suction, power, and what limits the lot.

mod duty;
mod hose;
mod limits;
mod loss;
mod power;
mod pump;
mod system;

pub use system::PySystem;

use pyo3::prelude::*;

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("KPA_PER_M", dibble::hydraulics::KPA_PER_M)?;
    module.add_class::<duty::PyDuty>()?;
    module.add_class::<hose::PyHose>()?;
    module.add_class::<limits::PyLimits>()?;
    module.add_class::<pump::PyPump>()?;
    module.add_class::<system::PySystem>()?;
    loss::register(module)?;
    loss::register_tables(module)?;
    power::register(module)
}
