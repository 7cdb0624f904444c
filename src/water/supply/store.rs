//! A well and a tank: something stored, and what fills it up again.

use super::Range;
use crate::bounds;
use crate::error::Result;
use serde::{Deserialize, Serialize};

const DAY_MIN: f64 = 1440.0;

/// A well: what stands in the bore and can be drawn at once, and how fast it recovers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Well {
    /// Flow that it keeps up for days, L/min; not the first hour's of a new well.
    pub rate_l_min: Range,
    /// Water that stands in it after a rest and can be drawn faster, L.
    #[serde(default)]
    pub storage_l: f64,
    /// Hours a day that it may be pumped; 24 if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours_day: Option<f64>,
}

impl Well {
    /// In range?
    ///
    /// # Errors
    /// Every value out of range.
    pub fn check(&self) -> Result<()> {
        self.rate_l_min.check(&bounds::FLOW_L_MIN.named("rate_l_min"))?;
        bounds::VOLUME_L.named("storage_l").check(self.storage_l)?;
        bounds::PERIOD_H.named("hours_day").check_option(self.hours_day).map(|_| ())
    }

    /// Water that it gives in a day, L: what stands in it and what comes in while it is pumped. Low and high end.
    pub fn day_l(&self) -> Range {
        let minutes = self.hours_day.unwrap_or(24.0) * 60.0;
        Range::new(self.storage_l + self.rate_l_min.low * minutes, self.storage_l + self.rate_l_min.high * minutes)
    }

    /// Minutes that it keeps up a flow after a rest; `None` for ever, at that end of the range. Low and high end.
    ///
    /// # Errors
    /// A flow out of range.
    ///
    /// ```
    /// use dibble::water::supply::{Range, Well};
    /// // 60 L/min come in, 1,200 L stand in the bore; at 100 L/min they last 1200 / (100 - 60) = 30 min
    /// let well = Well { rate_l_min: Range::exactly(60.0), storage_l: 1200.0, hours_day: None };
    /// assert_eq!(well.lasts_min(100.0)?, (Some(30.0), Some(30.0)));
    /// assert_eq!(well.lasts_min(50.0)?, (None, None));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn lasts_min(&self, flow_l_min: f64) -> Result<(Option<f64>, Option<f64>)> {
        bounds::FLOW_L_MIN.check(flow_l_min)?;
        let at = |rate: f64| if flow_l_min <= rate { None } else { Some(self.storage_l / (flow_l_min - rate)) };
        Ok((at(self.rate_l_min.low), at(self.rate_l_min.high)))
    }

    /// Hours until what stands in it is there again; infinite for a dry well. Low and high end.
    pub fn recovery_h(&self) -> Range {
        let hours = |rate: f64| if self.storage_l == 0.0 { 0.0 } else { self.storage_l / rate / 60.0 };
        Range::new(hours(self.rate_l_min.high), hours(self.rate_l_min.low))
    }
}

/// A tank or cistern beside the pump.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tank {
    /// What it holds, L.
    pub volume_l: f64,
    /// What is in it, L; full if not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub now_l: Option<f64>,
    /// What fills it, L/min.
    #[serde(default)]
    pub fill_l_min: f64,
}

impl Tank {
    /// In range, and not more in it than it holds?
    ///
    /// # Errors
    /// Every value out of range; an overfull tank.
    pub fn check(&self) -> Result<()> {
        bounds::VOLUME_L.check(self.volume_l)?;
        bounds::FLOW_L_MIN.named("fill_l_min").check(self.fill_l_min)?;
        let now_l = bounds::VOLUME_L.named("now_l").check_option(self.now_l)?.unwrap_or(self.volume_l);
        if now_l <= self.volume_l {
            return Ok(());
        }
        let what = format!("now_l is {now_l} L, and the tank holds {} L", self.volume_l);
        Err(crate::Error::inconsistent(what, "Correct one of them."))
    }

    /// What is in it a day later, L, if nothing is drawn.
    pub(super) fn filled_l(&self, now_l: f64) -> f64 {
        (now_l + self.fill_l_min * DAY_MIN).min(self.volume_l)
    }
}
