//! On and off times of each set, for the trees at which water stands first.
//!
//! The rate is the local one of the set alone; what earlier sets of the day left there has slowed the ground down.

use super::super::delivery::{Surface, WORKING_DAY_H};
use crate::bounds;
use crate::error::Result;
use crate::geom::Xy;
use crate::soil::intake::{PulseLimit, PulsePlan, PulseRequest, Step, infiltrate_after, pulse_plan_after};
use crate::sprinkler::{Set, Sprinkler, footprints};

/// Trees of a set at which water may stand: this share of them, those with the highest rate. It runs a step or two on, to
/// ground that gets less. Our judgment: going by the single wettest tree would cut every set into crumbs.
const WETTEST: f64 = 0.1;
/// A last pulse shorter than this is not worth coming back for, min: it joins the one before. Our judgment.
const CRUMB_MIN: f64 = 5.0;

/// How a set's water goes into the ground.
pub(super) struct Pace {
    /// Highest rate at a tree, mm/h.
    pub most_mm_h: f64,
    /// For ground at the low end of its intake.
    pub pulses: PulsePlan,
    /// Share of the water on the trees' ground that goes in if it comes in one run, at the likely intake.
    pub one_run_share: f64,
}

/// What the sets give at the trees.
pub(super) struct Paces {
    pub each: Vec<Pace>,
    /// Sets that wet a tree, on the mean.
    pub circles: f64,
    /// What a tree gets in an hour of every set, on the mean, mm.
    pub hour_of_each_mm: f64,
}

/// The pace of each set, in the order of time.
pub(super) fn of_sets(sprinkler: &Sprinkler, sets: &[Set], trees: &[Xy], surface: &Surface) -> Result<Paces> {
    let mut before_mm = vec![0.0; trees.len()];
    let mut plans = Vec::new();
    let (mut wet_trees, mut mm_per_min) = (0, 0.0);
    for (set, wet) in sets.iter().zip(footprints(sprinkler, sets, trees, Some(1))?) {
        wet_trees += wet.mm_per_min.iter().filter(|rate| **rate > 0.0).count();
        mm_per_min += wet.mm_per_min.iter().sum::<f64>();
        let (mut on_mm, mut in_mm) = (0.0, 0.0);
        let wetted: Vec<(f64, f64)> = (wet.points.iter().zip(&wet.mm_per_min))
            .map(|(&tree, rate)| (*rate, before_mm.get(tree).copied().unwrap_or(0.0)))
            .filter(|(rate, _)| 60.0 * rate >= bounds::SPRINKLING_MM_H.min)
            .collect();
        for &(rate, taken_mm) in &wetted {
            let run = Step { rate_mm_h: 60.0 * rate, duration_h: set.minutes / 60.0 };
            let went = infiltrate_after(&[run], &surface.likely, surface.storage_mm, taken_mm)?;
            on_mm += went.applied_mm;
            in_mm += went.applied_mm - went.runoff_mm;
        }
        let mut worst = plain(set.minutes);
        for (rate, taken_mm) in looked_at(wetted, set.minutes) {
            let depth_mm = rate * set.minutes;
            let request = PulseRequest {
                depth_mm,
                depletion_mm: depth_mm,
                rate_mm_h: 60.0 * rate,
                ground: surface.slow,
                storage_mm: surface.storage_mm,
                within_h: WORKING_DAY_H,
            };
            let plan = without_crumb(pulse_plan_after(&request, taken_mm)?);
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
        let one_run_share = if on_mm > 0.0 { in_mm / on_mm } else { 1.0 };
        plans.push(Pace { most_mm_h: 60.0 * most, pulses: worst, one_run_share });
    }
    let count = trees.len().max(1) as f64;
    Ok(Paces { each: plans, circles: wet_trees as f64 / count, hour_of_each_mm: 60.0 * mm_per_min / count })
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

/// The rate and what was taken before at two trees: those that only the wettest tenth exceeds, by the rate of this set and by
/// what will have been given after it.
fn looked_at(mut wetted: Vec<(f64, f64)>, minutes: f64) -> Vec<(f64, f64)> {
    let at = (WETTEST * wetted.len() as f64) as usize;
    let mut chosen = Vec::new();
    for by in [|_: f64, rate: f64, _: f64| rate, |minutes: f64, rate: f64, taken: f64| taken + rate * minutes] {
        wetted.sort_by(|a, b| by(minutes, b.0, b.1).total_cmp(&by(minutes, a.0, a.1)));
        chosen.extend(wetted.get(at).copied());
    }
    chosen
}

/// The plan without a crumb at its end.
fn without_crumb(mut plan: PulsePlan) -> PulsePlan {
    while plan.pulses.len() > 1 && plan.pulses.last().is_some_and(|p| p.on_min < CRUMB_MIN) {
        if let (Some(crumb), Some(last)) = (plan.pulses.pop(), plan.pulses.last_mut()) {
            last.on_min += crumb.on_min;
            last.soak_min += crumb.soak_min;
            last.depth_mm += crumb.depth_mm;
        }
    }
    plan
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::intake::Pulse;

    fn pulse(on_min: f64) -> Pulse {
        Pulse { on_min, soak_min: 20.0, depth_mm: on_min / 3.0 }
    }

    #[test]
    fn a_crumb_at_the_end_joins_the_pulse_before() {
        let plan = |on: &[f64]| PulsePlan { pulses: on.iter().map(|m| pulse(*m)).collect(), ..plain(on.iter().sum()) };
        let joined = without_crumb(plan(&[30.0, 14.0, 3.0]));
        assert_eq!(joined.pulses, vec![pulse(30.0), Pulse { on_min: 17.0, soak_min: 40.0, depth_mm: 14.0 / 3.0 + 1.0 }]);
        assert_eq!(joined.on_min, 47.0);
        assert_eq!(without_crumb(plan(&[47.0, 0.2])).pulses.len(), 1);
        assert_eq!(without_crumb(plan(&[30.0, 14.0])), plan(&[30.0, 14.0]));
    }

    #[test]
    fn pulses_go_by_the_tree_that_only_a_tenth_exceeds() {
        let wetted: Vec<(f64, f64)> = (0..20).map(|k| (f64::from(k), f64::from(40 - 3 * k))).collect();
        // rates 19, 18, then 17; after one minute 40 - 2 k have been given: 40, 38, then 36
        assert_eq!(looked_at(wetted, 1.0), vec![(17.0, -11.0), (2.0, 34.0)]);
        assert_eq!(looked_at(vec![(5.0, 1.0)], 1.0), vec![(5.0, 1.0); 2]);
        assert!(looked_at(Vec::new(), 1.0).is_empty());
    }
}
