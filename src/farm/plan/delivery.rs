//! How water gets from the pump into this ground: rate, losses, intake, pulses.

use super::{Estimate, IntakePlan};
use crate::assumption::{Assumed, Assumption};
use crate::error::Result;
use crate::farm::{Farm, SprayClimate};
use crate::soil::intake::{GreenAmpt, PulseRequest, Step, conductivity, infiltrate, pulse_plan, surface_storage_mm};
use crate::soil::{Profile, Soil};
use crate::sprinkler::spray_loss;

/// A sprinkler of unknown rate: 0.75 in in about an hour (common practice).
const USUAL_RATE_MM_H: f64 = 19.0;
/// Time that a pulse plan may take, h: a long working day.
pub(super) const WORKING_DAY_H: f64 = 12.0;

/// How water is delivered on this farm.
pub(super) struct Delivery {
    pub rate_mm_h: f64,
    /// Lost between nozzle and ground, middle of the range.
    pub spray_loss: f64,
    pub assumptions: Vec<Assumed>,
}

impl Delivery {
    pub fn of(farm: &Farm) -> Self {
        let mut assumptions = Vec::new();
        let rate = farm.equipment().rate_mm_h();
        match &rate {
            None => assumptions.push(Assumption::RateGiven.assumed()),
            Some((_, assumed)) => assumptions.extend(assumed.clone()),
        }
        let climate = farm.sprinkler().and_then(|s| s.spray_climate);
        let (loss, assumed) = spray_loss(climate.unwrap_or(SprayClimate::Humid));
        assumptions.push(assumed);
        Self { rate_mm_h: rate.map_or(USUAL_RATE_MM_H, |(rate, _)| rate), spray_loss: loss.middle(), assumptions }
    }

    /// Rate that lands, mm/h.
    pub fn landing_mm_h(&self) -> f64 {
        self.rate_mm_h * (1.0 - self.spray_loss)
    }
}

impl Farm {
    /// Rate of the sprinkler, given, worked out or usual, mm/h.
    pub(crate) fn usual_rate_mm_h(&self) -> f64 {
        Delivery::of(self).rate_mm_h
    }
}

/// The surface as it is this morning.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surface {
    /// At the low end of its conductivity: what pulses go by.
    pub slow: GreenAmpt,
    /// At the likely conductivity.
    pub likely: GreenAmpt,
    /// What its hollows hold, mm.
    pub storage_mm: f64,
}

impl Surface {
    pub fn of(profile: &Profile, measured_mm_h: Option<f64>, slope_pct: f64, depletion: f64) -> Result<Self> {
        let soil = profile.top();
        let k = conductivity(soil, measured_mm_h)?;
        let ground = |k_mm_h| GreenAmpt::of(soil, wetness(soil, depletion), k_mm_h);
        Ok(Self { slow: ground(k.low_mm_h)?, likely: ground(k.value_mm_h)?, storage_mm: surface_storage_mm(slope_pct)? })
    }
}

/// Water content at a share of the available water used.
fn wetness(soil: &Soil, depletion: f64) -> f64 {
    soil.field_capacity() - depletion * (soil.field_capacity() - soil.wilting_point())
}

/// Rate of intake, what one run would put in, and the pulses that put all of it in.
pub(super) fn intake_plan(
    profile: &Profile,
    measured_mm_h: Option<f64>,
    slope_pct: f64,
    depletion: f64,
    depth_mm: f64,
    delivery: &Delivery,
) -> Result<IntakePlan> {
    let soil = profile.top();
    let k = conductivity(soil, measured_mm_h)?;
    let water_content = wetness(soil, depletion);
    let rate_mm_h = delivery.landing_mm_h();
    let share = |duration_h: f64, k_mm_h: f64| -> Result<f64> {
        Ok(infiltrate(&[Step { rate_mm_h, duration_h }], &GreenAmpt::of(soil, water_content, k_mm_h)?, 0.0)?.share())
    };
    let shares = |duration_h: f64| -> Result<Estimate> {
        Ok(Estimate { value: share(duration_h, k.value_mm_h)?, low: share(duration_h, k.low_mm_h)?, high: share(duration_h, k.high_mm_h)? })
    };
    let Surface { slow: ground, storage_mm, .. } = Surface::of(profile, measured_mm_h, slope_pct, depletion)?;
    let pulses = pulse_plan(&PulseRequest { depth_mm, depletion_mm: depth_mm, rate_mm_h, ground, storage_mm, within_h: WORKING_DAY_H })?;
    Ok(IntakePlan {
        rate_mm_h,
        conductivity_mm_h: Estimate { value: k.value_mm_h, low: k.low_mm_h, high: k.high_mm_h },
        source: k.source.into(),
        one_run_share: shares(depth_mm / rate_mm_h)?,
        one_hour_share: shares(1.0)?,
        pulses,
        one_run_min: None,
    })
}
