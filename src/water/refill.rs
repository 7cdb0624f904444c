//! When to water and how much: trigger, refill that leaves room for rain, caps, and net to gross.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lanes are fixed arrays

use super::column::Column;
use super::kernel::{Forcing, LANES, Lane, Outcome, smaller};
use crate::bounds;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::stand::Stand;
use serde::{Deserialize, Serialize};

/// The refill rule of a column.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Refill {
    /// Share of the available water that may be used before watering, 0 to 1.
    pub allowed_depletion: f64,
    /// Share of the depletion that is given back; the rest is room for rain.
    pub refill_fraction: f64,
    /// Most that one event gives, mm net.
    pub event_cap_mm: f64,
    /// Less than this is not worth starting, mm net.
    pub minimum_mm: f64,
    /// Share of the pumped water that reaches the roots, low and high end.
    pub efficiency: (f64, f64),
}

impl Default for Refill {
    /// 0.35 allowed (transplants), 0.85 given back, 25 mm at most (an inch), 3 mm at least, efficiency 0.65 to
    /// 0.80 for a big sprinkler: common practice, the user's to change.
    fn default() -> Self {
        Self { allowed_depletion: 0.35, refill_fraction: 0.85, event_cap_mm: 25.4, minimum_mm: 3.0, efficiency: (0.65, 0.80) }
    }
}

/// What a column needs today.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Need {
    /// Has the depletion reached the allowed one?
    pub due: bool,
    /// Into the root zone, mm; 0 where it is not worth starting.
    pub net_mm: f64,
    /// Pumped, mm: low and high end, by the efficiency range.
    pub gross_mm: (f64, f64),
}

impl Refill {
    /// The default rule with the allowed depletion of a stand on a day; `south` for the southern hemisphere.
    pub fn for_stand(stand: &Stand, date: Date, south: bool) -> Self {
        Self { allowed_depletion: stand.allowed_depletion(date, south), ..Self::default() }
    }

    /// The same rule, checked.
    ///
    /// # Errors
    /// A value out of range, or an efficiency range the wrong way round.
    pub fn checked(self) -> Result<Self> {
        bounds::FRACTION.named("allowed_depletion").check(self.allowed_depletion)?;
        bounds::FRACTION.named("refill_fraction").check(self.refill_fraction)?;
        bounds::DEPTH_MM.named("event_cap_mm").check(self.event_cap_mm)?;
        bounds::DEPTH_MM.named("minimum_mm").check(self.minimum_mm)?;
        let (low, high) = self.efficiency;
        bounds::EFFICIENCY.check(low)?;
        bounds::EFFICIENCY.check(high)?;
        if low > high {
            return Err(Error::inconsistent(
                format!("efficiency runs from {low} to {high}"),
                "Give the low end first, such as (0.65, 0.80).",
            ));
        }
        Ok(self)
    }

    /// Due once the depletion has reached the allowed share of `taw_mm`.
    pub fn due(&self, depletion_mm: f64, taw_mm: f64) -> bool {
        is_due(depletion_mm, self.allowed_depletion * taw_mm)
    }

    /// Net depth for a depletion, mm: the refill share within the cap, or 0 below the minimum.
    pub fn net_mm(&self, depletion_mm: f64) -> f64 {
        net_of(self.refill_fraction * depletion_mm, self.event_cap_mm, self.minimum_mm)
    }

    /// Pumped depth for a net depth, mm: low and high end of the efficiency range.
    pub fn gross_mm(&self, net_mm: f64) -> (f64, f64) {
        (net_mm / self.efficiency.1, net_mm / self.efficiency.0)
    }

    /// What is needed at a depletion, whether it is due or not.
    pub fn need(&self, depletion_mm: f64, taw_mm: f64) -> Need {
        let net_mm = self.net_mm(depletion_mm);
        Need { due: self.due(depletion_mm, taw_mm), net_mm, gross_mm: self.gross_mm(net_mm) }
    }
}

#[inline(always)]
fn is_due(depletion_mm: f64, allowed_mm: f64) -> bool {
    (depletion_mm >= allowed_mm) & (depletion_mm > 0.0)
}

#[inline(always)]
fn net_of(wanted_mm: f64, cap_mm: f64, minimum_mm: f64) -> f64 {
    let net = smaller(wanted_mm, cap_mm);
    if net < minimum_mm { 0.0 } else { net }
}

/// The rules of a block's columns in lanes; a column without one is never due.
#[derive(Debug)]
pub(super) struct RefillLanes {
    allowed_depletion: Lane,
    refill_fraction: Lane,
    event_cap_mm: Lane,
    minimum_mm: Lane,
}

impl RefillLanes {
    /// `None` where no column waters itself.
    pub(super) fn of(columns: &[Column<'_>]) -> Option<Self> {
        let never = Refill { allowed_depletion: f64::INFINITY, ..Refill::default() };
        let rule = |l: usize| columns.get(l).and_then(|c| c.refill).unwrap_or(never);
        columns.iter().any(|c| c.refill.is_some()).then(|| Self {
            allowed_depletion: std::array::from_fn(|l| rule(l).allowed_depletion),
            refill_fraction: std::array::from_fn(|l| rule(l).refill_fraction),
            event_cap_mm: std::array::from_fn(|l| rule(l).event_cap_mm),
            minimum_mm: std::array::from_fn(|l| rule(l).minimum_mm),
        })
    }

    /// Adds what is due by the evening before to the day's water.
    #[inline(always)]
    pub(super) fn decide(&self, evening: &Outcome, forcing: &mut Forcing) {
        for l in 0..LANES {
            let depletion = evening.depletion_mm[l];
            let net = net_of(self.refill_fraction[l] * depletion, self.event_cap_mm[l], self.minimum_mm[l]);
            let due = is_due(depletion, self.allowed_depletion[l] * evening.taw_mm[l]);
            forcing.refill_mm[l] = if due { net } else { 0.0 };
            forcing.irrigation_mm[l] += forcing.refill_mm[l];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refill_leaves_room_and_keeps_to_its_caps() {
        let rule = Refill::default().checked().unwrap();
        assert!(rule.due(8.4, 24.0) && !rule.due(8.3, 24.0));
        assert_eq!(rule.net_mm(10.0), 8.5);
        assert_eq!(rule.net_mm(3.0), 0.0); // 2.55 mm is not worth starting
        assert_eq!(rule.net_mm(100.0), 25.4);
        let (low, high) = rule.gross_mm(8.0);
        assert!((low - 10.0).abs() < 1e-12 && (high - 8.0 / 0.65).abs() < 1e-12);
    }

    #[test]
    fn impossible_rules_are_refused() {
        let rule = |f: fn(&mut Refill)| {
            let mut r = Refill::default();
            f(&mut r);
            r.checked().unwrap_err().to_string()
        };
        assert!(rule(|r| r.efficiency = (0.8, 0.6)).starts_with("efficiency runs from 0.8 to 0.6"));
        assert!(rule(|r| r.allowed_depletion = 35.0).starts_with("allowed_depletion is 35: fraction must be from 0 to 1."));
        assert!(rule(|r| r.efficiency = (0.0, 0.6)).starts_with("efficiency is 0:"));
    }
}
