//! What the plan says about the sets of a block.

use super::super::Estimate;
use crate::assumption::Assumed;
use crate::date::Date;
use crate::farm::TreePlace;
use crate::geom::Xy;
use crate::hydraulics::{Alternative, Caution};
use crate::placement::Why;
use crate::placement::by_hand::BucketList;
use crate::soil::intake::PulsePlan;
use crate::sprinkler::{Overlapped, Uniformity};
use crate::water::TreeStress;
use serde::{Deserialize, Serialize};

/// Where the sprinkler stands in a block, how long, and what comes of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SetsPlan {
    /// Why there is no set, where there is none.
    pub problem: Option<String>,
    /// The sprinkler as pump and hose leave it here; absent where the pump cannot lift the water.
    pub head: Option<HeadHere>,
    /// Outline of the block, m east and north of the farm's origin.
    #[serde(default)]
    pub outline_m: Vec<Xy>,
    /// Where rows and trees are counted from; absent where trees are listed one by one.
    #[serde(default)]
    pub first_tree: Option<FirstTree>,
    /// Hydrants that the sets hang on, with their names.
    #[serde(default)]
    pub hydrants: Vec<(String, Xy)>,
    /// The sets in walking order.
    pub sets: Vec<PlannedSet>,
    /// Depth that each tree should get, mm.
    pub target_mm: f64,
    /// Depth beyond which water sinks past the roots, mm.
    pub hold_mm: f64,
    /// Trees of the block.
    pub trees: usize,
    /// Depth that the trees get.
    pub depth: DepthSpread,
    /// Depth at each tree, mm, in the order of the block's map.
    pub tree_mm: Vec<f64>,
    /// Mean over the trees before the loss of spray, mm: as what a pass of these sets counts in a log.
    #[serde(default)]
    pub gross_mm: f64,
    /// Evenness over the trees; absent where all stay dry.
    pub over_trees: Option<Uniformity>,
    /// When the trees reach their limit again; absent without sets, or where no day for them is in sight.
    #[serde(default)]
    pub trees_after: Option<TreesAfter>,
    /// Trees that do not get their depth, and why.
    pub short: Vec<ShortTree>,
    /// Trees left out of the sets because the bucket takes less work; absent where all were to be served.
    #[serde(default)]
    pub left: Option<LeftToBucket>,
    /// What they get by hand.
    pub bucket: Option<BucketList>,
    /// The rate of one circle beside what an hour of every set brings the trees, and how many circles they lie in.
    pub rates: Option<Overlapped>,
    /// How long the day is.
    pub day: Day,
    /// Fuel, if the engine is known.
    pub fuel: Option<Fuel>,
    /// Share of the pumped water that falls beside the block or sinks past roots.
    pub waste: f64,
    /// Water pumped as the week runs the sets, L.
    pub pumped_l: f64,
    /// Cost that the placement made least, min of work.
    pub cost_min: f64,
    /// No placement with these places that serves the same trees costs less, min of work; absent if nothing could be proven.
    pub bound_min: Option<f64>,
    /// Share of the cost that might still be saved.
    pub gap: Option<f64>,
    /// What to mind about pump and hoses.
    pub cautions: Vec<Caution>,
    /// Why trees that need a bucket have none, where it is so.
    #[serde(default)]
    pub no_bucket: Option<String>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// Row 1, tree 1, from which rows and trees are counted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FirstTree {
    /// East of the farm's origin, m.
    pub x_m: f64,
    /// North of the farm's origin, m.
    pub y_m: f64,
    /// Compass bearing along the rows in the order of their trees, degrees; rows follow on each other to the left of it.
    pub along_deg: f64,
}

impl FirstTree {
    /// Of a block's trees in their order, rows along `along_deg`.
    pub(super) fn of(trees: &[TreePlace], along_deg: f64) -> Option<Self> {
        trees.first().filter(|t| t.row == 1).map(|t| Self { x_m: t.x_m, y_m: t.y_m, along_deg })
    }
}

/// The sprinkler at this block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeadHere {
    /// Flow, L/min.
    pub flow_l_min: f64,
    /// Wetted radius, m.
    pub radius_m: f64,
    /// Pressure at the nozzle, kPa, if known.
    pub pressure_kpa: Option<f64>,
    /// Head lost in the hoses, m, if known.
    pub hose_loss_m: Option<f64>,
    /// What takes most of the head, and its share, if known.
    pub limited_by: Option<(String, f64)>,
    /// The single change that helps most.
    pub best_change: Option<Alternative>,
}

/// One position of the sprinkler.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PlannedSet {
    /// Number in walking order, from 1.
    pub number: u32,
    /// East of the farm's origin, m.
    pub x_m: f64,
    /// North of the farm's origin, m.
    pub y_m: f64,
    /// Longitude and latitude, degrees, if the site's longitude is known.
    pub degrees: Option<[f64; 2]>,
    /// Row of the nearest tree, 0 where rows are not counted.
    pub row: u32,
    /// Number of the nearest tree in its row.
    pub tree: u32,
    /// Arc and its middle, degrees; absent for the sprinkler's own.
    pub arc_deg: Option<(f64, f64)>,
    /// Hydrant that the hose hangs on.
    pub hydrant: Option<String>,
    /// Hose from there, m.
    pub hose_m: f64,
    /// Running time if all of the water goes in, as in pulses, min.
    pub minutes: f64,
    /// Running time as the week runs the set, min: one run in place of pulses is longer by what runs off.
    pub run_min: f64,
    /// Runs that it is split into: the pulses, or one.
    pub runs: usize,
    /// Highest rate at any tree, mm/h.
    pub most_mm_h: f64,
    /// On and off, for the tree where water stands first if the ground is as slow as it may be; one pulse is a plain set.
    pub pulses: PulsePlan,
    /// Share of the water on the trees' ground that goes in if the set is one run, at the likely intake.
    #[serde(default = "all")]
    pub one_run_share: f64,
}

fn all() -> f64 {
    1.0
}

impl PlannedSet {
    /// Minutes of one run in place of the pulses: longer by what runs off.
    pub(in crate::farm::plan) fn one_run_min(&self) -> f64 {
        one_run_min(self.minutes, self.one_run_share)
    }
}

impl SetsPlan {
    /// Puts down that the week runs each set once: minutes, the day, its water and its fuel.
    pub(in crate::farm::plan) fn run_once(&mut self) {
        self.sets.iter_mut().filter(|s| s.pulses.is_pulsed()).for_each(|s| (s.run_min, s.runs) = (s.one_run_min(), 1));
        let pump_min: f64 = self.sets.iter().map(|s| s.run_min).sum();
        let more_h = (pump_min - self.day.pump_min - self.day.soak_min) / 60.0;
        let Estimate { value, low, high } = self.day.hours;
        let hours = Estimate { value: value + more_h, low: low + more_h, high: high + more_h };
        let longer = pump_min / self.day.pump_min;
        self.pumped_l *= longer;
        if let Some(fuel) = &mut self.fuel {
            (fuel.total, fuel.cost) = (fuel.total * longer, fuel.cost.map(|c| c * longer));
        }
        self.day = Day { pump_min, soak_min: 0.0, hours, ..self.day };
    }
}

/// Minutes of one run of which `share` goes in, for `minutes` without runoff.
pub(in crate::farm::plan) fn one_run_min(minutes: f64, share: f64) -> f64 {
    /// Nobody waters five times as long to get the rest in.
    const LEAST_SHARE: f64 = 0.2;
    minutes / share.clamp(LEAST_SHARE, 1.0)
}

/// Depth that trees get, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DepthSpread {
    /// A tenth of the trees get this or less.
    pub tenth_mm: f64,
    /// Half of them get this or less.
    pub median_mm: f64,
    /// The wettest tree.
    pub largest_mm: f64,
}

/// The trees after the pass, each by its own depth and without rain: on the days of the week's timetable, or, for a block that it
/// leaves out, all sets on the day on which the block may reach its limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TreesAfter {
    /// First day of the sets.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Date,
    /// Last day of the sets.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub to: Date,
    /// Trees that the sets serve: all but those on the bucket list.
    pub trees: usize,
    /// Trees of these that reach their limit before their mean does, on which the next pass goes.
    pub before_next: usize,
    /// The first of them to reach its limit, and of several the one that gets least; absent where none does.
    pub driest: Option<TreePlace>,
    /// Day on which it does.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub driest_limit: Option<Date>,
    /// Day on which a tree that gets their mean does; absent where it does not.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub mean_limit: Option<Date>,
    /// Last day that was looked at.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub looked_to: Date,
}

/// A tree that does not get its depth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ShortTree {
    /// Index in the block's map.
    pub index: usize,
    /// Row, 0 where rows are not counted.
    pub row: u32,
    /// Number in its row.
    pub tree: u32,
    /// East of the farm's origin, m.
    pub x_m: f64,
    /// North of the farm's origin, m.
    pub y_m: f64,
    /// What it gets, mm.
    pub depth_mm: f64,
    /// What it lacks, mm.
    pub missing_mm: f64,
    /// Why.
    pub why: Why,
}

/// Trees that few places reach and that would set the minutes of the whole block: what leaving them to the bucket saves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LeftToBucket {
    /// Trees that get a bucket for it.
    pub trees: usize,
    /// Water and moving that serving them too would take beyond this plan's, h.
    pub saved_h: f64,
    /// What the bucket takes more, h.
    pub bucket_h: f64,
}

/// How long the sets of a block keep someone busy, as the week runs them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Day {
    /// Water on, min.
    pub pump_min: f64,
    /// Pauses between pulses, min.
    pub soak_min: f64,
    /// Time of one move, min: likely, and the range where it was not given.
    pub move_min: Estimate,
    /// All of it, h: likely, and the range of the moves.
    pub hours: Estimate,
}

/// Fuel of the pump.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fuel {
    /// Engine.
    pub engine: String,
    /// In an hour, L (kWh for a motor).
    pub per_hour: f64,
    /// For the sets of this block, L (kWh).
    pub total: f64,
    /// "L" or "kWh".
    pub unit: String,
    /// What that costs, if the farm has a price, in the farm's currency.
    #[serde(default)]
    pub cost: Option<f64>,
}

/// The trees of a block so far, each by its own depth: where logged sets gave them different ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct TreesSoFar {
    /// Their ledgers up to yesterday.
    pub ledgers: TreeStress,
    /// Row, number and place of each, in the same order.
    pub places: Vec<TreePlace>,
}
