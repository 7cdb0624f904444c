//! Sets of a block: where the sprinkler stands today, how long, what each tree gets, and what is left to do by hand.

mod after;
mod by_hand;
mod content;
mod leave;
mod out;
mod pulses;
mod text;

pub(super) use after::Round;
pub(super) use content::one_run_min;
pub use content::{Day, DepthSpread, FirstTree, Fuel, HeadHere, LeftToBucket, PlannedSet, SetsPlan, ShortTree, TreesAfter, TreesSoFar};
pub(super) use text::by_hand_words;

use super::Estimate;
use super::delivery::Surface;
use crate::control::Control;
use crate::error::{Error, Result};
use crate::farm::{AreaKind, Farm, FarmBlock, FieldMap, Head, Places, TreePlace};
use crate::geom::{Plane, Xy, length, minus};
use crate::hydraulics::{Engine, Limits};
use crate::placement::{Field, HoseRun, Hydrant, MOST_TREES, PlaceRequest, Placement, Positions, Why};
use crate::sprinkler::Overlapped;
use leave::Served;

/// Linear programs that the search for a block's sets may solve: more finds little, and a plan is wanted at once.
const WORK: u64 = 40;
/// Width of the part circles that are tried along edges, degrees.
const PART_CIRCLE_DEG: f64 = 180.0;

/// What is asked for a block.
pub(super) struct Asked<'a> {
    pub farm: &'a Farm,
    pub block: &'a FarmBlock<'a>,
    /// Depth that each tree should get, mm.
    pub target_mm: f64,
    /// Depth that the ground of its roots holds, mm.
    pub hold_mm: f64,
    /// Area of a tree's root disc, m2.
    pub root_area_m2: f64,
    pub surface: Surface,
    pub control: &'a Control,
}

/// The sets of a block; `None` where its field or the sprinkler's flow and radius are not known.
///
/// # Errors
/// More places than can be compared; cancelled.
pub(super) fn sets_plan(asked: &Asked<'_>) -> Result<Option<SetsPlan>> {
    let Some(map) = asked.block.map else { return Ok(None) };
    let head = match asked.block.head() {
        Ok(Some(head)) => head,
        Ok(None) => return Ok(None),
        // an answer, not a mistake: the trees get a bucket
        Err(error) if error.is_infeasible() => return unreached(asked, map, &error, None).map(Some),
        Err(error) => return Err(error),
    };
    if map.trees.len() > MOST_TREES {
        return Err(Error::inconsistent(
            format!("{} trees are more than sets are placed for in one block ({MOST_TREES})", map.trees.len()),
            "Divide the block in the farm file, or make the plan without sets (--no-sets for the command).",
        ));
    }
    if map.places.is_empty() {
        return unreached(asked, map, &placeless(asked.block.block.field.as_ref().and_then(|f| f.places).unwrap_or_default()), Some(&head))
            .map(Some);
    }
    let request = request(asked, map, &head)?;
    match leave::best(asked, map, &request, &asked.control.quiet()) {
        Ok(served) => placed(asked, map, &head, &request, served).map(Some),
        Err(error) if error.is_infeasible() => unreached(asked, map, &error, Some(&head)).map(Some),
        Err(error) => Err(error),
    }
}

/// Why a block such as one row of trees has nowhere to set the sprinkler.
fn placeless(places: Places) -> Error {
    let (none, hint) = match places {
        Places::Alleys => ("alley between two rows", "Write places = \"anywhere\" for its field, or water these trees by hand."),
        Places::Lanes => ("lane", "Write places = \"alleys\" or \"anywhere\" for its field, or water these trees by hand."),
        Places::Anywhere => ("point", "Draw its outline wider, or water these trees by hand."),
    };
    Error::infeasible(format!("no {none} within the block's outline can take the sprinkler"), hint)
}

fn request(asked: &Asked<'_>, map: &FieldMap, head: &Head) -> Result<PlaceRequest> {
    let (farm, block) = (asked.farm, asked.block.block);
    let areas = |kind: AreaKind| farm.input().area.iter().filter(move |a| a.kind == kind).map(|a| a.polygon()).collect::<Result<Vec<_>>>();
    let field = Field { outline: map.outline.clone(), keep_out: areas(AreaKind::KeepOut)?, stay_dry: areas(AreaKind::Dry)? };
    let reach_m = farm.equipment().hose_length_m();
    let hydrants =
        farm.input().hydrant.iter().map(|h| Hydrant { name: Some(h.name.clone()), ..Hydrant::new(h.at_m, h.reach_m.unwrap_or(reach_m)) });
    let in_rows = block.field.as_ref().is_none_or(|f| f.places.unwrap_or_default() != Places::Anywhere);
    let table = farm.sprinkler();
    let mut request = PlaceRequest::new(field, head.sprinkler.clone(), map.trees.iter().map(|t| t.at()).collect(), asked.target_mm);
    request.hold_mm = Some(asked.hold_mm.max(asked.target_mm).into());
    request.labels = map.trees.iter().map(|t| t.words()).collect();
    request.ground_m2 = Some(block.row_spacing_m * block.tree_spacing_m);
    request.positions = Positions::Given(map.places.clone());
    request.hydrants = hydrants.collect();
    request.hose_run = if in_rows { HoseRun::AlongRows } else { HoseRun::Straight };
    request.row_direction_deg = block.field.as_ref().and_then(|f| f.row_direction_deg).unwrap_or(0.0);
    if table.and_then(|t| t.part_circle).unwrap_or(false) {
        request.edge_arcs_deg = vec![PART_CIRCLE_DEG];
    }
    request.move_min = farm.equipment().move_time_min().0;
    request.work = WORK;
    request.n_threads = Some(1);
    Ok(request)
}

fn placed(asked: &Asked<'_>, map: &FieldMap, head: &Head, request: &PlaceRequest, served: Served) -> Result<SetsPlan> {
    let Served { placement, short, hand, left, .. } = served;
    let paces = pulses::of_sets(&request.sprinkler, &placement.sets, &request.trees_xy_m, &asked.surface)?;
    let plane = asked.farm.input().site.longitude_deg.map(|lon| Plane::new(lon, asked.farm.input().site.latitude_deg)).transpose()?;
    let mut sets = Vec::new();
    for (k, (set, pace)) in placement.sets.iter().zip(paces.each).enumerate() {
        let at = [set.x_m, set.y_m];
        let near = nearest(map, at);
        sets.push(PlannedSet {
            number: u32::try_from(k + 1).unwrap_or(u32::MAX),
            x_m: set.x_m,
            y_m: set.y_m,
            degrees: plane.map(|p| p.to_degrees(at)).transpose()?,
            row: near.map_or(0, |t| t.row),
            tree: near.map_or(0, |t| t.tree),
            arc_deg: set.arc.map(|a| (a.arc_deg(), a.facing_deg())),
            hydrant: placement.hydrants.get(k).copied().flatten().and_then(|h| request.hydrants.get(h)?.name.clone()),
            hose_m: placement.hose_m.get(k).copied().unwrap_or(0.0),
            minutes: set.minutes,
            most_mm_h: pace.most_mm_h,
            run_min: set.minutes,
            runs: pace.pulses.pulses.len().max(1),
            pulses: pace.pulses,
            one_run_share: pace.one_run_share,
        });
    }
    Ok(SetsPlan {
        problem: None,
        head: Some(head_here(head)),
        target_mm: asked.target_mm,
        hold_mm: asked.hold_mm,
        trees: map.trees.len(),
        depth: placement.depth_range_mm().map_or_else(DepthSpread::default, |[tenth_mm, median_mm, largest_mm]| DepthSpread {
            tenth_mm,
            median_mm,
            largest_mm,
        }),
        over_trees: placement.over_trees,
        trees_after: None,
        // counted at the trees: part circles and what falls beside the block are no circles there
        rates: (!sets.is_empty()).then(|| Overlapped {
            own_circle_mm_h: head.sprinkler.mean_rate_mm_h(),
            overlapped_mm_h: paces.hour_of_each_mm,
            circles: paces.circles,
        }),
        gross_mm: placement.depths_mm.iter().sum::<f64>() / map.trees.len().max(1) as f64 / (1.0 - head.sprinkler.input().spray_loss),
        day: day(asked.farm, &sets),
        outline_m: map.outline.outline().to_vec(),
        first_tree: FirstTree::of(&map.trees, asked.block.block.field.as_ref().and_then(|f| f.row_direction_deg).unwrap_or(0.0)),
        hydrants: hydrants(asked.farm, &sets),
        fuel: fuel(asked.farm, head, placement.cost.pump_min),
        sets,
        tree_mm: placement.depths_mm,
        short,
        left,
        bucket: hand.list,
        waste: placement.water.waste,
        pumped_l: placement.water.pumped_l,
        cost_min: placement.cost.total_min,
        bound_min: placement.bound_min,
        gap: placement.gap,
        cautions: head.duty.as_ref().map_or_else(Vec::new, |d| d.cautions.clone()),
        no_bucket: hand.problem,
        assumptions: [hand.assumptions, head.assumptions.clone(), placement.assumptions].concat(),
    })
}

/// No set reaches the block: all its trees are short.
fn unreached(asked: &Asked<'_>, map: &FieldMap, why: &Error, head: Option<&Head>) -> Result<SetsPlan> {
    let all = map.trees.iter().enumerate();
    let short: Vec<ShortTree> = all.map(|(index, t)| short_tree(index, t, 0.0, asked.target_mm, Why::OutOfReach)).collect();
    let hand = by_hand::of(asked, &short)?;
    Ok(SetsPlan {
        problem: Some(why.to_string()),
        head: head.map(head_here),
        outline_m: map.outline.outline().to_vec(),
        first_tree: FirstTree::of(&map.trees, asked.block.block.field.as_ref().and_then(|f| f.row_direction_deg).unwrap_or(0.0)),
        hydrants: asked.farm.input().hydrant.iter().map(|h| (h.name.clone(), h.at_m)).collect(),
        sets: Vec::new(),
        target_mm: asked.target_mm,
        hold_mm: asked.hold_mm,
        trees: map.trees.len(),
        depth: DepthSpread::default(),
        tree_mm: vec![0.0; map.trees.len()],
        over_trees: None,
        trees_after: None,
        short,
        left: None,
        bucket: hand.list,
        rates: None,
        gross_mm: 0.0,
        day: day(asked.farm, &[]),
        fuel: None,
        waste: 0.0,
        pumped_l: 0.0,
        cost_min: 0.0,
        bound_min: None,
        gap: None,
        cautions: Vec::new(),
        no_bucket: hand.problem,
        assumptions: hand.assumptions,
    })
}

/// Those that a set hangs on.
fn hydrants(farm: &Farm, sets: &[PlannedSet]) -> Vec<(String, Xy)> {
    let all = farm.input().hydrant.iter().map(|h| (h.name.clone(), h.at_m));
    all.filter(|(name, _)| sets.iter().any(|s| s.hydrant.as_ref() == Some(name))).collect()
}

fn short_tree(index: usize, tree: &TreePlace, depth_mm: f64, missing_mm: f64, why: Why) -> ShortTree {
    ShortTree { index, row: tree.row, tree: tree.tree, x_m: tree.x_m, y_m: tree.y_m, depth_mm, missing_mm, why }
}

fn short_trees(map: &FieldMap, placement: &Placement) -> Vec<ShortTree> {
    let of = |s: &crate::placement::Short| Some(short_tree(s.tree, map.trees.get(s.tree)?, s.depth_mm, s.missing_mm, s.why));
    placement.short.iter().filter_map(of).collect()
}

fn nearest(map: &FieldMap, at: Xy) -> Option<&TreePlace> {
    map.trees.iter().min_by(|a, b| length(minus(a.at(), at)).total_cmp(&length(minus(b.at(), at))))
}

fn head_here(head: &Head) -> HeadHere {
    let share = |l: &Limits| l.shares.first().map(|s| (s.part.clone(), s.share));
    HeadHere {
        flow_l_min: head.sprinkler.flow_l_min(),
        radius_m: head.sprinkler.radius_m(),
        pressure_kpa: head.pressure_kpa,
        hose_loss_m: head.duty.as_ref().map(|d| d.heads.hose_loss_m.iter().sum()),
        limited_by: head.limits.as_ref().and_then(share),
        best_change: head.limits.as_ref().and_then(|l| l.best().cloned()),
    }
}

fn day(farm: &Farm, sets: &[PlannedSet]) -> Day {
    let pump_min: f64 = sets.iter().map(|s| s.minutes).sum();
    let soak_min = sets.iter().map(|s| pulses::pauses_min(&s.pulses)).sum();
    let (likely, (low, high)) = farm.equipment().move_time_min();
    let hours = |each: f64| (pump_min + soak_min + each * sets.len() as f64) / 60.0;
    Day {
        pump_min,
        soak_min,
        move_min: Estimate { value: likely, low, high },
        hours: Estimate { value: hours(likely), low: hours(low), high: hours(high) },
    }
}

/// What was seen at the pump goes before what its engine usually burns.
fn fuel(farm: &Farm, head: &Head, pump_min: f64) -> Option<Fuel> {
    let engine = farm.input().pump.as_ref()?.engine?;
    let prices = farm.input().prices.as_ref();
    let per_hour = prices.and_then(|p| p.used_per_h()).or(head.duty.as_ref().and_then(|d| d.fuel_per_hour))?;
    let unit = if engine == Engine::Electric { "kWh" } else { "L" };
    let total = per_hour * pump_min / 60.0;
    let cost = prices.and_then(|p| p.fuel_price()).map(|price| price * total);
    Some(Fuel { engine: engine.name().into(), per_hour, total, unit: unit.into(), cost })
}
