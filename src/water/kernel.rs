//! The daily ledger in lanes: [`LANES`] columns side by side, a day's step in plain loops over them.
//!
//! Two forms share the surface evaporation of FAO-56 Eq. 71-79 that stands here: `kernel_layered` holds water in
//! mm by layer over the whole profile, the root boundary moving through it; `kernel_printed` is Eq. 71-88 as
//! the paper prints them, with its two accounts Dr and De. A lane never reads its neighbors.

#![allow(clippy::indexing_slicing, clippy::needless_range_loop)] // lengths are fixed when a block is built

use crate::et::crop::dual::reduction;
use crate::soil::runoff::runoff_of;

/// Columns in a block.
pub(crate) const LANES: usize = 16;
/// One number for each column of a block.
pub(crate) type Lane = [f64; LANES];
pub(crate) const ZERO: Lane = [0.0; LANES];
/// Millimeters in a meter.
pub(crate) const MM: f64 = 1000.0;

/// The larger of two numbers that are not NaN: one vector instruction, where `f64::max` takes three to mind NaN.
#[inline(always)]
pub(crate) fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The smaller of two numbers that are not NaN.
#[inline(always)]
pub(crate) fn smaller(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// `x` held between two numbers. `f64::clamp` panics on crossed bounds, and a loop that may panic is not vectorised.
#[inline(always)]
pub(crate) fn held_between(x: f64, low: f64, high: f64) -> f64 {
    smaller(larger(x, low), high)
}

/// Is any lane above zero? Without the early exit of `any`, so that all lanes are compared at once.
#[inline(always)]
pub(crate) fn any_positive(lane: &Lane) -> bool {
    lane.iter().fold(0u64, |any, &x| any | u64::from(x > 0.0)) != 0
}

/// What a day brings to each column.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Forcing {
    pub eto_mm: Lane,
    pub rain_mm: Lane,
    /// Water that enters the ground from sprinkling, bucket or drip.
    pub irrigation_mm: Lane,
    /// Of it, what the refill rule gives.
    pub refill_mm: Lane,
    /// Basal crop coefficient.
    pub kcb: Lane,
    /// Upper limit of the crop coefficient.
    pub kc_max: Lane,
    /// Fraction of the ground that is wetted and exposed.
    pub exposed: Lane,
    /// What mulch leaves of the soil evaporation.
    pub evaporation_factor: Lane,
    pub root_depth_mm: Lane,
    /// Depletion fraction at which stress begins, adjusted for the day and the soil.
    pub p: Lane,
}

impl Forcing {
    pub(crate) const NONE: Forcing = Forcing {
        eto_mm: ZERO,
        rain_mm: ZERO,
        irrigation_mm: ZERO,
        refill_mm: ZERO,
        kcb: ZERO,
        kc_max: ZERO,
        exposed: ZERO,
        evaporation_factor: ZERO,
        root_depth_mm: ZERO,
        p: ZERO,
    };
}

/// What a day did to each column, mm unless noted.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Outcome {
    pub interception_mm: Lane,
    pub runoff_mm: Lane,
    pub evaporation_mm: Lane,
    pub transpiration_mm: Lane,
    /// Below the roots.
    pub drainage_mm: Lane,
    /// Out of the bottom of the profile.
    pub deep_drainage_mm: Lane,
    /// Stress coefficient, 1 without stress.
    pub ks: Lane,
    pub depletion_mm: Lane,
    pub excess_mm: Lane,
    pub taw_mm: Lane,
    /// Air-filled share of the root zone's fine earth.
    pub air_filled: Lane,
}

impl Outcome {
    pub(crate) const NONE: Outcome = Outcome {
        interception_mm: ZERO,
        runoff_mm: ZERO,
        evaporation_mm: ZERO,
        transpiration_mm: ZERO,
        drainage_mm: ZERO,
        deep_drainage_mm: ZERO,
        ks: ZERO,
        depletion_mm: ZERO,
        excess_mm: ZERO,
        taw_mm: ZERO,
        air_filled: ZERO,
    };
}

/// The surface: what rain and evaporation meet first.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Surface {
    /// Total and readily evaporable water of the surface layer.
    pub tew_mm: Lane,
    pub rew_mm: Lane,
    /// Curve-number retention S; infinite where no rain runs off.
    pub retention_mm: Lane,
    /// Rain below this share of the day's ETo never reaches the ground.
    pub ignored_share: Lane,
}

impl Surface {
    /// Splits rain into interception, runoff (curve number) and what enters the ground.
    #[inline(always)]
    pub(super) fn rain(&self, forcing: &Forcing, out: &mut Outcome) -> Lane {
        let mut enters = ZERO;
        for l in 0..LANES {
            let rain = forcing.rain_mm[l];
            let caught = if rain < self.ignored_share[l] * forcing.eto_mm[l] { rain } else { 0.0 };
            let reaches = rain - caught;
            let runoff = runoff_of(reaches, self.retention_mm[l]);
            out.interception_mm[l] = caught;
            out.runoff_mm[l] = runoff;
            enters[l] = reaches - runoff;
        }
        enters
    }

    /// Evaporation asked for by Eq. 71 with Kr of Eq. 74, from the depletion of the surface layer.
    #[inline(always)]
    pub(super) fn evaporation(&self, forcing: &Forcing, depletion_mm: &Lane) -> Lane {
        let mut asked = ZERO;
        for l in 0..LANES {
            let kr = reduction(depletion_mm[l], self.rew_mm[l], self.tew_mm[l]);
            let room = (forcing.kc_max[l] - forcing.kcb[l]).max(0.0);
            let ke = smaller(kr * room, forcing.exposed[l] * forcing.kc_max[l]);
            asked[l] = ke * forcing.eto_mm[l] * forcing.evaporation_factor[l];
        }
        asked
    }
}
