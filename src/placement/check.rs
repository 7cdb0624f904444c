//! Every constraint of the request looked at again on the finished plan, from the sprinkler up and not from the numbers of
//! the search.

use super::answer::Placement;
use super::candidates::run_m;
use super::model::SERVED;
use super::request::{PlaceRequest, Positions};
use crate::error::{Error, Result};
use crate::sprinkler::{apply, footprints, water_within_l};

/// Relative round-off of costs and depths that are summed in another order.
pub(super) const ROUND_OFF: f64 = 1e-6;

/// # Errors
/// A constraint that the plan breaks: a fault of this module, never of the request.
pub(super) fn check(request: &PlaceRequest, plan: &Placement) -> Result<()> {
    let fault = |what: String| Err(Error::internal("checking the placement", what));
    let n = request.trees_xy_m.len();
    let target = request.target_mm.each("target_mm", n)?;
    let depths = apply(&request.sprinkler, &plan.sets, &request.trees_xy_m, request.n_threads)?;
    for (tree, ((depth, said), target)) in depths.iter().zip(&plan.depths_mm).zip(&target).enumerate() {
        if (depth - said).abs() > ROUND_OFF * depth.max(1.0) {
            return fault(format!("tree {tree} gets {depth} mm, and the plan says {said}"));
        }
        let listed = plan.short.iter().any(|s| s.tree == tree);
        if (depth + SERVED * 1.01 < *target) && !listed {
            return fault(format!("tree {tree} gets {depth} mm of {target} and is not listed as short"));
        }
    }
    let cap = request.cap_mm.as_ref().map(|cap| cap.each("cap_mm", n)).transpose()?;
    if let Some(tree) = cap.and_then(|cap| depths.iter().zip(&cap).position(|(d, c)| *d > c + 1e-5)) {
        return fault(format!("tree {tree} gets more than its cap"));
    }
    if let Some(most) = request.per_set_mm.as_ref().map(|most| most.each("per_set_mm", n)).transpose()? {
        for (set, wet) in plan.sets.iter().zip(footprints(&request.sprinkler, &plan.sets, &request.trees_xy_m, request.n_threads)?) {
            let over = wet.points.iter().zip(&wet.mm_per_min).any(|(i, rate)| most.get(*i).is_some_and(|m| rate * set.minutes > m + 1e-5));
            if over {
                return fault("a set brings a tree more than it may at a time".into());
            }
        }
    }
    for (k, set) in plan.sets.iter().enumerate() {
        let at = [set.x_m, set.y_m];
        if !(set.minutes > 0.0 && set.minutes <= request.longest_min * (1.0 + ROUND_OFF)) {
            return fault(format!("set {} runs {} min", k + 1, set.minutes));
        }
        let allowed = match &request.positions {
            Positions::Given(places) => places.contains(&at),
            _ => request.field.may_stand(at),
        };
        if !allowed {
            return fault(format!("set {} stands where it may not", k + 1));
        }
        if !request.hydrants.is_empty() {
            let hydrant = plan.hydrants.get(k).copied().flatten().and_then(|h| request.hydrants.get(h));
            if !hydrant.is_some_and(|h| run_m(request, h.at(), at) <= h.hose_m) {
                return fault(format!("the hose does not reach set {}", k + 1));
            }
        }
        for area in &request.field.stay_dry {
            if water_within_l(&request.sprinkler, set, area)? > ROUND_OFF * set.minutes {
                return fault(format!("set {} wets ground that must stay dry", k + 1));
            }
        }
    }
    let c = &plan.cost;
    let sum = c.priced_pump_min + c.move_min + c.stray_min + c.drained_min + c.short_min;
    if (sum - c.total_min).abs() > ROUND_OFF * sum.max(1.0) {
        return fault(format!("the cost is {} and its parts make {sum}", c.total_min));
    }
    match plan.bound_min {
        Some(bound) if bound > c.total_min * (1.0 + ROUND_OFF) => fault(format!("the bound {bound} lies above the cost {}", c.total_min)),
        _ => Ok(()),
    }
}
