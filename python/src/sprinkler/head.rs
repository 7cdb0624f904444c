//! `Sprinkler`.

use super::profile::{PyLeg, profile_of};
use super::wind::PyWind;
use crate::gate::{self, compute, instance_or_none, number, number_or_none};
use crate::record::{self, record_class};
use dibble::sprinkler::{Profile, Sprinkler, SprinklerInput};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::json;

type Any<'py> = Bound<'py, PyAny>;

/// A sprinkler: its flow, how far and how evenly it throws, its arc, and what wind and spray take.
///
/// The flow sets the height of the profile, so that no water is lost or made: over the whole ground a set gives flow times
/// minutes, less the share lost as spray.
///
/// Parameters
/// ----------
/// flow_l_min : float
///     Flow, 0.01 to 100,000 L/min.
/// radius_m : float
///     Distance of the last wet ground in calm air, 0.5 to 200 m.
/// profile : {"cone", "ellipse", "parabola", "ring", "disc"} or Leg
///     Rate along a radius: "cone" 1 - r, "ellipse" √(1 - r²), "parabola" 1 - r², "ring" with its peak at 0.7 of the radius
///     (low pressure), "disc" the same everywhere; or as caught in cans.
/// arc_deg, facing_deg : float
///     Width of the arc that it turns through, 1 to 360, and the compass bearing of its middle.
/// wind : Wind, optional
///     What wind does to the circle.
/// spray_loss : float
///     Share of the water that never reaches the ground, 0 to 0.6.
///
/// Raises
/// ------
/// OutOfRangeError, SeveralError, UnknownNameError
///     A value out of range (all are named at once), or a profile that is not known.
///
/// Examples
/// --------
/// >>> from dibble.sprinkler import Sprinkler
/// >>> gun = Sprinkler(flow_l_min=302.8, radius_m=34.1)  # 80 gpm over a circle of 112 ft
/// >>> round(gun.mean_rate_mm_h / 25.4, 2)  # in/h over its own circle; overlapped sets give four times that
/// 0.2
/// >>> round(gun.rate_mm_h(0) / gun.mean_rate_mm_h, 9)  # a cone's peak
/// 3.0
#[pyclass(name = "Sprinkler", module = "dibble.sprinkler", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PySprinkler(pub Sprinkler);

record_class!(PySprinkler, "sprinkler", {
    #[new]
    #[pyo3(signature = (*, flow_l_min, radius_m, profile = None, arc_deg = None, facing_deg = None, wind = None, spray_loss = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        flow_l_min: &Any<'_>,
        radius_m: &Any<'_>,
        profile: Option<&Any<'_>>,
        arc_deg: Option<&Any<'_>>,
        facing_deg: Option<&Any<'_>>,
        wind: Option<&Any<'_>>,
        spray_loss: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let profile = profile.map(profile_of).transpose()?.unwrap_or_default();
        let mut input = SprinklerInput::new(number("flow_l_min", flow_l_min)?, number("radius_m", radius_m)?, profile);
        input.arc_deg = number_or_none("arc_deg", arc_deg)?.unwrap_or(input.arc_deg);
        input.facing_deg = number_or_none("facing_deg", facing_deg)?.unwrap_or(input.facing_deg);
        input.wind = instance_or_none::<PyWind>("wind", wind)?.map(|wind| wind.get().0);
        input.spray_loss = number_or_none("spray_loss", spray_loss)?.unwrap_or(input.spray_loss);
        compute(py, "Sprinkler", || Sprinkler::new(input)).map(Self)
    }

    /// Flow, L/min.
    #[getter]
    fn flow_l_min(&self) -> f64 {
        self.0.flow_l_min()
    }
    /// Wetted radius in calm air, m.
    #[getter]
    fn radius_m(&self) -> f64 {
        self.0.radius_m()
    }
    /// Name of the profile, or the leg of cans that it was measured with.
    #[getter]
    fn profile<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        match self.0.profile() {
            Profile::Measured(leg) => Ok(Bound::new(py, PyLeg(leg.clone()))?.into_any()),
            named => Ok(named.name().into_pyobject(py)?.into_any()),
        }
    }
    /// Width of the arc, degrees.
    #[getter]
    fn arc_deg(&self) -> f64 {
        self.0.arc().arc_deg()
    }
    /// Bearing of the middle of the arc, degrees.
    #[getter]
    fn facing_deg(&self) -> f64 {
        self.0.arc().facing_deg()
    }
    /// What wind does to the circle.
    #[getter]
    fn wind(&self) -> Option<PyWind> {
        self.0.input().wind.map(PyWind)
    }
    /// Share lost as spray.
    #[getter]
    fn spray_loss(&self) -> f64 {
        self.0.input().spray_loss
    }
    /// Mean rate over the wetted ground of one set, mm/h. It is **not** the rate of overlapped sets: see `overlapped`.
    #[getter]
    fn mean_rate_mm_h(&self) -> f64 {
        self.0.mean_rate_mm_h()
    }
    /// Wetted area of one set, m2.
    #[getter]
    fn area_m2(&self) -> f64 {
        self.0.area_m2()
    }
    /// Rate at distances from the foot, in calm air and inside the arc, mm/h.
    #[pyo3(signature = (distance_m, *, on_error = "raise"))]
    fn rate_mm_h<'py>(&self, distance_m: &Any<'py>, on_error: &str) -> PyResult<Any<'py>> {
        gate::each(distance_m.py(), [("distance_m", distance_m)], on_error, |[distance]| {
            Ok(self.0.rate_mm_h(dibble::bounds::LENGTH_M.named("distance_m").check(distance)?))
        })
    }

    /// Draw the rate along a radius. Needs matplotlib (`pip install dibble[plot]`); `units` is "si" or "us". Returns a
    /// matplotlib `Figure`.
    #[pyo3(signature = (*, units = "si"))]
    fn plot<'py>(slf: &Bound<'py, Self>, units: &str) -> PyResult<Any<'py>> {
        let how = PyDict::new(slf.py());
        how.set_item("units", units)?;
        slf.py().import("dibble._plot")?.call_method("profile", (slf,), Some(&how))
    }
    fn __repr__(&self) -> String {
        written(&self.0)
    }
    fn _repr_html_(&self) -> String {
        let of = |value: f64, decimals: usize| format!("{value:.decimals$}");
        record::html(
            &format!("Sprinkler: {}", self.0.profile()),
            &[
                ("flow", of(self.0.flow_l_min(), 1), "L/min"),
                ("wetted radius", of(self.0.radius_m(), 1), "m"),
                ("arc", of(self.0.arc().arc_deg(), 0), "deg"),
                ("spray loss", of(100.0 * self.0.input().spray_loss, 1), "%"),
                ("mean rate over one circle", of(self.0.mean_rate_mm_h(), 2), "mm/h"),
            ],
        )
    }
});

/// The Python call that makes this sprinkler.
fn written(sprinkler: &Sprinkler) -> String {
    let input = sprinkler.input();
    let mut text = format!("Sprinkler(flow_l_min={:?}, radius_m={:?}", input.flow_l_min, input.radius_m);
    text += &match &input.profile {
        Profile::Measured(leg) => format!(", profile=Leg({})", record::arguments(&json!(leg))),
        named => format!(", profile=\"{named}\""),
    };
    if input.arc_deg < 360.0 {
        text += &format!(", arc_deg={:?}, facing_deg={:?}", input.arc_deg, input.facing_deg);
    }
    if let Some(wind) = &input.wind {
        text += &format!(", wind=Wind({})", record::arguments(&json!(wind)));
    }
    if input.spray_loss > 0.0 {
        text += &format!(", spray_loss={:?}", input.spray_loss);
    }
    text + ")"
}
