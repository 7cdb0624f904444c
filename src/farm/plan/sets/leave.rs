//! Trees that are better left to the bucket: where a few that are hard to reach set the minutes of the whole block.

use super::by_hand::{self, ByHand};
use super::content::LeftToBucket;
use super::{Asked, ShortTree, short_tree, short_trees};
use crate::control::Control;
use crate::error::Result;
use crate::farm::FieldMap;
use crate::placement::{Depth, PlaceRequest, Placement, Why, place, within_reach};

/// Mean depth over the trees, as a multiple of what they need, from which on leaving some to the bucket is looked at: fields
/// that are served from all sides come out at 1.2 to 1.6. Our judgment.
const UNEVEN: f64 = 1.75;
/// Shares of the trees that may be left out. Our judgment.
const SHARES: [f64; 3] = [0.02, 0.05, 0.1];
/// Minutes with the bucket count so many times: they are heavier than minutes beside a running sprinkler. Our judgment.
const HEAVY: f64 = 2.0;
/// Less than this share of the cost is not worth a bucket. Our judgment.
const WORTH: f64 = 0.1;
/// A tree that lacks less has its depth, mm: rounding.
const SERVED_MM: f64 = 1e-6;

/// A placement with what it leaves to do by hand.
pub(super) struct Served {
    pub placement: Placement,
    pub short: Vec<ShortTree>,
    pub hand: ByHand,
    pub left: Option<LeftToBucket>,
    /// Work with sprinkler and bucket, min.
    cost_min: f64,
}

/// The placement that serves all trees, or the one that leaves the hardest to reach out where that takes less work.
///
/// # Errors
/// As [`place`].
pub(super) fn best(asked: &Asked<'_>, map: &FieldMap, request: &PlaceRequest, control: &Control) -> Result<Served> {
    let all = served(asked, map, place(request, control)?, &[])?;
    let trees = map.trees.len();
    let mean_mm = all.placement.depths_mm.iter().sum::<f64>() / trees as f64;
    if mean_mm <= UNEVEN * asked.target_mm {
        return Ok(all);
    }
    let reach = within_reach(request, control)?;
    let mut hardest: Vec<(f64, usize)> = reach.into_iter().zip(0..).filter(|(sum, _)| *sum > 0.0).collect();
    hardest.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let hardest: Vec<usize> = hardest.into_iter().map(|(_, tree)| tree).collect();
    let mut best: Option<Served> = None;
    for share in SHARES {
        let Some(left) = hardest.get(..(share * trees as f64).ceil() as usize).filter(|left| left.len() < hardest.len()) else { break };
        let mut target_mm = vec![asked.target_mm; trees];
        for &tree in left {
            if let Some(mm) = target_mm.get_mut(tree) {
                *mm = 0.0;
            }
        }
        let eased = PlaceRequest { target_mm: Depth::Each(target_mm), ..request.clone() };
        let new = served(asked, map, place(&eased, control)?, left)?;
        if new.cost_min < best.as_ref().map_or((1.0 - WORTH) * all.cost_min, |b| b.cost_min) {
            best = Some(new);
        }
    }
    let Some(mut best) = best else { return Ok(all) };
    let hours = |s: &Served| (s.placement.cost.pump_min + s.placement.cost.move_min) / 60.0;
    let bucket_h = |s: &Served| s.hand.list.as_ref().map_or(0.0, |list| list.elapsed_h);
    best.left = Some(LeftToBucket {
        trees: best.short.iter().filter(|s| s.why == Why::LeftToBucket).count(),
        saved_h: hours(&all) - hours(&best),
        bucket_h: bucket_h(&best) - bucket_h(&all),
    });
    Ok(best)
}

fn served(asked: &Asked<'_>, map: &FieldMap, placement: Placement, left: &[usize]) -> Result<Served> {
    let mut short = short_trees(map, &placement);
    short.extend(left.iter().filter_map(|&index| {
        let depth_mm = placement.depths_mm.get(index).copied()?;
        let missing_mm = asked.target_mm - depth_mm;
        let why = if by_hand::worth_it(missing_mm, asked.target_mm) { Why::LeftToBucket } else { Why::NotWorthIt };
        (missing_mm > SERVED_MM).then_some(short_tree(index, map.trees.get(index)?, depth_mm, missing_mm, why))
    }));
    short.sort_by_key(|s| s.index);
    let hand = by_hand::of(asked, &short)?;
    // what no bucket can give has no price
    let by_hand_min = if hand.problem.is_some() { f64::INFINITY } else { hand.list.as_ref().map_or(0.0, |list| 60.0 * list.crew_h) };
    let cost = &placement.cost;
    Ok(Served { cost_min: cost.total_min - cost.short_min + HEAVY * by_hand_min, placement, short, hand, left: None })
}
