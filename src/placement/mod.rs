//! Where to set the sprinkler and for how long: positions and minutes that give every reachable tree its target, at the
//! least pump time, move time and priced waste, with a proven bound.
//!
//! A move costs the same however short the set, which makes this a fixed-charge problem: no general integer solver
//! finishes one of a block's size. [`place`] searches by itself and always has a plan; the bound comes from a relaxation
//! that holds for any prices (`kernel_bound`), so that neither a slip of the search nor of a solver can make it false.

mod answer;
pub mod by_hand;
mod candidates;
mod check;
mod cover;
mod field;
mod geojson;
mod kernel_bound;
mod kernel_times;
mod model;
mod order;
mod reach;
mod request;
mod search;

pub use answer::{Cost, Placement, Short, Water};
pub use field::{Depth, Field};
pub use geojson::{FeatureKind, FieldMap};
pub use model::Why;
pub(crate) use reach::within_reach;
pub use request::{HoseRun, Hydrant, MOST_PAIRS, MOST_POSITIONS, MOST_TREES, PlaceRequest, Positions, Prices, Supply};

use crate::assumption::{Amount, Assumed, Assumption};
use crate::control::Control;
use crate::error::Result;
use crate::geom::{Polygon, Xy};
use crate::sprinkler::{Destination, Set, Uniformity, apply, destination, uniformity};
use candidates::{Candidate, Candidates, candidates};
use kernel_bound::Relaxation;
use model::{Model, SERVED, neighbors};
use search::{Choice, Search};

/// Positions looked at when a set is swapped for a neighbor.
const NEIGHBORS: usize = 40;
/// Rounds in which better prices for the bound are looked for.
const BOUND_ROUNDS: usize = 40;
/// What a cancelled search was doing.
const PLACING: &str = "placing the sprinkler";
/// Places that are looked at between two looks at the control: with an outline of thousands of corners each takes a while.
const SLICE: usize = 256;
/// Points of the ground over which evenness is reckoned.
const GROUND_POINTS: f64 = 4000.0;

/// Positions and minutes for a request: the cheapest plan found within the work limit, checked again, and what no plan
/// can undercut.
///
/// The same request gives the same plan on any number of threads. `control` cancels within a slice of the work, from the
/// first look at the trees on; its work limit, like the request's own, ends the search with the plan so far.
///
/// # Errors
/// A value of the request out of range; trees outside the outline; no position in reach (says which hydrant is how
/// far short); more trees or positions than [`MOST_TREES`], [`MOST_POSITIONS`], [`MOST_PAIRS`]; cancelled.
///
/// ```
/// use dibble::control::Control;
/// use dibble::geom::Polygon;
/// use dibble::placement::{place, Field, PlaceRequest};
/// use dibble::sprinkler::{Profile, Sprinkler, SprinklerInput};
///
/// let field = Field::new(Polygon::new(&[[0.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]])?);
/// let gun = Sprinkler::new(SprinklerInput::new(300.0, 34.0, Profile::Cone))?;
/// let trees = (0..15).flat_map(|i| (0..10).map(move |j| [2.0 + 4.0 * i as f64, 2.0 + 4.0 * j as f64])).collect();
/// let plan = place(&PlaceRequest::new(field, gun, trees, 15.0), &Control::new())?;
/// assert!(plan.short.is_empty() && plan.depths_mm.iter().all(|d| *d >= 15.0 - 1e-6));
/// assert!(plan.bound_min.is_some_and(|bound| bound <= plan.cost.total_min));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn place(request: &PlaceRequest, control: &Control) -> Result<Placement> {
    request.check(control)?;
    let candidates = candidates(request, control)?;
    let model = Model::new(request, &candidates, control)?;
    let near = neighbors(&model, &candidates.list, NEIGHBORS, control)?;
    let bound = Relaxation::new(&model).best(BOUND_ROUNDS, control)?;
    let mut search = Search::new(&model, near, &bound.guide, control, request.work, request.seed);
    let proven = proven(&model, bound.cost);
    let choice = cover::smaller(&model, search.run()?, proven.unwrap_or(0.0), control)?;
    let plan = answer(request, &candidates, &model, &choice, proven, search.solved, control)?;
    check::check(request, &plan)?;
    Ok(plan)
}

/// The bound less what rounding may have added to it; a whole number of moves where nothing else counts.
fn proven(model: &Model, bound: f64) -> Option<f64> {
    if !bound.is_finite() {
        return None;
    }
    // sums of thousands of terms: a billionth is more than their rounding
    let safe = (bound - 1e-9 * bound.abs()).max(0.0);
    let whole = || (safe / model.move_min - 1e-6).ceil() * model.move_min;
    Some(if model.only_moves_count() { safe.max(whole()) } else { safe })
}

fn answer(
    request: &PlaceRequest,
    candidates: &Candidates,
    model: &Model,
    choice: &Choice,
    bound_min: Option<f64>,
    solved: u64,
    control: &Control,
) -> Result<Placement> {
    let chosen: Vec<Candidate> = (choice.sets.iter())
        .filter_map(|&(j, minutes)| {
            let candidate = candidates.list.get(model.columns.get(j)?.candidate)?;
            Some(Candidate { set: Set { minutes, ..candidate.set }, ..candidate.clone() })
        })
        .collect();
    let (order, dragged_m) = order::walk(request, &chosen, control)?;
    let walked: Vec<&Candidate> = order.iter().filter_map(|&i| chosen.get(i)).collect();
    let sets: Vec<Set> = walked.iter().map(|c| c.set).collect();
    let depths_mm = apply(&request.sprinkler, &sets, &request.trees_xy_m, request.n_threads)?;
    let short = short(request, model, &depths_mm);
    let went = destination(&request.sprinkler, &sets, &request.field.outline, &request.field.keep_out)?;
    let cost = cost(request, model, &sets, &went, &depths_mm);
    let gap = bound_min.map(|bound| if cost.total_min > 0.0 { (1.0 - bound / cost.total_min).max(0.0) } else { 0.0 });
    let ground = apply(&request.sprinkler, &sets, &ground_points(&request.field.outline), request.n_threads)?;
    Ok(Placement {
        schema: answer::SCHEMA,
        hydrants: walked.iter().map(|c| c.hydrant).collect(),
        hose_m: walked.iter().map(|c| c.hose_m).collect(),
        over_trees: evenness(&depths_mm)?,
        over_ground: evenness(&ground)?,
        water: water(model, &went, &depths_mm),
        sets,
        depths_mm,
        short,
        cost,
        bound_min,
        gap,
        dragged_m,
        positions: candidates.list.len(),
        left_out: candidates.left_out,
        solved,
        assumptions: assumptions(request, candidates),
    })
}

fn short(request: &PlaceRequest, model: &Model, depths_mm: &[f64]) -> Vec<Short> {
    let lacking = depths_mm.iter().zip(&model.target).zip(&model.lost).enumerate();
    let lacking = lacking.filter(|(_, ((depth, target), _))| *target - *depth > SERVED);
    let row = |(tree, ((depth, target), lost)): (usize, ((&f64, &f64), &Option<Why>))| Short {
        tree,
        name: request.tree_name(tree),
        depth_mm: *depth,
        missing_mm: target - depth,
        why: lost.unwrap_or(Why::NotWorthIt),
    };
    lacking.map(row).collect()
}

fn cost(request: &PlaceRequest, model: &Model, sets: &[Set], went: &Destination, depths_mm: &[f64]) -> Cost {
    let prices = &request.prices;
    let pump_min: f64 = sets.iter().map(|s| s.minutes).sum();
    let mut cost = Cost {
        pump_min,
        move_min: request.move_min * sets.len() as f64,
        priced_pump_min: prices.pump_min * pump_min,
        stray_min: (prices.beside_min_per_m3 * went.off_block_l.max(0.0) + prices.keep_out_min_per_m3 * went.on_keep_out_l) / 1000.0,
        drained_min: model.drained_cost(depths_mm),
        short_min: model.short_cost(depths_mm),
        total_min: 0.0,
    };
    cost.total_min = cost.priced_pump_min + cost.move_min + cost.stray_min + cost.drained_min + cost.short_min;
    cost
}

fn water(model: &Model, went: &Destination, depths_mm: &[f64]) -> Water {
    let drained_l = model.ground_m2 * depths_mm.iter().zip(&model.hold).map(|(d, h)| (d - h).max(0.0)).sum::<f64>();
    let beside_l = went.off_block_l.max(0.0);
    Water {
        pumped_l: went.pumped_l,
        spray_l: went.lost_l,
        on_block_l: went.on_block_l,
        beside_l,
        keep_out_l: went.on_keep_out_l,
        drained_l,
        waste: if went.pumped_l > 0.0 { ((beside_l + drained_l) / went.pumped_l).min(1.0) } else { 0.0 },
    }
}

fn evenness(depths_mm: &[f64]) -> Result<Option<Uniformity>> {
    if depths_mm.iter().any(|d| *d > 0.0) { uniformity(depths_mm).map(Some) } else { Ok(None) }
}

/// A square lattice of points within an outline, each for the same ground.
fn ground_points(outline: &Polygon) -> Vec<Xy> {
    let ([x0, y0], [x1, y1]) = outline.extent();
    let step = (outline.area_m2() / GROUND_POINTS).sqrt();
    let count = |lo: f64, hi: f64| ((hi - lo) / step).ceil().max(1.0) as usize;
    let (nx, ny) = (count(x0, x1), count(y0, y1));
    let point = |i: usize, j: usize| [x0 + (i as f64 + 0.5) * step, y0 + (j as f64 + 0.5) * step];
    (0..ny).flat_map(|j| (0..nx).map(move |i| (i, j))).map(|(i, j)| point(i, j)).filter(|&p| outline.contains(p)).collect()
}

fn assumptions(request: &PlaceRequest, candidates: &Candidates) -> Vec<Assumed> {
    let mut list = Vec::new();
    if request.hold_mm.is_none() {
        list.push(Assumption::HoldFromTarget.assumed());
    }
    if request.prices == Prices::default() {
        list.push(Assumption::WorkPrices.assumed());
    }
    if let Some(spacing) = candidates.made_spacing_m {
        list.push(Assumption::PositionGrid.amounting([Amount::of(spacing)], 1));
    }
    if request.supply.is_some() {
        list.push(Assumption::ThrowWithFlow.assumed());
    }
    list
}
