//! `dibble.farm`: a farm as its owner writes it, and the week's plan.

mod block;
pub mod file;
pub mod plan;

use pyo3::prelude::*;

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<file::PyFarm>()?;
    module.add_class::<block::PyEstimate>()?;
    module.add_class::<block::PyBlockPlan>()?;
    module.add_class::<plan::PyPlan>()?;
    plan::register(module)
}
