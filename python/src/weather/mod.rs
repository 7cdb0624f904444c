//! `dibble.weather`: where the weather was measured, its records, and the complete days made from them.

mod daily;
mod records;
mod report;
mod site;

pub use daily::PyDaily;
pub use records::{PyWeather, hour_columns, options};
pub use report::PyGapReport;
pub use site::PySite;

use pyo3::prelude::*;

/// What a heading means to the weather reader; `None` for one that is not read.
#[pyfunction]
fn heading_means(heading: &str) -> Option<&'static str> {
    dibble::weather::heading_means(heading)
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PySite>()?;
    module.add_class::<PyWeather>()?;
    module.add_class::<PyDaily>()?;
    module.add_class::<PyGapReport>()?;
    module.add_function(wrap_pyfunction!(heading_means, module)?)
}
