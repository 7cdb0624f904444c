//! Trees to water by hand: how much each gets, loads of the tank, time, and the order with the least walking.
//!
//! What a tree lacks is poured on the ring over its roots, at least 0.6 m across, because water poured on a smaller one
//! runs off it, and at least 4 L, because less wets the surface only (common practice). What the ring cannot hold at
//! once is poured in rounds.

mod route;
mod text;

use crate::assumption::{Amount, Assumed, Assumption};
use crate::bounds;
use crate::error::{Error, Result};
use crate::geom::{Xy, check_position};
use crate::json;
use route::{Visit, loads, tour};
use serde::{Deserialize, Serialize};
use std::f64::consts::FRAC_PI_4;

/// Version of a bucket list's content.
pub const BUCKET_SCHEMA: u32 = 1;
/// Least width of a ring, m (2 ft, common practice).
pub const LEAST_RING_M: f64 = 0.6;
/// Least water worth carrying to a tree, L (about a gallon, common practice).
pub const LEAST_LITERS: f64 = 4.0;
/// Depth that a ring with a rim of earth holds, mm (common practice: a rim a hand high, half full).
pub const USUAL_BASIN_MM: f64 = 50.0;
/// An easy walk among trees with hose or buckets, m/s (our judgment).
pub const USUAL_WALK_M_S: f64 = 1.0;
/// More trees than this are no work for buckets.
const MOST_TREES: usize = 5000;
/// More rounds than this for one tree: a slip of depth, ring or basin.
const MOST_POURS: f64 = 20.0;

/// A tree that lacks water.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct DryTree {
    /// Row, 0 where rows are not counted.
    #[serde(default)]
    pub row: u32,
    /// Number in its row, or in the list.
    pub tree: u32,
    /// East of the origin, m.
    pub x_m: f64,
    /// North of the origin, m.
    pub y_m: f64,
    /// Depth that it lacks, mm.
    pub depth_mm: f64,
}

/// The tank and who pours from it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Crew {
    /// What the tank holds, L.
    pub volume_l: f64,
    /// Flow that fills it, L/min.
    pub fill_l_min: f64,
    /// Flow that each person pours, L/min.
    pub hand_l_min: f64,
    /// People who pour.
    pub people: u32,
    /// Walking speed, m/s.
    pub walk_m_s: f64,
}

/// What [`bucket_list`] takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BucketInput {
    /// The trees, in any order.
    pub trees: Vec<DryTree>,
    /// Where the tank is filled, m.
    pub water_xy_m: Xy,
    /// Tank and crew.
    pub crew: Crew,
    /// Width of the ring over a tree's roots, m; 0.6 is taken where it is less.
    pub ring_m: f64,
    /// Depth that a ring holds at once, mm; none for 50, a rim of earth a hand high.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basin_mm: Option<f64>,
}

/// One stop of the crew.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Stop {
    /// Row, 0 where rows are not counted.
    pub row: u32,
    /// Number in its row, or in the list.
    pub tree: u32,
    /// East of the origin, m.
    pub x_m: f64,
    /// North of the origin, m.
    pub y_m: f64,
    /// Poured at this stop, L.
    pub liters: f64,
    /// Which pour on this tree it is, from 1.
    pub pour: u32,
    /// Pours that this tree gets.
    pub of_pours: u32,
}

/// What one filling of the tank is for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Load {
    /// Stops in their order.
    pub stops: Vec<Stop>,
    /// All of them together, L.
    pub liters: f64,
    /// From the water round the stops and back, m.
    pub walk_m: f64,
}

/// Who gets how much, in which order, and what it takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BucketList {
    /// Version of this content.
    pub schema: u32,
    /// Fillings of the tank in their order.
    pub loads: Vec<Load>,
    /// Trees.
    pub trees: usize,
    /// Width of the ring, m.
    pub ring_m: f64,
    /// All water, L.
    pub liters: f64,
    /// All walking, m.
    pub walk_m: f64,
    /// Filling, min.
    pub fill_min: f64,
    /// Walking, min.
    pub walk_min: f64,
    /// Pouring, everybody at once, min.
    pub pour_min: f64,
    /// People who pour.
    pub people: u32,
    /// Filling, walking and pouring one after the other, h.
    pub elapsed_h: f64,
    /// The same times the people, h.
    pub crew_h: f64,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// Water for one tree, L: the depth over the ring (0.6 m across or more), 4 L or more.
///
/// `depth_mm`: what it lacks. `ring_m`: width of the ring over its roots, 0.1 to 20 m.
///
/// # Errors
/// A value out of range.
///
/// # Source
/// Common practice; 1 mm on 1 m² is 1 L.
///
/// ```
/// use dibble::placement::by_hand::liters_for;
/// // an inch over a ring of 2, 3 and 4 ft: 2.0, 4.4 and 7.8 gal
/// let gallons = |ft: f64| Ok::<_, dibble::Error>(format!("{:.1}", liters_for(25.4, ft * 0.3048)? / 3.785411784));
/// assert_eq!((gallons(2.0)?, gallons(3.0)?, gallons(4.0)?), ("2.0".into(), "4.4".into(), "7.8".into()));
/// assert_eq!(liters_for(3.0, 0.3)?, 4.0);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn liters_for(depth_mm: f64, ring_m: f64) -> Result<f64> {
    let depth = bounds::DEPTH_MM.check(depth_mm)?;
    Ok((depth * ring_m2(bounds::RING_M.check(ring_m)?)).max(LEAST_LITERS))
}

fn ring_m2(ring_m: f64) -> f64 {
    let across = ring_m.max(LEAST_RING_M);
    FRAC_PI_4 * across * across
}

/// The bucket list: liters each, loads of the tank in the order with the least walking, times.
///
/// The order is a round trip improved until no exchange of two ways and no move of a few stops shortens it; loads are then
/// cut from it, as few as the tank allows and among those the shortest way.
///
/// # Errors
/// A value out of range (its place names the tree), no tree, more than 5,000, a tree that would need more than 20 pours.
///
/// ```
/// use dibble::placement::by_hand::{bucket_list, BucketInput, Crew, DryTree};
/// let tree = |tree: u32| DryTree { row: 1, tree, x_m: 2.0 * f64::from(tree), y_m: 0.0, depth_mm: 25.4 };
/// let crew = Crew { volume_l: 200.0, fill_l_min: 40.0, hand_l_min: 10.0, people: 2, walk_m_s: 1.0 };
/// let list = bucket_list(&BucketInput { trees: (1..=30).map(tree).collect(), water_xy_m: [0.0, 0.0], crew, ring_m: 0.6, basin_mm: None })?;
/// assert_eq!((list.loads.len(), format!("{:.0}", list.liters)), (2, "215".into())); // 7.2 L each
/// assert_eq!(list.loads[0].stops.len() + list.loads[1].stops.len(), 30);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn bucket_list(input: &BucketInput) -> Result<BucketList> {
    check(input)?;
    let BucketInput { crew, water_xy_m: water, .. } = *input;
    let basin_mm = input.basin_mm.unwrap_or(USUAL_BASIN_MM);
    let ring_m = input.ring_m.max(LEAST_RING_M);
    let holds_l = basin_mm * ring_m2(ring_m);
    let mut whole = Vec::with_capacity(input.trees.len());
    for tree in &input.trees {
        let liters = liters_for(tree.depth_mm, ring_m)?;
        // a hair of slack, so that a ring that is just filled is not poured twice
        let pours = (liters / holds_l.min(crew.volume_l) - 1e-9).ceil().max(1.0);
        if pours > MOST_POURS {
            return Err(Error::infeasible(
                format!("{} needs {liters:.0} L, in {pours:.0} pours of what its ring or the tank holds", name(tree)),
                "Widen the ring, raise its rim, or take a larger tank.",
            ));
        }
        whole.push((tree, liters, pours as u32));
    }
    let rounds = whole.iter().map(|(_, _, pours)| *pours).max().unwrap_or(1);
    let places: Vec<Xy> = input.trees.iter().map(|t| [t.x_m, t.y_m]).collect();
    let order = tour(water, &places);
    let mut all = Vec::new();
    for round in 1..=rounds {
        let due = order.iter().filter_map(|&k| whole.get(k)).filter(|(_, _, pours)| *pours >= round);
        let visits: Vec<Visit> = due.map(|(t, liters, pours)| Visit { at: [t.x_m, t.y_m], liters: liters / f64::from(*pours) }).collect();
        let mut due = order.iter().filter_map(|&k| whole.get(k)).filter(|(_, _, pours)| *pours >= round);
        for (count, walk_m) in loads(water, &visits, crew.volume_l) {
            let stops: Vec<Stop> = due.by_ref().take(count).map(|(tree, liters, pours)| stop(tree, *liters, round, *pours)).collect();
            all.push(Load { liters: stops.iter().map(|s| s.liters).sum(), stops, walk_m });
        }
    }
    let liters: f64 = all.iter().map(|l| l.liters).sum();
    let walk_m: f64 = all.iter().map(|l| l.walk_m).sum();
    let (fill_min, walk_min) = (liters / crew.fill_l_min, walk_m / crew.walk_m_s / 60.0);
    let pour_min = liters / (crew.hand_l_min * f64::from(crew.people));
    let elapsed_h = (fill_min + walk_min + pour_min) / 60.0;
    let rim = input.basin_mm.is_none().then(|| Assumption::RingRim.amounting([Amount::of(USUAL_BASIN_MM)], 0));
    Ok(BucketList {
        schema: BUCKET_SCHEMA,
        loads: all,
        trees: input.trees.len(),
        ring_m,
        liters,
        walk_m,
        fill_min,
        walk_min,
        pour_min,
        people: crew.people,
        elapsed_h,
        crew_h: elapsed_h * f64::from(crew.people),
        assumptions: rim.into_iter().collect(),
    })
}

fn stop(tree: &DryTree, liters: f64, pour: u32, of_pours: u32) -> Stop {
    Stop { row: tree.row, tree: tree.tree, x_m: tree.x_m, y_m: tree.y_m, liters: liters / f64::from(of_pours), pour, of_pours }
}

fn name(tree: &DryTree) -> String {
    if tree.row == 0 { format!("tree {}", tree.tree) } else { format!("row {}, tree {}", tree.row, tree.tree) }
}

fn check(input: &BucketInput) -> Result<()> {
    if input.trees.is_empty() {
        return Err(Error::missing("trees", "Give at least one tree that lacks water."));
    }
    if input.trees.len() > MOST_TREES {
        return Err(Error::infeasible(
            format!("{} trees are to be watered by hand", input.trees.len()),
            format!("At most {MOST_TREES} are put in order; bring the sprinkler nearer, or give the list in parts."),
        ));
    }
    let crew = &input.crew;
    let mut problems: Vec<Error> = [
        bounds::TANK_L.check(crew.volume_l).err(),
        bounds::TANK_FLOW_L_MIN.check(crew.fill_l_min).err(),
        bounds::TANK_FLOW_L_MIN.named("hand_l_min").check(crew.hand_l_min).err(),
        bounds::WALK_M_S.check(crew.walk_m_s).err(),
        bounds::RING_M.check(input.ring_m).err(),
        bounds::BASIN_MM.check_option(input.basin_mm).err(),
        check_position(input.water_xy_m).err().map(|e| e.at("water_xy_m")),
        bounds::PEOPLE.check(f64::from(crew.people)).err(),
        (crew.people == 0).then(|| Error::inconsistent("people is 0", "Give the number of people who pour, at least 1.")),
    ]
    .into_iter()
    .flatten()
    .collect();
    for tree in &input.trees {
        let faults = [bounds::DEPTH_MM.check(tree.depth_mm).err(), check_position([tree.x_m, tree.y_m]).err()];
        problems.extend(faults.into_iter().flatten().map(|e| e.at(name(tree))));
    }
    Error::several(problems).map_or(Ok(()), Err)
}

impl BucketList {
    /// Every stop in the order of the walk.
    pub fn stops(&self) -> impl Iterator<Item = &Stop> {
        self.loads.iter().flat_map(|l| &l.stops)
    }

    /// Positions of the stops in the order of the walk, m.
    pub fn points_xy_m(&self) -> Vec<Xy> {
        self.stops().map(|s| [s.x_m, s.y_m]).collect()
    }

    /// As JSON; every number comes back bit for bit.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        json::write(self)
    }

    /// From [`BucketList::to_json`]'s text, of this version or an older one.
    ///
    /// # Errors
    /// Text of another kind, or of a newer version.
    pub fn from_json(text: &str) -> Result<Self> {
        json::read(text, "bucket list", BUCKET_SCHEMA)
    }
}
