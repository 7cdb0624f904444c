//! `dibble.water`: the daily ledger, what is done to it, and the season that comes back.

mod column;
mod reading;
mod refill;
mod run;
mod season;
mod supply;
mod trees;

pub use reading::PyReading;
pub use refill::PyRefill;

use pyo3::prelude::*;

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<column::PyColumn>()?;
    module.add_class::<column::PyWatering>()?;
    module.add_class::<PyReading>()?;
    module.add_class::<PyRefill>()?;
    module.add_class::<season::PySeason>()?;
    reading::register(module)?;
    supply::register(module)?;
    run::register(module)?;
    trees::register(module)
}
