//! A block's coming days if nothing is watered: how dry it gets, and what serving it on each day would take.

use super::Estimate;
use super::ahead::{Ahead, HORIZON_DAYS};
use super::columns::{Log, Variants};
use super::delivery::Delivery;
use super::view::{LIKELY, ROOTS_LOW, View};
use crate::error::Result;
use crate::farm::FarmBlock;
use crate::soil::intake::Pulse;
use crate::water::{Refill, RunOptions, run};
use serde::{Deserialize, Serialize};

/// The coming days, from the morning of the plan on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Coming {
    /// Days until the allowed depletion is reached; absent beyond the horizon.
    pub days_left: Option<Estimate>,
    /// Depletion in the morning of each day, share of the available water.
    pub depletion: Vec<f64>,
    /// Water to give into the root zone if it is served on that day, mm; 0 where it is not worth starting.
    pub net_mm: Vec<f64>,
}

/// How the block would be watered around its limit, without rain.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Serving {
    /// The day that the pulses are for, counted from the plan's.
    pub day: usize,
    /// On and off times that put the day's water in without runoff.
    pub pulses: Vec<Pulse>,
    /// Share of the day's water that would enter in one run, likely.
    pub one_run_share: f64,
    /// Is there strip to mulch?
    pub mulched: bool,
    /// Days left if the strip were mulched all over this morning; absent beyond the horizon.
    pub mulched_days_left: Option<Estimate>,
}

/// What the coming days are reckoned with.
pub(super) struct Rules<'a> {
    pub refill: &'a Refill,
    pub run: &'a RunOptions,
    pub log: &'a Log,
    pub control: &'a crate::control::Control,
}

impl Coming {
    /// From a season that runs on through the coming days.
    pub(super) fn of(view: &View<'_>, refill: &Refill, share: Estimate) -> Self {
        let days = HORIZON_DAYS.min(view.season.days().saturating_sub(view.ahead.today));
        let mm = |column: usize, day: usize| view.morning_share(column, day) * view.taw_on_mm(column, day);
        // as for today: the largest event keeps to the shallow end of the roots
        let net = |day: usize| {
            let net_mm = refill.net_mm(mm(LIKELY, day)).min(mm(ROOTS_LOW, day));
            if net_mm < refill.minimum_mm { 0.0 } else { net_mm }
        };
        Self {
            days_left: view.days_left_range(refill.allowed_depletion, share),
            depletion: (0..days).map(|day| view.morning_share(LIKELY, day)).collect(),
            net_mm: (0..days).map(net).collect(),
        }
    }

    /// Without the rain that is foreseen; the strip mulched all over from today on, if asked.
    pub(super) fn without_rain(variants: &Variants<'_>, ahead: &Ahead, rules: &Rules<'_>, mulched: bool) -> Result<Self> {
        let dry = ahead.without_rain()?;
        let covered = if mulched { Some(variants.mulched(ahead.today)?) } else { None };
        let columns = covered.as_ref().unwrap_or(variants).columns(&dry.daily, rules.log);
        let season = run(&columns, rules.run, rules.control)?;
        let view = View { season: &season, ahead: &dry };
        Ok(Self::of(&view, rules.refill, view.depletion_range()))
    }
}

impl Serving {
    /// Around the low end of the limit.
    pub(super) fn of(
        coming: &Coming,
        block: &FarmBlock<'_>,
        efficiency: f64,
        delivery: &Delivery,
        mulched: Option<&Coming>,
    ) -> Result<Self> {
        let limit = coming.days_left.map_or(0.0, |d| d.low).floor() as usize;
        let worth = |day: &usize| coming.net_mm.get(*day).is_some_and(|n| *n > 0.0);
        let mulched_days_left = mulched.and_then(|m| m.days_left);
        let Some(day) = (limit..coming.net_mm.len()).find(worth).or_else(|| (0..limit).rev().find(worth)) else {
            return Ok(Self { mulched: mulched.is_some(), mulched_days_left, one_run_share: 1.0, ..Self::default() });
        };
        let at = |of: &[f64]| of.get(day).copied().unwrap_or(0.0);
        let landing_mm = at(&coming.net_mm) / efficiency * (1.0 - delivery.spray_loss);
        let slope_pct = block.block.slope_pct.unwrap_or(0.0);
        let intake =
            super::delivery::intake_plan(block.profile, block.ground.intake_mm_h, slope_pct, at(&coming.depletion), landing_mm, delivery)?;
        Ok(Self {
            day,
            one_run_share: intake.one_run_share.value,
            pulses: intake.pulses.pulses,
            mulched: mulched.is_some(),
            mulched_days_left,
        })
    }
}
