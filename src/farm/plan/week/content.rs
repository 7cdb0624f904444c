//! What the week's section holds.

use crate::assumption::Assumed;
use crate::cost::{PassCost, PassWorth, TreeWorth};
use crate::date::Date;
use crate::schedule::{ClosedHours, Moment, RemedyAnswer, Schedule, Windows};
use crate::water::supply::{SupplyOutlook, Withdrawals};
use serde::{Deserialize, Serialize};

/// The week: when to start, in what order, what if it cannot be done, whether the water lasts and what it costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WeekPlan {
    /// When work is done.
    pub windows: Windows,
    /// What an hourly forecast closes of these windows within the week; absent without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours: Option<ClosedHours>,
    /// The order and its times, none of the foreseen rain credited; absent where no block reaches its limit this week.
    pub schedule: Option<Schedule>,
    /// When the work has to start: the latest begin by the schedule, or the first chance where a block is past its limit;
    /// absent where it cannot be done in time, or nothing is due this week.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub start_by: Option<Moment>,
    /// The same by the likely limits in place of the low ends of their ranges.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub start_by_likely: Option<Moment>,
    /// Is any block due this week by its likely limit?
    pub due_likely: bool,
    /// The same as `start_by` if the foreseen rain comes; absent where it then cannot be done, or nothing is due this week.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub start_by_with_rain: Option<Moment>,
    /// Does any block reach its limit this week if the foreseen rain comes?
    pub due_with_rain: bool,
    /// Blocks that are past their limit, or may be: they go first.
    pub past_limit: Vec<String>,
    /// Blocks that this order finishes only after their likely limit, with the hours between: those that are not past it yet.
    #[serde(default)]
    pub late_likely: Vec<(String, f64)>,
    /// The first block beyond the week, with the day that its limit may be reached.
    pub next: Option<NextBlock>,
    /// Blocks of the schedule with their work.
    pub works: Vec<BlockWork>,
    /// What would help where it cannot be done, side by side.
    pub remedies: Vec<RemedyAnswer>,
    /// Hot days ahead, and what to have watered by then.
    pub heat: Option<HeatWatch>,
    /// What the time of the year asks for.
    pub advice: Vec<Advice>,
    /// Whether the water lasts; absent without a pond or a well.
    pub supply: Option<SupplyPlan>,
    /// What was drawn, counted; absent where the area of no watered block is known.
    pub drawn: Option<Withdrawals>,
    /// The same with what this timetable draws, where the farm names a limit of its own.
    #[serde(default)]
    pub drawn_then: Option<Withdrawals>,
    /// What the week's work costs; absent without wages and prices.
    pub cost: Option<CostPlan>,
    /// What else the reader should know.
    pub notes: Vec<String>,
    /// What was taken for granted about the week.
    pub assumptions: Vec<Assumed>,
}

/// A block that is not due this week.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NextBlock {
    /// Name.
    pub block: String,
    /// Day that the low end of its limit falls on.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
}

/// A block's part of the schedule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BlockWork {
    /// Name.
    pub block: String,
    /// Positions of the sprinkler.
    pub positions: usize,
    /// Where their number comes from.
    pub source: String,
    /// Ground that a position stands for, m2; absent where sets were placed or the sprinkler's flow is not known.
    #[serde(default)]
    pub each_m2: Option<f64>,
    /// Minutes of a move.
    pub move_min: f64,
    /// Water pumped on the day that it is served, mm: low and high by the efficiency.
    pub gross_mm: (f64, f64),
    /// The same for the block, L; absent without its area.
    pub pumped_l: Option<(f64, f64)>,
    /// Day that it is served on.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub served: Date,
}

/// A hot day of the forecast.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HotDay {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// Highest temperature, deg C.
    pub tmax_c: f64,
}

/// Hot days ahead.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct HeatWatch {
    /// Days at or above the threshold.
    pub days: Vec<HotDay>,
    /// Threshold, deg C.
    pub threshold_c: f64,
    /// Last day to have the root zones filled.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub pre_wet_by: Date,
    /// Blocks whose root zone has room by then, the youngest first, with what they lack, mm.
    pub blocks: Vec<(String, f64)>,
}

/// Advice with its dates.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Advice {
    /// First day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Date,
    /// Last day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub to: Date,
    /// A word or two.
    pub what: String,
    /// The advice.
    pub words: String,
    /// Where it comes from.
    pub source: String,
}

/// Whether the water lasts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupplyPlan {
    /// The days ahead without rain, with a pass like this week's again and again.
    pub outlook: SupplyOutlook,
    /// First day of the outlook.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Date,
    /// Last day of the outlook.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub to: Date,
    /// Minutes that the well keeps up the sprinkler's flow: low and high end, absent for ever; absent without well or flow.
    pub well_min: Option<(Option<f64>, Option<f64>)>,
}

/// What the week's work costs, and whether it is worth it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CostPlan {
    /// The cost.
    pub pass: PassCost,
    /// Break-even over all its blocks; absent where the worth of their trees is not known.
    pub worth: Option<PassWorth>,
    /// By block, those whose trees have a price and a year of sale.
    pub blocks: Vec<BlockWorth>,
    /// What was not counted, because it is not given.
    pub missing: Vec<String>,
}

/// What a block's trees are worth beside what its part of the work costs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BlockWorth {
    /// Name.
    pub block: String,
    /// Its share of the cost, by hours.
    pub cost: f64,
    /// What a tree of it is worth.
    pub tree: TreeWorth,
    /// Break-even.
    pub worth: PassWorth,
}
