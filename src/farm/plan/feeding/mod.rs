//! Feeding: what each block gets next, when, in ounces a tree and in bags, what it costs, and the year's lime.

mod build;
mod text;

pub(super) use build::Feeder;

use crate::assumption::Assumed;
use crate::date::Date;
use crate::explain::Step;
use crate::fertility::{Guarantee, PhVerdict, Rates, Round, Status, SulfurNeed};
use serde::{Deserialize, Serialize};

/// What the next feedings of all blocks take.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FeedingList {
    /// What to get, product by product; stock and opened bags go to the blocks in the order of the file.
    pub buy: Vec<Buy>,
    /// Cost of all of it.
    pub cost: f64,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// How much of a product is to be bought.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Buy {
    /// Its name.
    pub product: String,
    /// Whole bags; `None` by weight.
    pub bags: Option<u32>,
    /// Weight, kg.
    pub kg: f64,
    /// Cost.
    pub cost: f64,
}

/// One block's feeding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FeedingPlan {
    /// Name of the soil test.
    pub soil_test: String,
    /// Day of sampling.
    #[cfg_attr(feature = "schema", schemars(with = "Option<String>"))]
    pub sampled: Option<Date>,
    /// How far the test can be used.
    pub status: Status,
    /// Why not further.
    pub reasons: Vec<String>,
    /// Year of the growing season that the feedings belong to; south of the equator the year it begins in.
    pub season: i32,
    /// The next feeding; without products it has a time and no amounts.
    pub next: Option<Round>,
    /// The feedings of the season after it.
    pub later: Vec<Round>,
    /// What a year needs, before what was fed already is taken off.
    pub needs: Vec<NeedLine>,
    /// Cost of what is to be bought for this block, after the stock; `None` where nothing is mixed.
    pub cost: Option<f64>,
    /// What the products cannot meet, in words.
    pub unmet: Vec<String>,
    /// The year's lime.
    pub lime: Option<LimeLine>,
    /// What was spread and counted.
    pub fed: Vec<FedLine>,
    /// What the grower has to decide before the rest can be said.
    pub ask: Vec<String>,
    /// Amounts that can hurt.
    pub warnings: Vec<String>,
    /// Keys of the tables used.
    pub tables: Vec<String>,
    /// The arithmetic, step by step.
    pub steps: Vec<Step>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumed>,
}

/// The year's need of one nutrient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NeedLine {
    /// The nutrient, as labels state it.
    pub nutrient: Guarantee,
    /// By field, treated ground and tree.
    pub rates: Rates,
    /// Why so much.
    pub why: String,
    /// Where it comes from.
    pub source: String,
}

/// The year's lime of a block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LimeLine {
    /// Lime, leave, or too high.
    pub verdict: PhVerdict,
    /// Why, with the source of the target.
    pub why: String,
    /// The lime, by its name; `None` where none is named.
    pub material: Option<String>,
    /// To spread this year, kg/ha, less what was spread since the sample.
    pub rate_kg_ha: f64,
    /// The same on the whole block, kg.
    pub total_kg: Option<f64>,
    /// When and how.
    pub when: String,
    /// Spreadings of the same size in years to come.
    pub more_years: usize,
    /// Lime spread since the sample, kg/ha of this material.
    pub spread_kg_ha: f64,
    /// Cost of this year's; `None` without a price.
    pub cost: Option<f64>,
    /// Sulfur, where the pH is too high.
    pub sulfur: Option<SulfurNeed>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// What was fed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FedLine {
    /// The day.
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    pub date: Date,
    /// The product.
    pub product: String,
    /// How much, kg/ha of field.
    pub kg_ha: f64,
}
