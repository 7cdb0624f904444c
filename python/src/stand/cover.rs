//! `Surfaces`.

use super::{PyCropDays, PyStand};
use crate::gate::compute;
use crate::record;
use crate::weather::PyDaily;
use dibble::stand::Surfaces;
use pyo3::prelude::*;

/// The three surfaces of a block over a run of days: the tree's root disc, the rest of the weed-free strip, and the
/// alley between the strips.
///
/// Examples
/// --------
/// >>> from dibble.stand import Stand, Surfaces
/// >>> from dibble.weather import Site, Weather
/// >>> days = {"date": ["2026-07-01", "2026-07-02"], "tmin_c": [12.0, 14.5], "tmax_c": [26.0, 29.0], "rain_mm": [0.0, 6.4]}
/// >>> daily = Weather.from_table(days).complete(Site(45.2, 290))
/// >>> stand = Stand(species="Fraser fir", planted="2024-05-01", row_spacing_m=1.8, tree_spacing_m=1.8)
/// >>> surfaces = Surfaces.over(stand, daily)
/// >>> [round(share, 2) for share in surfaces.shares]  # a tree's disc, the strip beside it, the alley
/// [0.05, 0.62, 0.33]
#[pyclass(name = "Surfaces", module = "dibble.stand", frozen, eq)]
#[derive(PartialEq)]
pub struct PySurfaces {
    tree: PyCropDays,
    strip: PyCropDays,
    alley: PyCropDays,
    shares: [f64; 3],
}

#[pymethods]
impl PySurfaces {
    /// Coefficients day by day from the stand's age and cover and the day's wind and humidity.
    #[staticmethod]
    fn over(py: Python<'_>, stand: &Bound<'_, PyStand>, weather: &Bound<'_, PyDaily>) -> PyResult<Self> {
        let (stand, weather) = (&stand.get().0, &weather.get().days);
        let found = compute(py, "Surfaces.over", || Surfaces::over(stand, weather))?;
        Ok(Self { tree: found.tree.into(), strip: found.strip.into(), alley: found.alley.into(), shares: found.shares })
    }

    /// The tree's root disc.
    #[getter]
    fn tree(&self) -> PyCropDays {
        self.tree.clone()
    }
    /// The weed-free strip beside the discs.
    #[getter]
    fn strip(&self) -> PyCropDays {
        self.strip.clone()
    }
    /// The ground between the strips.
    #[getter]
    fn alley(&self) -> PyCropDays {
        self.alley.clone()
    }
    /// Shares of the ground of tree, strip and alley on the last day; they add to 1.
    #[getter]
    fn shares(&self) -> (f64, f64, f64) {
        let [tree, strip, alley] = self.shares;
        (tree, strip, alley)
    }
    fn __repr__(&self) -> String {
        let [tree, strip, alley] = self.shares.map(|share| 100.0 * share);
        format!("<Surfaces over {} days: tree {tree:.0} %, strip {strip:.0} %, alley {alley:.0} % of the ground>", self.tree.0.len())
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.__repr__())
    }
}
