//! `dibble.soil`: texture, water holding, layers, the feel test, intake, rain and runoff, salt.

mod hydraulic;
mod intake;
mod profile;
mod published;
mod runoff;
mod salinity;

pub use hydraulic::PySoil;
pub use profile::PyProfile;

use crate::gate::{self, compute, number};
use dibble::soil::{TextureClass, feel, texture_class};
use pyo3::prelude::*;

type Any<'py> = Bound<'py, PyAny>;

/// Position of the texture class in `TEXTURES`, so that arrays stay numbers.
#[pyfunction]
#[pyo3(signature = (sand_pct, clay_pct, *, on_error = "raise"))]
fn texture_number<'py>(sand_pct: &Any<'py>, clay_pct: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
    gate::each(sand_pct.py(), [("sand_pct", sand_pct), ("clay_pct", clay_pct)], on_error, |[sand, clay]| {
        let class = texture_class(sand, clay)?;
        Ok(TextureClass::ALL.iter().position(|c| *c == class).map_or(f64::NAN, |position| position as f64))
    })
}

#[pyfunction]
fn feel_depletion(soil: &Bound<'_, PySoil>, band: &str, depth_m: &Any<'_>) -> PyResult<(f64, f64, f64, f64)> {
    let depth = number("depth_m", depth_m)?;
    let soil = soil.get().0;
    let found = compute(depth_m.py(), "feel_depletion", || band.parse::<feel::Band>()?.depletion(&soil, depth))?;
    Ok((found.low_mm, found.middle_mm, found.high_mm, found.variance_mm2.sqrt()))
}

#[pyfunction]
fn feel_looks(py: Python<'_>, band: &str, texture: &str) -> PyResult<&'static str> {
    compute(py, "feel_looks", || Ok(band.parse::<feel::Band>()?.looks(feel::Group::of(texture.parse()?))))
}

/// Adds the area to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<PySoil>()?;
    module.add_class::<PyProfile>()?;
    module.add("TEXTURES", TextureClass::ALL.map(TextureClass::name).to_vec())?;
    module.add_function(wrap_pyfunction!(texture_number, module)?)?;
    module.add_function(wrap_pyfunction!(feel_depletion, module)?)?;
    module.add_function(wrap_pyfunction!(feel_looks, module)?)?;
    intake::register(module)?;
    intake::register_plans(module)?;
    published::register(module)?;
    runoff::register(module)?;
    runoff::register_words(module)?;
    salinity::register(module)
}
