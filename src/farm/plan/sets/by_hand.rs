//! What the sprinkler leaves to buckets.

use super::{Asked, ShortTree};
use crate::assumption::{Assumed, Assumption};
use crate::error::Result;
use crate::geom::{Xy, length, minus};
use crate::placement::by_hand::{BucketInput, BucketList, Crew, DryTree, USUAL_WALK_M_S, bucket_list};
use std::f64::consts::PI;

/// A tree that lacks less than this share of its depth needs no bucket (our judgment: the depth leaves room for rain).
const WORTH_A_BUCKET: f64 = 0.1;
/// Tank and crew where none is given.
const USUAL_CREW: Crew = Crew { volume_l: 400.0, fill_l_min: 40.0, hand_l_min: 10.0, people: 1, walk_m_s: USUAL_WALK_M_S };

/// The bucket list, or why there is none.
#[derive(Default)]
pub(super) struct ByHand {
    pub list: Option<BucketList>,
    pub problem: Option<String>,
    pub assumptions: Vec<Assumed>,
}

/// Does a tree that lacks this need a bucket?
pub(super) fn worth_it(missing_mm: f64, target_mm: f64) -> bool {
    missing_mm > WORTH_A_BUCKET * target_mm
}

/// Those of the short trees that need one.
pub(super) fn lacking(short: &[ShortTree], target_mm: f64) -> impl Iterator<Item = &ShortTree> {
    short.iter().filter(move |s| worth_it(s.missing_mm, target_mm))
}

pub(super) fn of(asked: &Asked<'_>, short: &[ShortTree]) -> Result<ByHand> {
    let trees: Vec<DryTree> = lacking(short, asked.target_mm)
        .map(|s| DryTree { row: s.row, tree: s.tree, x_m: s.x_m, y_m: s.y_m, depth_mm: s.missing_mm })
        .collect();
    if trees.is_empty() {
        return Ok(ByHand::default());
    }
    let tank = asked.farm.input().tank;
    let crew = tank.map_or(USUAL_CREW, |t| Crew {
        volume_l: t.volume_l,
        fill_l_min: t.fill_l_min,
        hand_l_min: t.hand_l_min,
        people: t.people,
        walk_m_s: t.walk_m_s.unwrap_or(USUAL_WALK_M_S),
    });
    let water_xy_m = tank.and_then(|t| t.at_m).unwrap_or_else(|| beside(asked, &trees));
    let ring_m = 2.0 * (asked.root_area_m2 / PI).sqrt();
    match bucket_list(&BucketInput { trees, water_xy_m, crew, ring_m, basin_mm: None }) {
        Ok(list) => {
            let usual = tank.is_none().then(|| Assumption::UsualTank.assumed());
            let assumptions = list.assumptions.iter().cloned().chain(usual).collect();
            Ok(ByHand { list: Some(list), problem: None, assumptions })
        }
        Err(error) if error.is_infeasible() => Ok(ByHand { problem: Some(error.to_string()), ..ByHand::default() }),
        Err(error) => Err(error),
    }
}

/// The hydrant nearest to the middle of the trees, or that middle.
fn beside(asked: &Asked<'_>, trees: &[DryTree]) -> Xy {
    let n = trees.len().max(1) as f64;
    let middle = [trees.iter().map(|t| t.x_m).sum::<f64>() / n, trees.iter().map(|t| t.y_m).sum::<f64>() / n];
    let hydrants = asked.farm.input().hydrant.iter().map(|h| h.at_m);
    let far = |at: &Xy| length(minus(*at, middle));
    hydrants.min_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(middle)
}
