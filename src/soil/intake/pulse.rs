//! The pulse plan: how to put a depth of water into ground that takes it more slowly than the sprinkler gives it.
//!
//! On until the hollows of the surface are full, off until all has soaked in, and again. The ground's intake falls from
//! pulse to pulse, so the first is the longest; recovery in the pauses is not credited. Never more than the root zone
//! lacks: the rest would drain below the roots or drown them.

use super::green_ampt::GreenAmpt;
use crate::bounds;
use crate::error::Result;
use crate::words::words;
use serde::{Deserialize, Serialize};

/// A pulse shorter than this is not worth turning a valve for. Our judgment.
const SHORTEST_MIN: f64 = 1.0;

/// A last pulse shorter than this is not worth coming back for, min: the one before gives it some. Our judgment.
const CRUMB_MIN: f64 = 5.0;

/// A plan with more pulses than this is no plan. Our judgment.
const MOST_PULSES: usize = 200;

/// What is wanted where.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PulseRequest {
    /// Depth wanted, mm, 0 to 2,000.
    pub depth_mm: f64,
    /// What the root zone lacks to field capacity, mm: the plan never puts on more.
    pub depletion_mm: f64,
    /// Rate at the place, mm/h, above 0 to 1,000.
    pub rate_mm_h: f64,
    /// The ground, with today's deficit.
    pub ground: GreenAmpt,
    /// Depth that hollows hold, mm; see [`super::surface_storage_mm`].
    pub storage_mm: f64,
    /// Hours that may pass from the first drop until the last has soaked in, 0 to 10,000.
    pub within_h: f64,
}

/// Water on, then a pause.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Pulse {
    /// Minutes with the water on.
    pub on_min: f64,
    /// Minutes until all of it has soaked in.
    pub soak_min: f64,
    /// Depth put on, mm.
    pub depth_mm: f64,
}

words! {
    /// Why a plan puts on less than was asked.
    pub enum PulseLimit: "limit of a pulse plan" {
        /// Nothing: the depth asked for goes in.
        None = "none",
        /// The root zone lacks less than was asked.
        Depletion = "depletion",
        /// The hours allowed are over.
        Time = "time",
        /// The ground is too slow for this rate: the surface does not hold a minute of it, or there is no end of pulses.
        Intake = "intake",
    }
}

/// How to water without runoff.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PulsePlan {
    /// Version of this record.
    pub schema: u32,
    /// Depth that goes in, mm.
    pub depth_mm: f64,
    /// Depth asked for that is left out, for the reason in `limit`, mm.
    pub short_mm: f64,
    /// What set the limit.
    pub limit: PulseLimit,
    /// The pulses in order; one is a plain set.
    pub pulses: Vec<Pulse>,
    /// Minutes with the water on, all together.
    pub on_min: f64,
    /// Hours from the first drop until the last has soaked in.
    pub elapsed_h: f64,
}

impl PulsePlan {
    /// Is it more than one set?
    pub fn is_pulsed(&self) -> bool {
        self.pulses.len() > 1
    }
}

/// Plans pulses that put a depth into the ground with no runoff. A last pulse under five minutes gets some of the one before
/// (our judgment), where the ground takes that.
///
/// # Errors
/// A value out of range. Ground too slow for the rate, or too little time, is no error: the plan says what it can do and
/// what was the limit.
///
/// # Example
/// ```
/// use dibble::soil::intake::{GreenAmpt, PulseRequest, pulse_plan};
/// // 19 mm wanted on a clay whose 0.2 m root zone lacks 8.6 mm; hollows on a gentle slope hold 3 mm.
/// let ground = GreenAmpt { ksat_mm_h: 0.57, suction_mm: 316.3, moisture_deficit: 0.12 };
/// let plan = pulse_plan(&PulseRequest { depth_mm: 19.0, depletion_mm: 8.6, rate_mm_h: 19.0, ground, storage_mm: 3.0, within_h: 24.0 })?;
/// assert_eq!((plan.depth_mm, plan.pulses.len()), (8.6, 2));
/// assert_eq!(format!("{:.0} min on in {:.1} h", plan.on_min, plan.elapsed_h), "27 min on in 1.5 h");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn pulse_plan(request: &PulseRequest) -> Result<PulsePlan> {
    let mut plan = pulse_plan_after(request, 0.0)?;
    if plan.limit != PulseLimit::Time {
        plan.elapsed_h += without_crumb(&mut plan.pulses, request, request.within_h - plan.elapsed_h);
    }
    Ok(plan)
}

/// As [`pulse_plan`], on ground that has taken in `taken_mm` before, as from a neighboring set of the same day: it takes
/// water more slowly. What the ground won back in between is not credited. A last pulse may be a crumb: where each pulse
/// asks for a move, the caller knows better what to do with it.
///
/// # Errors
/// As [`pulse_plan`]; depth taken in out of range.
///
/// # Example
/// ```
/// use dibble::soil::intake::{GreenAmpt, PulseRequest, pulse_plan, pulse_plan_after};
/// let ground = GreenAmpt { ksat_mm_h: 2.0, suction_mm: 200.0, moisture_deficit: 0.2 };
/// let request = PulseRequest { depth_mm: 6.0, depletion_mm: 6.0, rate_mm_h: 20.0, ground, storage_mm: 2.0, within_h: 24.0 };
/// assert_eq!(pulse_plan(&request)?.pulses.len(), 1);
/// assert_eq!(pulse_plan_after(&request, 12.0)?.pulses.len(), 2); // after a set that left 12 mm
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn pulse_plan_after(request: &PulseRequest, taken_mm: f64) -> Result<PulsePlan> {
    let taken_mm = bounds::DEPTH_MM.named("taken_mm").check(taken_mm)?;
    let wanted_mm = bounds::DEPTH_MM.check(request.depth_mm)?;
    let lacking_mm = bounds::DEPTH_MM.named("depletion_mm").check(request.depletion_mm)?;
    let rate_mm_h = bounds::SPRINKLING_MM_H.check(request.rate_mm_h)?;
    let storage_mm = bounds::STORAGE_MM.check(request.storage_mm)?;
    let within_h = bounds::DURATION_H.named("within_h").check(request.within_h)?;
    let ground = request.ground.checked()?;

    let target_mm = wanted_mm.min(lacking_mm);
    let mut limit = if lacking_mm < wanted_mm { PulseLimit::Depletion } else { PulseLimit::None };
    let mut pulses: Vec<Pulse> = Vec::new();
    let (mut given_mm, mut elapsed_h) = (0.0, 0.0);
    while given_mm < target_mm {
        let rest_mm = target_mm - given_mm;
        let before_mm = taken_mm + given_mm;
        let full_mm = fill_mm(&ground, before_mm, rate_mm_h, storage_mm);
        if pulses.len() >= MOST_PULSES || (full_mm < rest_mm && full_mm < rate_mm_h * SHORTEST_MIN / 60.0) {
            limit = PulseLimit::Intake;
            break;
        }
        let left_h = within_h - elapsed_h;
        let mut depth_mm = rest_mm.min(full_mm);
        if pulse_h(&ground, before_mm, rate_mm_h, depth_mm) > left_h {
            limit = PulseLimit::Time;
            depth_mm = ground_takes_mm(&ground, before_mm, rate_mm_h, left_h).min(depth_mm);
            if depth_mm < rate_mm_h * SHORTEST_MIN / 60.0 {
                break;
            }
        }
        let on_h = depth_mm / rate_mm_h;
        let whole_h = pulse_h(&ground, before_mm, rate_mm_h, depth_mm);
        pulses.push(Pulse { on_min: 60.0 * on_h, soak_min: 60.0 * (whole_h - on_h), depth_mm });
        // The last pulse closes on the target exactly, whatever the sum of the pulses rounds to.
        given_mm = if depth_mm == rest_mm { target_mm } else { given_mm + depth_mm };
        elapsed_h += whole_h;
        if limit == PulseLimit::Time {
            break;
        }
    }
    let on_min = pulses.iter().map(|pulse| pulse.on_min).sum();
    Ok(PulsePlan { schema: 1, depth_mm: given_mm, short_mm: wanted_mm - given_mm, limit, pulses, on_min, elapsed_h })
}

/// Parts the last two pulses anew, so that none is a crumb; returns the hours that this takes more (or less, if negative).
///
/// A crumb cannot join the pulse before, which has filled the hollows. Half of both is best; on ground that was dry before
/// the last two it may not go in, and then just enough is moved. Where that takes longer than is left, all stays as it is.
fn without_crumb(pulses: &mut [Pulse], request: &PulseRequest, left_h: f64) -> f64 {
    let PulseRequest { ref ground, rate_mm_h, storage_mm, .. } = *request;
    let given_mm: f64 = pulses.iter().map(|pulse| pulse.depth_mm).sum();
    let [.., before, last] = pulses else { return 0.0 };
    let both_mm = before.depth_mm + last.depth_mm;
    let from_mm = given_mm - both_mm;
    let least_mm = rate_mm_h * CRUMB_MIN / 60.0;
    if last.depth_mm >= least_mm || both_mm <= least_mm {
        return 0.0;
    }
    let fits = |second_mm: &f64| fill_mm(ground, from_mm + both_mm - second_mm, rate_mm_h, storage_mm) >= *second_mm;
    let Some(second_mm) = [0.5 * both_mm, least_mm.min(0.5 * both_mm)].into_iter().find(fits) else { return 0.0 };
    let pulse = |from_mm: f64, depth_mm: f64| {
        let on_min = 60.0 * depth_mm / rate_mm_h;
        Pulse { on_min, soak_min: 60.0 * pulse_h(ground, from_mm, rate_mm_h, depth_mm) - on_min, depth_mm }
    };
    let first_mm = both_mm - second_mm;
    let new = [pulse(from_mm, first_mm), pulse(from_mm + first_mm, second_mm)];
    let minutes = |of: [Pulse; 2]| of.iter().map(|p| p.on_min + p.soak_min).sum::<f64>();
    let more_h = (minutes(new) - minutes([*before, *last])) / 60.0;
    if more_h > left_h {
        return 0.0;
    }
    [*before, *last] = new;
    more_h
}

/// Depth, mm, of a pulse that just fills the hollows, on ground that has taken in `from_mm` and stands dry.
fn fill_mm(ground: &GreenAmpt, from_mm: f64, rate_mm_h: f64, storage_mm: f64) -> f64 {
    let ponding_mm = ground.depth_at_ponding_mm(rate_mm_h);
    if ponding_mm.is_infinite() {
        return f64::INFINITY;
    }
    let at_ponding_mm = ponding_mm.max(from_mm);
    let more_mm = if storage_mm > 0.0 { ground.intake_until_full_mm(at_ponding_mm, rate_mm_h, storage_mm) } else { 0.0 };
    at_ponding_mm - from_mm + more_mm + storage_mm
}

/// Hours from the first drop of a pulse of `depth_mm` until the last has soaked in.
fn pulse_h(ground: &GreenAmpt, from_mm: f64, rate_mm_h: f64, depth_mm: f64) -> f64 {
    let ponding_mm = ground.depth_at_ponding_mm(rate_mm_h).max(from_mm);
    let before_mm = (ponding_mm - from_mm).min(depth_mm);
    // From first ponding on the ground takes what it can, water on or off, until all is gone.
    let after_mm = depth_mm - before_mm;
    before_mm / rate_mm_h + if after_mm > 0.0 { ground.ponded_time_h(ponding_mm, after_mm) } else { 0.0 }
}

/// Depth, mm, that goes in within `time_h` of the first drop if the water never runs short.
fn ground_takes_mm(ground: &GreenAmpt, from_mm: f64, rate_mm_h: f64, time_h: f64) -> f64 {
    let ponding_mm = ground.depth_at_ponding_mm(rate_mm_h).max(from_mm);
    let before_mm = (ponding_mm - from_mm).min(rate_mm_h * time_h);
    let ponded_h = time_h - before_mm / rate_mm_h;
    before_mm + if ponding_mm.is_finite() && ponded_h > 0.0 { ground.ponded_intake_mm(ponding_mm, ponded_h) } else { 0.0 }
}
