//! On and off times of each set, for the tree at which water stands first.
//!
//! The rate is the local one of the set alone; what earlier sets of the day left there has slowed the ground down.

use super::super::delivery::WORKING_DAY_H;
use crate::bounds;
use crate::error::Result;
use crate::geom::Xy;
use crate::soil::intake::{GreenAmpt, PulseLimit, PulsePlan, PulseRequest, pulse_plan_after};
use crate::sprinkler::{Set, Sprinkler, footprints};

/// Trees looked at for each set: those with the highest rate, and those that will have got most.
const LOOKED_AT: usize = 12;

/// For each set, in the order of time, its highest rate at a tree, mm/h, and its pulses.
pub(super) fn of_sets(
    sprinkler: &Sprinkler,
    sets: &[Set],
    trees: &[Xy],
    (ground, storage_mm): &(GreenAmpt, f64),
) -> Result<Vec<(f64, PulsePlan)>> {
    let mut before_mm = vec![0.0; trees.len()];
    let mut plans = Vec::new();
    for (set, wet) in sets.iter().zip(footprints(sprinkler, sets, trees, Some(1))?) {
        let wetted: Vec<(f64, f64)> = (wet.points.iter().zip(&wet.mm_per_min))
            .map(|(&tree, rate)| (*rate, before_mm.get(tree).copied().unwrap_or(0.0)))
            .filter(|(rate, _)| 60.0 * rate >= bounds::SPRINKLING_MM_H.min)
            .collect();
        let mut worst = plain(set.minutes);
        for (rate, taken_mm) in looked_at(wetted, set.minutes) {
            let depth_mm = rate * set.minutes;
            let request = PulseRequest {
                depth_mm,
                depletion_mm: depth_mm,
                rate_mm_h: 60.0 * rate,
                ground: *ground,
                storage_mm: *storage_mm,
                within_h: WORKING_DAY_H,
            };
            let plan = pulse_plan_after(&request, taken_mm)?;
            let key = |p: &PulsePlan| (p.short_mm, p.pulses.len(), pauses_min(p));
            let (new, old) = (key(&plan), key(&worst));
            if (new.0 - old.0).abs() > 1e-9 && new.0 > old.0 || new.0 >= old.0 - 1e-9 && (new.1, new.2) > (old.1, old.2) {
                worst = plan;
            }
        }
        let most = wet.mm_per_min.iter().copied().fold(0.0, f64::max);
        for (&tree, rate) in wet.points.iter().zip(&wet.mm_per_min) {
            if let Some(depth) = before_mm.get_mut(tree) {
                *depth += rate * set.minutes;
            }
        }
        plans.push((60.0 * most, worst));
    }
    Ok(plans)
}

/// Pauses between pulses, min; the last soaking takes place while the sprinkler is moved.
pub(super) fn pauses_min(plan: &PulsePlan) -> f64 {
    let all: f64 = plan.pulses.iter().map(|p| p.soak_min).sum();
    all - plan.pulses.last().map_or(0.0, |p| p.soak_min)
}

/// One run without a pause: what a set is until a tree asks for less.
fn plain(minutes: f64) -> PulsePlan {
    PulsePlan {
        schema: 1,
        depth_mm: 0.0,
        short_mm: 0.0,
        limit: PulseLimit::None,
        pulses: Vec::new(),
        on_min: minutes,
        elapsed_h: minutes / 60.0,
    }
}

fn looked_at(mut wetted: Vec<(f64, f64)>, minutes: f64) -> Vec<(f64, f64)> {
    let mut chosen = Vec::new();
    for by in [|_: f64, rate: f64, _: f64| rate, |minutes: f64, rate: f64, taken: f64| taken + rate * minutes] {
        wetted.sort_by(|a, b| by(minutes, b.0, b.1).total_cmp(&by(minutes, a.0, a.1)));
        chosen.extend(wetted.iter().take(LOOKED_AT).copied());
    }
    chosen
}
