//! Is there enough water: a pond by its stage and shape, a well, a tank; how many passes are left and when it is out.
//!
//! Evaporation, seepage and inflow are ranges, so the answer is one: the dry end (much is lost, little comes in, passes take
//! much) and the wet end. What was drawn is counted by day and month for the user's own permit; a count, never a verdict.

mod counter;
mod outlook;
mod pond;
mod store;

pub use counter::{Draw, MonthDrawn, PermitLimit, Withdrawals, withdrawals};
pub use outlook::{Pass, SupplyDay, SupplyEnd, SupplyOutlook, WaterSupply};
pub use pond::{OPEN_WATER, Pond, PondInput, PondShape, Stage};
pub use store::{Tank, Well};

use crate::bounds::Bound;
use crate::error::{Error, Result};
use serde::{Deserialize, Serialize};

/// A range of a number that is not known better.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Range {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

impl Range {
    /// From low to high.
    pub fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// A number that is known.
    pub fn exactly(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// Its middle.
    pub fn middle(self) -> f64 {
        0.5 * (self.low + self.high)
    }

    /// Both ends in range, and in order?
    fn check(self, bound: &Bound) -> Result<Self> {
        bound.check(self.low)?;
        bound.check(self.high)?;
        if self.low <= self.high {
            return Ok(self);
        }
        let (name, Range { low, high }) = (bound.name, self);
        Err(Error::inconsistent(format!("{name} runs from {low} to {high}"), "Give the low end first."))
    }
}
