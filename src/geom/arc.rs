//! The part of a circle that a sprinkler turns through, by compass.

use super::{Xy, cross, dot};
use crate::bounds;
use crate::error::Result;
use crate::num::{cos, sin};
use crate::plain::plain;
use serde::{Deserialize, Serialize};

/// A part circle: `arc_deg` wide about the compass bearing `facing_deg`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "ArcInput", into = "ArcInput")]
pub struct Arc {
    facing_deg: f64,
    arc_deg: f64,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
struct ArcInput {
    #[serde(default)]
    facing_deg: f64,
    arc_deg: f64,
}

plain!(Arc: ArcInput, |input| Arc::new(input.facing_deg, input.arc_deg), |arc| ArcInput { facing_deg: arc.facing_deg, arc_deg: arc.arc_deg });

impl Arc {
    /// The whole circle.
    pub const FULL: Arc = Arc { facing_deg: 0.0, arc_deg: 360.0 };

    /// An arc by the bearing of its middle (0 to 360 deg, north 0, east 90) and its width (1 to 360 deg).
    ///
    /// # Errors
    /// A bearing or width out of range.
    ///
    /// ```
    /// use dibble::geom::Arc;
    /// let south_side = Arc::new(180.0, 180.0)?;
    /// assert!(south_side.contains([3.0, -4.0]) && !south_side.contains([3.0, 4.0]));
    /// assert_eq!(
    ///     Arc::new(0.0, 400.0).unwrap_err().to_string(),
    ///     "arc_deg is 400 deg: arc of a part circle must be from 1 to 360 deg. 360 is the full circle, 180 a half circle."
    /// );
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn new(facing_deg: f64, arc_deg: f64) -> Result<Self> {
        Ok(Self { facing_deg: bounds::BEARING_DEG.check(facing_deg)?, arc_deg: bounds::ARC_DEG.check(arc_deg)? })
    }

    /// Bearing of the middle, degrees.
    pub fn facing_deg(self) -> f64 {
        self.facing_deg
    }
    /// Width, degrees.
    pub fn arc_deg(self) -> f64 {
        self.arc_deg
    }
    /// Share of the full circle.
    pub fn share(self) -> f64 {
        self.arc_deg / 360.0
    }
    /// Is it the whole circle?
    pub fn is_full(self) -> bool {
        self.arc_deg >= 360.0
    }

    /// Does the direction from the center to `offset` lie in the arc? Its two rays belong to it.
    pub fn contains(self, offset: Xy) -> bool {
        self.wedge().contains(offset)
    }

    pub(crate) fn wedge(self) -> Wedge {
        if self.is_full() {
            return Wedge::Full;
        }
        let right = bearing_vector(self.facing_deg + 0.5 * self.arc_deg);
        let left = bearing_vector(self.facing_deg - 0.5 * self.arc_deg);
        if self.arc_deg <= 180.0 { Wedge::Narrow { right, left } } else { Wedge::Wide { right, left } }
    }
}

/// An arc by the unit vectors of its two rays: it lies to the left of `right`, up to `left`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Wedge {
    Full,
    /// Up to a half circle: left of one ray and right of the other.
    Narrow {
        right: Xy,
        left: Xy,
    },
    /// More than a half circle: all but the narrow wedge from `left` on to `right`.
    Wide {
        right: Xy,
        left: Xy,
    },
}

/// Positions carry rounding of 1e-9 of their distance at the most; a tree in line with a ray is watered.
pub(crate) const RAY_SLACK: f64 = 1e-9;

impl Wedge {
    pub(crate) fn contains(self, p: Xy) -> bool {
        let slack = RAY_SLACK * dot(p, p).sqrt();
        match self {
            Wedge::Full => true,
            Wedge::Narrow { right, left } => cross(right, p) >= -slack && cross(p, left) >= -slack,
            Wedge::Wide { right, left } => !(cross(left, p) > slack && cross(p, right) > slack),
        }
    }
}

/// Unit vector of a compass bearing; exact at the four cardinal points.
pub(crate) fn bearing_vector(bearing_deg: f64) -> Xy {
    let quarters = (bearing_deg / 90.0).round();
    let rest = (bearing_deg - 90.0 * quarters).to_radians();
    let (s, c) = (sin(rest), cos(rest));
    match quarters.rem_euclid(4.0) as u8 {
        0 => [s, c],
        1 => [c, -s],
        2 => [-s, -c],
        _ => [-c, s],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn bearings_are_exact_at_the_cardinal_points() {
        let round = |[x, y]: Xy| [x + 0.0, y + 0.0];
        assert_eq!(round(bearing_vector(0.0)), [0.0, 1.0]);
        assert_eq!(round(bearing_vector(90.0)), [1.0, 0.0]);
        assert_eq!(round(bearing_vector(180.0)), [0.0, -1.0]);
        assert_eq!(round(bearing_vector(-90.0)), [-1.0, 0.0]);
        assert_eq!(round(bearing_vector(540.0)), [0.0, -1.0]);
    }

    #[test]
    fn rays_and_center_belong_to_the_arc() {
        let north = Arc::new(0.0, 180.0).unwrap();
        for p in [[5.0, 0.0], [-5.0, 0.0], [0.0, 0.0], [1.0, 1e-3]] {
            assert!(north.contains(p), "{p:?}");
        }
        assert!(!north.contains([5.0, -1e-3]));
    }

    #[test]
    fn serde_refuses_what_the_constructor_refuses() {
        let arc: Arc = serde_json::from_str(r#"{"facing_deg": 270.0, "arc_deg": 200.0}"#).unwrap();
        assert_eq!(arc, Arc::new(270.0, 200.0).unwrap());
        assert_eq!(serde_json::to_string(&arc).unwrap(), r#"{"facing_deg":270.0,"arc_deg":200.0}"#);
        assert!(serde_json::from_str::<Arc>(r#"{"facing_deg": -1.0, "arc_deg": 200.0}"#).is_err());
        assert!(serde_json::from_str::<Arc>(r#"{"arc_deg": 200.0, "width": 3}"#).is_err());
    }

    proptest! {
        #[test]
        fn a_direction_is_inside_when_it_is_within_half_the_arc(facing in 0.0..360.0f64, arc in 1.0..360.0f64, at in 0.0..360.0f64) {
            let off = (at - facing + 540.0).rem_euclid(360.0) - 180.0;
            prop_assume!((off.abs() - arc / 2.0).abs() > 1e-6);
            let p = bearing_vector(at);
            prop_assert_eq!(Arc::new(facing, arc).unwrap().contains([7.0 * p[0], 7.0 * p[1]]), off.abs() < arc / 2.0);
        }
    }
}
