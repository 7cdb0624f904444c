//! Where a sprinkler's water lands: discharge, radial profile, part circles, wind, depth at any points, evenness.
//!
//! A sprinkler throws a flow over a circle; its profile says how the rate falls from the foot outwards, and the flow
//! sets the height, so that no water is lost or made: over the whole ground the depths of a set add up to flow times
//! minutes (less the share given as spray loss), whatever the profile, arc and wind.
//!
//! The rate of one circle is not the rate of overlapped sets: a big sprinkler that averages 5 mm/h over its own circle
//! gives four times that where each place lies in four circles.

mod cans;
mod closed;
mod destination;
mod discharge;
mod explain;
mod kernel;
mod lattice;
mod profile;
mod rate;
mod set;
mod spray;
mod uniformity;
mod wind;

pub use cans::{GridReport, GridTest, LegReport, LegTest, depth_from_volume_mm};
pub use destination::{Destination, destination, overlap_share, water_within_l};
pub use discharge::{Nozzle, NozzleKind, discharge_l_min, nozzle_pressure_kpa, throw_radius_m};
pub use explain::explain_depth;
pub use lattice::{Lattice, SpacingRow, lane_uniformity, lattice_uniformity, spacing_study};
pub use profile::{Leg, Profile};
pub use rate::{
    DayOfSets, Layout, Need, Overlapped, capacity_l_min, day_h, day_of_sets, even_spacing_m, gross_depth_mm, minutes_for, overlapped,
    spacing_fraction,
};
pub use set::{Footprint, Set, apply, footprints};
pub use spray::{Coarseness, Estimate, Loss, SprayAir, SprayClimate, effective_share, published_losses, spray_loss};
pub use uniformity::{Uniformity, adequacy_depth, adequacy_share, du_from_cu, uniformity};
pub use wind::{Wind, WindInput};

use crate::bounds;
use crate::error::{Error, Result};
use crate::geom::Arc;
use crate::plain::plain;
use profile::Shape;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Plain input for [`Sprinkler::new`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SprinklerInput {
    /// Flow, L/min.
    pub flow_l_min: f64,
    /// Distance of the last wet ground in calm air, m.
    pub radius_m: f64,
    /// Shape of the rate along a radius.
    #[serde(default)]
    pub profile: Profile,
    /// Width of the arc that it turns through, degrees.
    #[serde(default = "full_circle")]
    pub arc_deg: f64,
    /// Compass bearing of the middle of the arc, degrees.
    #[serde(default)]
    pub facing_deg: f64,
    /// What wind does to the circle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind: Option<Wind>,
    /// Share of the water that never reaches the ground.
    #[serde(default)]
    pub spray_loss: f64,
}

fn full_circle() -> f64 {
    360.0
}

impl SprinklerInput {
    /// A full circle in calm air without spray loss: flow in L/min, wetted radius in m.
    pub fn new(flow_l_min: f64, radius_m: f64, profile: Profile) -> Self {
        Self { flow_l_min, radius_m, profile, arc_deg: full_circle(), facing_deg: 0.0, wind: None, spray_loss: 0.0 }
    }
}

/// A checked sprinkler.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[cfg_attr(feature = "schema", schemars(with = "SprinklerInput"))]
#[serde(try_from = "SprinklerInput", into = "SprinklerInput")]
pub struct Sprinkler {
    input: SprinklerInput,
    arc: Arc,
    shape: Shape,
    /// ∫ g r dr over the unit radius.
    moment: f64,
}

plain!(Sprinkler: SprinklerInput, |input| Sprinkler::new(input), |sprinkler| sprinkler.input);

impl Sprinkler {
    /// Checks every value; all problems are reported at once.
    ///
    /// # Errors
    /// A flow (0.01 to 100,000 L/min), radius (0.5 to 200 m), arc (1 to 360 deg), bearing or spray loss (0 to 0.6)
    /// out of range.
    ///
    /// ```
    /// use dibble::sprinkler::{Profile, Sprinkler, SprinklerInput};
    /// // 80 gpm over a circle of 112 ft averages 0.2 in/h
    /// let gun = Sprinkler::new(SprinklerInput::new(302.8, 34.1, Profile::Cone))?;
    /// assert_eq!(format!("{:.2}", gun.mean_rate_mm_h() / 25.4), "0.20");
    /// // a cone's peak is three times its mean
    /// assert!((gun.rate_mm_h(0.0) - 3.0 * gun.mean_rate_mm_h()).abs() < 1e-12);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(input: SprinklerInput) -> Result<Self> {
        let arc = Arc::new(input.facing_deg, input.arc_deg);
        let checks = [
            bounds::SPRINKLER_FLOW_L_MIN.check(input.flow_l_min),
            bounds::WETTED_RADIUS_M.check(input.radius_m),
            arc.as_ref().map(|a| a.arc_deg()).map_err(Clone::clone),
            bounds::SPRAY_LOSS.check(input.spray_loss),
        ];
        if let Some(error) = Error::several(checks.into_iter().filter_map(Result::err).collect()) {
            return Err(error);
        }
        let shape = input.profile.shape();
        let moment = shape.within(1.0);
        Ok(Self { arc: arc?, input, shape, moment })
    }

    /// What it was made from.
    pub fn input(&self) -> &SprinklerInput {
        &self.input
    }
    /// Flow, L/min.
    pub fn flow_l_min(&self) -> f64 {
        self.input.flow_l_min
    }
    /// Wetted radius in calm air, m.
    pub fn radius_m(&self) -> f64 {
        self.input.radius_m
    }
    /// Arc that it turns through.
    pub fn arc(&self) -> Arc {
        self.arc
    }
    /// Profile.
    pub fn profile(&self) -> &Profile {
        &self.input.profile
    }

    /// Mean rate over the wetted circle or sector of one set, mm/h: flow less spray loss over area.
    ///
    /// This is **not** the rate of overlapped sets; take `units::flow_to_rate_mm_h` with the ground of one set.
    pub fn mean_rate_mm_h(&self) -> f64 {
        self.reaching_l_min() * 60.0 / self.area_m2()
    }

    /// Wetted area of one set, m².
    pub fn area_m2(&self) -> f64 {
        PI * self.radius_m() * self.radius_m() * self.arc.share() * self.input.wind.map_or(1.0, Wind::growth)
    }

    /// Rate at a distance from the foot, in calm air and inside the arc, mm/h.
    pub fn rate_mm_h(&self, distance_m: f64) -> f64 {
        let height = self.reaching_l_min() * 60.0 / self.full_moment_m2(self.radius_m(), self.arc);
        height * self.shape.at(distance_m.abs() / self.radius_m())
    }

    /// Flow that reaches the ground, L/min.
    fn reaching_l_min(&self) -> f64 {
        self.input.flow_l_min * (1.0 - self.input.spray_loss)
    }

    /// ∫ g over the ground, m².
    fn full_moment_m2(&self, radius_m: f64, arc: Arc) -> f64 {
        2.0 * PI * arc.share() * radius_m * radius_m * self.moment
    }
}
