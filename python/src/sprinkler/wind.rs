//! `Wind`.

use crate::gate::{compute, number, number_or_none};
use crate::record::{self, record_class};
use dibble::sprinkler::{Wind, WindInput};
use pyo3::prelude::*;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// What wind does to the wetted circle: shifts it downwind and stretches it; the amount of water stays the same.
///
/// Measure the factors with cans on a day of such wind; `guess_wind` gives a guess.
///
/// Parameters
/// ----------
/// from_deg : float
///     Compass bearing that the wind blows from.
/// drift_m : float
///     Shift downwind, 0 to 100 m.
/// along, across : float
///     Length along and width across the wind over those in calm air, 0.3 to 3.
///
/// Raises
/// ------
/// OutOfRangeError
///     A value out of range.
///
/// Examples
/// --------
/// >>> from dibble.sprinkler import Sprinkler, Wind, apply
/// >>> westerly = Wind(270, 5)
/// >>> gun = Sprinkler(flow_l_min=300, radius_m=30, wind=westerly)
/// >>> east, west = apply(gun, [(0, 0)], [(20, 0), (-20, 0)], 60)
/// >>> bool(east > west)
/// True
#[pyclass(name = "Wind", module = "dibble.sprinkler", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyWind(pub Wind);

record_class!(PyWind, "wind", {
    #[new]
    #[pyo3(signature = (from_deg, drift_m, *, along = None, across = None))]
    fn new(py: Python<'_>, from_deg: &Any<'_>, drift_m: &Any<'_>, along: Option<&Any<'_>>, across: Option<&Any<'_>>) -> PyResult<Self> {
        let input = WindInput {
            from_deg: number("from_deg", from_deg)?,
            drift_m: number("drift_m", drift_m)?,
            along: number_or_none("along", along)?.unwrap_or(1.0),
            across: number_or_none("across", across)?.unwrap_or(1.0),
        };
        compute(py, "Wind", || Wind::new(input)).map(Self)
    }

    /// Compass bearing that the wind blows from, degrees.
    #[getter]
    #[allow(clippy::wrong_self_convention)] // "from" is where it blows from
    fn from_deg(&self) -> f64 {
        self.0.input().from_deg
    }
    /// Shift of the circle downwind, m.
    #[getter]
    fn drift_m(&self) -> f64 {
        self.0.input().drift_m
    }
    /// Length along the wind over that in calm air.
    #[getter]
    fn along(&self) -> f64 {
        self.0.input().along
    }
    /// Width across the wind over that in calm air.
    #[getter]
    fn across(&self) -> f64 {
        self.0.input().across
    }
    fn __repr__(&self) -> String {
        format!("Wind({})", record::arguments(&json!(self.0)))
    }
});

/// The wind and the entry for the list of assumptions.
#[pyfunction]
fn guess_wind<'py>(py: Python<'py>, wind_m_s: &Any<'py>, from_deg: &Any<'py>, radius_m: &Any<'py>) -> PyResult<(PyWind, Any<'py>)> {
    let (speed, bearing, radius) = (number("wind_m_s", wind_m_s)?, number("from_deg", from_deg)?, number("radius_m", radius_m)?);
    let (wind, assumed) = compute(py, "guess_wind", || Wind::guess(speed, bearing, radius))?;
    Ok((PyWind(wind), record::to_dict(py, "assumption", &assumed)?))
}

/// Adds the guess to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(guess_wind, module)?)
}
