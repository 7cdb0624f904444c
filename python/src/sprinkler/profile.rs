//! `Leg`, the measured profile, and the way in and out for profiles.

use crate::error;
use crate::gate::{choice, column, compute, number_or_none};
use crate::record::{self, record_class};
use crate::table;
use dibble::sprinkler::{Leg, Profile};
use pyo3::prelude::*;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// What cans along one radius caught: a measured profile. Between cans runs a cubic that never overshoots.
///
/// Parameters
/// ----------
/// distances_m : array-like
///     Distance of each can from the sprinkler, m, rising.
/// caught : array-like
///     What each caught, in any one unit.
/// radius_m : float, optional
///     Where the wet ground ended; the first empty can beyond the others if not given.
///
/// Raises
/// ------
/// InconsistentError, MissingError, OutOfRangeError
///     Fewer than three cans, distances that do not rise, all cans empty, or no end of the wet ground.
///
/// Examples
/// --------
/// >>> from dibble.sprinkler import Leg, Sprinkler
/// >>> leg = Leg([3, 9, 15, 21, 27], [12, 10, 7, 3, 0])
/// >>> gun = Sprinkler(flow_l_min=300, radius_m=leg.radius_m, profile=leg)
/// >>> round(gun.rate_mm_h(0) / gun.rate_mm_h(9), 6)  # as caught, 12 to 10
/// 1.2
#[pyclass(name = "Leg", module = "dibble.sprinkler", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyLeg(pub Leg);

record_class!(PyLeg, "leg", {
    #[new]
    #[pyo3(signature = (distances_m, caught, radius_m = None))]
    fn new(py: Python<'_>, distances_m: &Any<'_>, caught: &Any<'_>, radius_m: Option<&Any<'_>>) -> PyResult<Self> {
        let (distances, caught) = (column("distances_m", distances_m)?, column("caught", caught)?);
        let radius = number_or_none("radius_m", radius_m)?;
        compute(py, "Leg", || Leg::new(&distances, &caught, radius)).map(Self)
    }

    /// Distance of each can, m.
    #[getter]
    fn distances_m<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        table::array(py, self.0.distances_m()).map(Bound::into_any)
    }
    /// What each can caught.
    #[getter]
    fn caught<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        table::array(py, self.0.caught()).map(Bound::into_any)
    }
    /// Where the wet ground ends, m.
    #[getter]
    fn radius_m(&self) -> f64 {
        self.0.radius_m()
    }
    /// Caught depth times ground over the whole circle: liters if the cans were read in millimeters.
    #[getter]
    fn volume(&self) -> f64 {
        self.0.volume()
    }
    fn __repr__(&self) -> String {
        format!("Leg({})", record::arguments(&json!(self.0)))
    }
});

/// A profile by name, or a leg of cans.
pub fn profile_of(profile: &Any<'_>) -> PyResult<Profile> {
    if let Ok(leg) = profile.cast::<PyLeg>() {
        return Ok(Profile::Measured(leg.get().0.clone()));
    }
    let py = profile.py();
    match profile.extract::<String>() {
        Ok(name) => choice(py, &name),
        Err(_) => {
            let class = profile.get_type().name()?;
            let message = format!("profile is of class {class}: a name such as \"cone\" or a Leg is needed.");
            Err(error::wrong_kind(py, "profile", &message))
        }
    }
}
