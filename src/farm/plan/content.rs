//! What a plan holds.

use super::coming::{Coming, Serving};
use super::feeding::{FeedingList, FeedingPlan};
use super::sets::{SetsPlan, TreesSoFar};
use super::week::WeekPlan;
use crate::assumption::Assumed;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::soil::intake::PulsePlan;
use crate::units::System;
use crate::water::{ReadingOutcome, Totals};
use serde::{Deserialize, Serialize};

/// Version of the plan's content.
pub const PLAN_SCHEMA: u32 = 1;
/// The habit that many go by, mm a week.
pub const INCH_A_WEEK_MM: f64 = 25.4;

/// A number with its 10 to 90 % range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Estimate {
    /// Most likely.
    pub value: f64,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// How a block stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// The allowed depletion is reached: water now.
    Due,
    /// It will be within three days, or may be today at the dry end of the range.
    Soon,
    /// Days in hand.
    Enough,
    /// Above field capacity: roots need air, not water.
    Wet,
}

impl Standing {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Due => "water now",
            Standing::Soon => "soon",
            Standing::Enough => "enough",
            Standing::Wet => "too wet",
        }
    }
}

/// What if it rains or is watered today.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WhatIf {
    /// Rain today, mm.
    pub rain_mm: f64,
    /// Watered today, min.
    pub watered_min: f64,
    /// Of both, what the root zone receives, mm.
    pub received_mm: f64,
    /// Runs off or drains past the roots today, mm.
    pub lost_mm: f64,
    /// Days left afterwards; absent beyond the horizon.
    pub days_left: Option<f64>,
}

/// How water would enter this ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct IntakePlan {
    /// Rate at which water lands, mm/h.
    pub rate_mm_h: f64,
    /// Conductivity of the wetted ground: likely, low and high, mm/h.
    pub conductivity_mm_h: Estimate,
    /// Where it comes from.
    pub source: String,
    /// Share of the depth that would enter in one run: at the likely, low and high conductivity.
    pub one_run_share: Estimate,
    /// Share of an hour's run that would enter: at the likely, low and high conductivity.
    pub one_hour_share: Estimate,
    /// On and off times that put the depth in without runoff, at the low conductivity.
    pub pulses: PulsePlan,
    /// Minutes of the one run that the week takes in their place, longer by what likely runs off; absent where it keeps to them.
    #[serde(default)]
    pub one_run_min: Option<f64>,
}

impl IntakePlan {
    /// Is the water given in several pulses?
    pub(super) fn is_run_in_pulses(&self) -> bool {
        self.pulses.is_pulsed() && self.one_run_min.is_none()
    }
}

/// One block of the plan. Depths are of the trees' root discs unless named otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BlockPlan {
    /// Name.
    pub name: String,
    /// Species.
    pub species: String,
    /// Planting day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub planted: Date,
    /// Living trees, if counted.
    pub trees: Option<u32>,
    /// Ground of the block, m2: given, or trees times spacing.
    pub area_m2: Option<f64>,
    /// Root depth, m.
    pub root_depth_m: Estimate,
    /// Area of a tree's root disc, m2.
    pub root_area_m2: f64,
    /// Available water that the root zone holds, mm.
    pub available_water_mm: f64,
    /// Depletion this morning, mm.
    pub depletion_mm: Estimate,
    /// Depletion this morning, share of the available water.
    pub depletion: Estimate,
    /// Depletion at which to water, share of the available water.
    pub allowed_depletion: f64,
    /// How it stands.
    pub standing: Standing,
    /// Days until the allowed depletion is reached; absent beyond the horizon.
    pub days_left: Option<Estimate>,
    /// Days of the horizon that lie beyond the given weather.
    pub assumed_days: usize,
    /// Unstressed use of the coming seven days, mm.
    pub week_use_mm: f64,
    /// Rain foreseen in the coming seven days, mm.
    pub week_rain_mm: f64,
    /// The block's use in the coming seven days, trees, strip and alley by their ground, mm.
    pub block_week_use_mm: f64,
    /// Water to give into the root zone, mm; 0 where it is not worth starting.
    pub net_mm: f64,
    /// Water to pump, mm: low and high by the efficiency.
    pub gross_mm: (f64, f64),
    /// Efficiency range.
    pub efficiency: (f64, f64),
    /// Net water on a tree's root disc, L.
    pub tree_l: f64,
    /// Water to pump for the block, L: low and high; absent without its area.
    pub block_l: Option<(f64, f64)>,
    /// Running time of a set, min: low and high.
    pub run_min: (f64, f64),
    /// How it enters the ground; absent where nothing is to be given.
    pub intake: Option<IntakePlan>,
    /// Sums since the start.
    pub so_far: Totals,
    /// What else the reader should know.
    pub notes: Vec<String>,
    /// What readings said.
    pub readings: Vec<ReadingOutcome>,
    /// What-if of today.
    pub what_if: Option<WhatIf>,
    /// How the group bears wet feet.
    pub wet_feet: String,
    /// Today's drivers, for [`Plan::explain`].
    pub basis: Basis,
    /// What was taken for granted about this block.
    pub assumptions: Vec<Assumed>,
    /// Its feeding, where the farm says how it is fed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feeding: Option<FeedingPlan>,
    /// The coming days if nothing is watered and none of the rain comes that is foreseen.
    #[serde(default)]
    pub without_rain: Coming,
    /// The same with the rain that is foreseen.
    #[serde(default)]
    pub with_rain: Coming,
    /// How it would be watered around its limit.
    #[serde(default)]
    pub serving: Serving,
    /// Where to set the sprinkler; absent where nothing is to be given, its field is not known, or it was left out.
    #[serde(default)]
    pub sets: Option<SetsPlan>,
    /// Which trees lacked water, where logged sets gave them different depths.
    #[serde(default)]
    pub trees_so_far: Option<TreesSoFar>,
}

/// Numbers of the day before the plan's, from which an answer can be recomputed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Basis {
    /// Water content at field capacity, weighed over the root zone.
    pub field_capacity: f64,
    /// The same at the wilting point.
    pub wilting_point: f64,
    /// Reference evapotranspiration, mm.
    pub eto_mm: f64,
    /// Basal crop coefficient.
    pub kcb: f64,
    /// Depletion fraction at the onset of stress.
    pub p: f64,
    /// Stress coefficient.
    pub ks: f64,
    /// Transpiration, mm.
    pub transpiration_mm: f64,
    /// Evaporation, mm.
    pub evaporation_mm: f64,
    /// Share of the depletion that a watering gives back.
    pub refill_fraction: f64,
    /// The most that one watering gives, mm net.
    #[serde(default)]
    pub event_cap_mm: f64,
    /// What the shallow end of the roots has room for this morning, mm.
    #[serde(default)]
    pub usable_mm: f64,
    /// Standard deviation of the ledger, mm.
    pub ledger_sd_mm: f64,
}

/// Depths nearer than this are the same, mm: rounding.
pub(super) const SAME_MM: f64 = 1e-9;

impl Basis {
    /// Is this net depth the most that one watering gives?
    pub(super) fn is_capped(&self, net_mm: f64) -> bool {
        (net_mm - self.event_cap_mm).abs() < SAME_MM
    }
}

/// The week's plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Plan {
    /// Version of this content.
    pub schema: u32,
    /// Farm.
    pub farm: String,
    /// The morning it is made for.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// First day of the reckoning.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub from: Date,
    /// Last day of the given weather.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub weather_to: Date,
    /// Given days from the plan's date on.
    pub days_ahead: usize,
    /// Days looked ahead.
    pub horizon_days: usize,
    /// Units it is printed in.
    pub units: System,
    /// Rate of the sprinkler, mm/h.
    pub rate_mm_h: f64,
    /// The blocks, in the order of the farm.
    pub blocks: Vec<BlockPlan>,
    /// Gaps and faults of the weather, in words.
    pub weather_notes: Vec<String>,
    /// What of the season log counts and what does not, in words; empty without a log.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub log_notes: Vec<String>,
    /// What was taken for granted about weather and sprinkler.
    pub assumptions: Vec<Assumed>,
    /// What the next feedings take, where the farm says how blocks are fed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub feeding: Option<FeedingList>,
    /// When to start, in what order, supply and cost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub week: Option<WeekPlan>,
}

impl Plan {
    /// Writes the plan as JSON, every number exactly.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn to_json(&self) -> Result<String> {
        crate::json::write(self)
    }

    /// Reads a plan back.
    ///
    /// # Errors
    /// Not a plan, a newer schema, or a timetable that does not hold together.
    pub fn from_json(text: &str) -> Result<Self> {
        let plan: Self = crate::json::read(text, "plan", PLAN_SCHEMA)?;
        plan.week.iter().filter_map(|week| week.schedule.as_ref()).try_for_each(|schedule| schedule.sound())?;
        Ok(plan)
    }

    /// The published JSON Schema of a plan as JSON, for those who read it without this library.
    pub fn json_schema() -> &'static str {
        include_str!("../../data/schema/plan.json")
    }

    /// The same made anew from the types; [`Plan::json_schema`] is the published one.
    #[cfg(feature = "schema")]
    pub fn new_json_schema() -> serde_json::Value {
        let mut schema = schemars::schema_for!(Self);
        schema.insert("title".into(), "plan of a week".into());
        schema.to_value()
    }

    /// One block by name.
    pub fn block(&self, name: &str) -> Result<&BlockPlan> {
        let known: Vec<&str> = self.blocks.iter().map(|b| b.name.as_str()).collect();
        self.blocks.iter().find(|b| b.name.eq_ignore_ascii_case(name.trim())).ok_or_else(|| Error::unknown("block", name, &known))
    }
}
