//! Catch-can tests: from cans on a grid or along one leg to rate, evenness, profile and corrected running time.

use super::profile::{Leg, Profile, check_all};
use super::uniformity::{Uniformity, uniformity};
use super::{Sprinkler, SprinklerInput, minutes_for};
use crate::bounds;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// Depth in a can, mm, from the water in it (mL) and the width of its opening (cm).
///
/// # Errors
/// A value out of range.
///
/// ```
/// // 78.5 mL in a can 10 cm wide
/// assert_eq!(format!("{:.2}", dibble::sprinkler::depth_from_volume_mm(78.54, 10.0)?), "10.00");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn depth_from_volume_mm(volume_ml: f64, opening_cm: f64) -> Result<f64> {
    let width = bounds::OPENING_CM.check(opening_cm)?;
    Ok(10.0 * bounds::CATCH_ML.check(volume_ml)? / (0.25 * PI * width * width))
}

/// Cans on a grid: plain input for [`GridTest::evaluate`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct GridTest {
    /// Depth in each can, mm.
    pub caught_mm: Vec<f64>,
    /// How long the water ran, min: of one set, or the same for each of the sets whose water overlaps.
    pub minutes: f64,
    /// Depth wanted, mm.
    #[serde(default)]
    pub wanted_mm: Option<f64>,
}

/// What a grid of cans says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GridReport {
    /// Mean rate, mm/h.
    pub rate_mm_h: f64,
    /// Evenness.
    pub uniformity: Uniformity,
    /// Minutes that bring the mean to the depth wanted.
    pub minutes_for_mean: Option<f64>,
    /// Minutes that bring the mean of the low quarter to the depth wanted; none when it stays dry.
    pub minutes_for_low_quarter: Option<f64>,
}

impl GridTest {
    /// Rate, evenness and corrected running time.
    ///
    /// # Errors
    /// No cans, a catch, time or depth out of range, or all cans empty.
    ///
    /// ```
    /// use dibble::sprinkler::GridTest;
    /// let caught_mm = vec![12.0, 15.0, 14.0, 18.0, 16.0, 14.0, 13.0, 17.0, 15.0, 16.0];
    /// let report = GridTest { caught_mm, minutes: 60.0, wanted_mm: Some(20.0) }.evaluate()?;
    /// assert_eq!((report.rate_mm_h, report.minutes_for_mean), (15.0, Some(80.0)));
    /// assert_eq!(format!("{:.1}", report.minutes_for_low_quarter.unwrap()), "93.8");
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn evaluate(&self) -> Result<GridReport> {
        let hours = bounds::RUN_MIN.named("minutes").check(self.minutes)? / 60.0;
        let uniformity = uniformity(&self.caught_mm)?;
        let rate_mm_h = uniformity.mean_mm / hours;
        let minutes_for_mean = self.wanted_mm.map(|wanted| minutes_for(wanted, rate_mm_h)).transpose()?;
        let minutes_for_low_quarter = minutes_for_mean.zip(uniformity.low_quarter_factor).map(|(minutes, factor)| minutes * factor);
        Ok(GridReport { rate_mm_h, uniformity, minutes_for_mean, minutes_for_low_quarter })
    }
}

/// Cans along one radius: plain input for [`LegTest::evaluate`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LegTest {
    /// Distance of each can from the sprinkler, m, rising.
    pub distances_m: Vec<f64>,
    /// Depth in each can, mm.
    pub caught_mm: Vec<f64>,
    /// How long the water ran, min.
    pub minutes: f64,
    /// Where the wet ground ended, m; may be left out when the outermost can stayed empty.
    #[serde(default)]
    pub radius_m: Option<f64>,
    /// Flow of the nozzle, L/min, if it is known.
    #[serde(default)]
    pub flow_l_min: Option<f64>,
}

/// What a leg of cans says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LegReport {
    /// The sprinkler as measured: the flow that reached the ground, radius and profile. Put it on a lattice to see CU
    /// and DU of overlapped sets.
    pub sprinkler: Sprinkler,
    /// Highest rate at a can, mm/h.
    pub peak_rate_mm_h: f64,
    /// What reached the ground over that of the nozzle's flow, when this was given. Far from 1: wind, a leg that is not
    /// typical, a wrong flow, or spray loss.
    pub caught_share: Option<f64>,
}

impl LegTest {
    /// The sprinkler that caught so, full circle in calm air.
    ///
    /// # Errors
    /// As [`Leg::new`], or a time or flow out of range.
    ///
    /// ```
    /// use dibble::sprinkler::{lattice_uniformity, Lattice, LegTest};
    /// // a cone of 30 m caught for an hour: 20 mm at the foot
    /// let test = LegTest {
    ///     distances_m: vec![3.0, 9.0, 15.0, 21.0, 27.0],
    ///     caught_mm: vec![18.0, 14.0, 10.0, 6.0, 2.0],
    ///     minutes: 60.0,
    ///     radius_m: Some(30.0),
    ///     flow_l_min: Some(330.0),
    /// };
    /// let report = test.evaluate()?;
    /// assert_eq!(report.peak_rate_mm_h, 18.0);
    /// // its volume is a third of base times height, 18.85 m3 an hour or 314 L/min (the flat top takes 0.1 % off)
    /// assert_eq!(format!("{:.0}", report.sprinkler.flow_l_min()), "314");
    /// assert_eq!(format!("{:.2}", report.caught_share.unwrap()), "0.95");
    /// let even = lattice_uniformity(&report.sprinkler, Lattice::Square { spacing_m: 30.0 }, Some(64))?;
    /// assert!((even.cu_pct - 96.4).abs() < 0.5);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn evaluate(&self) -> Result<LegReport> {
        let minutes = bounds::RUN_MIN.named("minutes").check(self.minutes)?;
        check_all(bounds::DEPTH_MM.named("caught_mm"), &self.caught_mm)?;
        let leg = Leg::new(&self.distances_m, &self.caught_mm, self.radius_m)?;
        let nozzle_flow = bounds::SPRINKLER_FLOW_L_MIN.check_option(self.flow_l_min)?;
        let (radius_m, reached) = (leg.radius_m(), leg.volume() / minutes);
        let peak = leg.caught().iter().copied().fold(0.0, f64::max) * 60.0 / minutes;
        let sprinkler = Sprinkler::new(SprinklerInput::new(reached, radius_m, Profile::Measured(leg)))?;
        Ok(LegReport { sprinkler, peak_rate_mm_h: peak, caught_share: nozzle_flow.map(|flow| reached / flow) })
    }

    /// The mean of several legs with cans at the same distances: four legs at right angles take most of the wind out.
    ///
    /// # Errors
    /// No leg, or legs that differ in distances or running time.
    pub fn mean(legs: &[LegTest]) -> Result<LegTest> {
        let Some(first) = legs.first() else {
            return Err(Error::missing("legs", "Give one leg of cans or more."));
        };
        if let Some(i) = legs
            .iter()
            .position(|l| l.distances_m != first.distances_m || l.minutes != first.minutes || l.caught_mm.len() != first.caught_mm.len())
        {
            return Err(Error::inconsistent(
                format!("legs[{i}] has other distances or another running time than legs[0]"),
                "Set the cans of all legs at the same distances and run them together.",
            ));
        }
        let of_can = |i: usize| legs.iter().filter_map(|l| l.caught_mm.get(i)).sum::<f64>() / legs.len() as f64;
        Ok(LegTest { caught_mm: (0..first.caught_mm.len()).map(of_can).collect(), ..first.clone() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn legs_are_averaged_can_by_can() {
        let leg = |caught: [f64; 3]| LegTest {
            distances_m: vec![2.0, 4.0, 6.0],
            caught_mm: caught.to_vec(),
            minutes: 30.0,
            radius_m: Some(8.0),
            flow_l_min: None,
        };
        let mean = LegTest::mean(&[leg([4.0, 3.0, 1.0]), leg([6.0, 1.0, 0.0])]).unwrap();
        assert_eq!(mean.caught_mm, [5.0, 2.0, 0.5]);
        let other = LegTest { minutes: 31.0, ..leg([1.0, 1.0, 1.0]) };
        assert_eq!(
            LegTest::mean(&[leg([1.0, 1.0, 1.0]), other]).unwrap_err().to_string(),
            "legs[1] has other distances or another running time than legs[0]. Set the cans of all legs at the same distances and run them together."
        );
        assert_eq!(LegTest::mean(&[]).unwrap_err().to_string(), "legs is missing. Give one leg of cans or more.");
    }

    #[test]
    fn dry_quarters_have_no_running_time() {
        let report = GridTest { caught_mm: vec![0.0, 0.0, 8.0, 8.0], minutes: 30.0, wanted_mm: Some(8.0) }.evaluate().unwrap();
        assert_eq!((report.rate_mm_h, report.minutes_for_mean, report.minutes_for_low_quarter), (8.0, Some(60.0), None));
        let no_time = GridTest { caught_mm: vec![1.0], minutes: 0.0, wanted_mm: None }.evaluate();
        assert_eq!(
            no_time.unwrap_err().to_string(),
            "minutes is 0 min: running time of a test must be from 0.1 to 10000 min. Give minutes."
        );
    }
}
