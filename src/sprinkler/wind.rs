//! Wind as a shift and a stretch of the wetted circle.

use crate::assumption::{Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::geom::{Xy, dot};
use crate::plain::plain;
use serde::{Deserialize, Serialize};

/// What wind does to the wetted circle: shifted downwind, stretched along and across the wind. The amount of water
/// stays the same.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "WindInput", into = "WindInput")]
pub struct Wind(WindInput);

/// Plain input for [`Wind::new`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WindInput {
    /// Compass bearing that the wind blows **from**, degrees.
    pub from_deg: f64,
    /// Shift of the circle downwind, m.
    pub drift_m: f64,
    /// Length along the wind over that in calm air.
    #[serde(default = "unchanged")]
    pub along: f64,
    /// Width across the wind over that in calm air.
    #[serde(default = "unchanged")]
    pub across: f64,
}

fn unchanged() -> f64 {
    1.0
}

plain!(Wind: WindInput, |input| Wind::new(input), |wind| wind.0);

/// Shift downwind over the calm radius, for each m/s of wind. A computed 4 mm drop that feels the full drag from the
/// nozzle on drifts by 0.09 of its calm range; the first part of a gun's jet holds together, so half of that (our
/// judgment).
const DRIFT_PER_M_S: f64 = 0.04;
/// What the width across the wind loses for each m/s (our judgment).
const NARROWING_PER_M_S: f64 = 0.02;
/// Above this wind the rule says nothing, m/s.
const WINDIEST_M_S: f64 = 10.0;

impl Wind {
    /// Wind by the factors that the user gives, measured with cans on a day of such wind.
    ///
    /// # Errors
    /// A bearing, shift (0 to 100 m) or stretch (0.3 to 3) out of range.
    pub fn new(input: WindInput) -> Result<Self> {
        bounds::BEARING_DEG.named("from_deg").check(input.from_deg)?;
        bounds::DRIFT_M.check(input.drift_m)?;
        bounds::STRETCH.named("along").check(input.along)?;
        bounds::STRETCH.named("across").check(input.across)?;
        Ok(Self(input))
    }

    /// A guess for a wind speed when nothing was measured, with its entry for the list of assumptions: shifted by
    /// 0.04 of the radius and narrowed by 2 % for each m/s. **Our judgment**: no published factors could be read.
    ///
    /// # Errors
    /// A speed above 10 m/s or out of range, a bearing or radius out of range.
    ///
    /// ```
    /// use dibble::sprinkler::Wind;
    /// // a westerly of 3 m/s (7 mph) over a circle of 35 m
    /// let (wind, assumed) = Wind::guess(3.0, 270.0, 35.0)?;
    /// assert!((wind.input().drift_m - 4.2).abs() < 1e-12 && wind.input().across == 0.94);
    /// assert!(assumed.source.contains("our judgment"));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn guess(wind_m_s: f64, from_deg: f64, radius_m: f64) -> Result<(Self, Assumed)> {
        let speed = bounds::WIND_M_S.check(wind_m_s)?;
        let radius = bounds::WETTED_RADIUS_M.check(radius_m)?;
        if speed > WINDIEST_M_S {
            return Err(Error::inconsistent(
                format!("wind_m_s is {speed} m/s, and the rule for wind ends at {WINDIEST_M_S} m/s"),
                "Wait for less wind: above 4 m/s sprinkling is uneven and much is lost.",
            ));
        }
        let drift_m = DRIFT_PER_M_S * speed * radius;
        let wind = Self::new(WindInput { from_deg, drift_m, along: 1.0, across: 1.0 - NARROWING_PER_M_S * speed })?;
        let value = format!("shifted by {DRIFT_PER_M_S} of the radius and narrowed by {NARROWING_PER_M_S} for each m/s");
        Ok((wind, Assumption::WindDrift.with(value)))
    }

    /// The factors.
    pub fn input(&self) -> WindInput {
        self.0
    }

    /// Unit vector downwind.
    fn downwind(self) -> Xy {
        let [x, y] = crate::geom::bearing_vector(self.0.from_deg);
        [-x, -y]
    }

    /// Shift of the circle, m east and north.
    pub(crate) fn shift(self) -> Xy {
        self.downwind().map(|u| u * self.0.drift_m)
    }

    /// The symmetric matrix that turns offsets in the wind back into offsets in calm air: `[xx, xy, yy]`.
    pub(crate) fn calming(self) -> [f64; 3] {
        let [x, y] = self.downwind();
        let (along, across) = (1.0 / self.0.along, 1.0 / self.0.across);
        [along * x * x + across * y * y, (along - across) * x * y, along * y * y + across * x * x]
    }

    /// Wetted area over that in calm air.
    pub(crate) fn growth(self) -> f64 {
        self.0.along * self.0.across
    }

    /// Where a drop falls that would fall at `offset` in calm air.
    pub(crate) fn carry(self, offset: Xy) -> Xy {
        let u = self.downwind();
        let (along, across) = (dot(offset, u), dot(offset, [-u[1], u[0]]));
        let (along, across) = (along * self.0.along + self.0.drift_m, across * self.0.across);
        [along * u[0] - across * u[1], along * u[1] + across * u[0]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refusals_say_what_is_wrong() {
        assert_eq!(
            Wind::guess(12.0, 0.0, 30.0).unwrap_err().to_string(),
            "wind_m_s is 12 m/s, and the rule for wind ends at 10 m/s. Wait for less wind: above 4 m/s sprinkling is uneven and much is lost."
        );
        let stretched = Wind::new(WindInput { from_deg: 0.0, drift_m: 0.0, along: 0.0, across: 1.0 });
        assert_eq!(
            stretched.unwrap_err().to_string(),
            "along is 0: stretch of the wetted circle must be from 0.3 to 3. 1 leaves the circle as it is."
        );
    }

    proptest! {
        #[test]
        fn calming_undoes_carrying(from in 0.0..360.0f64, drift in 0.0..20.0f64, along in 0.3..3.0f64, across in 0.3..3.0f64,
                                   x in -50.0..50.0f64, y in -50.0..50.0f64) {
            let wind = Wind::new(WindInput { from_deg: from, drift_m: drift, along, across }).unwrap();
            let ([px, py], [sx, sy]) = (wind.carry([x, y]), wind.shift());
            let [xx, xy, yy] = wind.calming();
            let (px, py) = (px - sx, py - sy);
            prop_assert!((xx * px + xy * py - x).abs() < 1e-10 && (xy * px + yy * py - y).abs() < 1e-10);
        }
    }
}
